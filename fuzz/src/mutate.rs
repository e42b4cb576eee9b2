//! Changes of texts as people make them: a line lost, said twice or moved, a word taken from
//! elsewhere, a number made large or nought. Half of the time libFuzzer changes bytes, with its
//! dictionary.

/// The mutator of libFuzzer: data, size, most; gives the new size.
type Bytes = fn(&mut [u8], usize, usize) -> usize;

/// Changes the first `size` bytes of `data`, which has room for `most`; gives the new size.
pub fn mutate(data: &mut [u8], size: usize, most: usize, seed: u32, bytes: Bytes) -> usize {
    let mut dice = Dice(u64::from(seed) | 1 << 40);
    let text = data.get(..size).and_then(|used| std::str::from_utf8(used).ok());
    let (Some(text), true) = (text, dice.roll(2) == 0) else { return bytes(data, size, most) };
    let mut text = text.to_owned();
    for _ in 0..=dice.roll(3) {
        text = mistake(&text, &mut dice);
    }
    let room = most.min(data.len());
    let mut end = text.len().min(room);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    data[..end].copy_from_slice(&text.as_bytes()[..end]);
    if end == 0 { bytes(data, size, most) } else { end }
}

/// Numbers that look like chance.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % below.max(1)
    }
}

const NUMBERS: &[&str] =
    &["0", "1", "-1", "1e9", "1e-9", "999999999999", "0.0001", "65536", "2147483648"];

/// One mistake.
fn mistake(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
    let (at, from) = (dice.roll(lines.len()), dice.roll(lines.len()));
    match dice.roll(9) {
        0 => drop(lines.remove(at)),
        1 => lines.insert(at, lines[from].clone()),
        2 => lines.swap(at, from),
        3 => {
            // A few lines, such as a block, said again elsewhere.
            let end = (from + 1 + dice.roll(8)).min(lines.len());
            let piece: Vec<String> = lines[from..end].to_vec();
            lines.splice(at..at, piece);
        }
        4 => {
            let end = (at + 1 + dice.roll(8)).min(lines.len());
            lines.drain(at..end);
        }
        5 | 6 => {
            let word = pick(&lines[from], dice).to_owned();
            replace(&mut lines[at], &word, dice);
        }
        7 => {
            let number = NUMBERS[dice.roll(NUMBERS.len())];
            number_of(&mut lines[at], number, dice);
        }
        _ => {
            // One name for another, wherever it stands.
            let (one, other) =
                (pick(&lines[at], dice).to_owned(), pick(&lines[from], dice).to_owned());
            if one.len() > 2 && !other.is_empty() {
                return text.replace(&one, &other);
            }
        }
    }
    lines.join("\n")
}

fn pick<'a>(line: &'a str, dice: &mut Dice) -> &'a str {
    let words: Vec<&str> = line.split_whitespace().collect();
    words.get(dice.roll(words.len())).copied().unwrap_or("")
}

fn replace(line: &mut String, with: &str, dice: &mut Dice) {
    let mut words: Vec<&str> = line.split(' ').collect();
    let at = dice.roll(words.len());
    if let Some(word) = words.get_mut(at) {
        *word = with;
    }
    *line = words.join(" ");
}

/// Puts a number in the place of one that is there.
fn number_of(line: &mut String, with: &str, dice: &mut Dice) {
    let digit = |at: usize| line.as_bytes().get(at).is_some_and(u8::is_ascii_digit);
    let starts: Vec<usize> =
        (0..line.len()).filter(|at| digit(*at) && (*at == 0 || !digit(at - 1))).collect();
    let Some(start) = starts.get(dice.roll(starts.len())).copied() else { return };
    let end = (start..line.len()).find(|at| !digit(*at)).unwrap_or(line.len());
    line.replace_range(start..end, with);
}
