"""Weaves every mutant of a list into one copy of the sources, so that one build holds them all.

    weave.py LIST TREE MAP

LIST is what `cargo mutants --list --json` says; TREE is a copy of the repository, which is changed
and built; MAP is written. A function that has mutants chooses between its bodies when it is called,
by the variable MUTANT. A mutant that does not compile is taken out and the build tried again; one
that this way cannot hold (a `const`, or an opaque type of which every body would make another) is
listed as `apart`, for cargo-mutants itself.
"""

import collections
import json
import os
import pathlib
import re
import subprocess
import sys

PACKAGES = ["circuit", "calendar", "events", "rules", "facts", "project"]

SWITCH = """
/// Chooses a body: the one that the variable MUTANT names. MUTANT_REACHED names a file that is
/// told of every function at its first call.
#[allow(missing_docs, unused, clippy::all)]
pub(crate) mod woven {
    use std::io::Write;
    use std::sync::OnceLock;
    use std::sync::atomic::{AtomicBool, Ordering};
    static SEEN: [AtomicBool; %d] = [const { AtomicBool::new(false) }; %d];
    static CHOSEN: OnceLock<(u32, Option<std::path::PathBuf>)> = OnceLock::new();
    #[inline]
    pub(crate) fn on(function: usize) -> u32 {
        let (chosen, told) = CHOSEN.get_or_init(|| {
            let number = std::env::var("MUTANT").ok().and_then(|text| text.parse().ok());
            (number.unwrap_or(u32::MAX), std::env::var_os("MUTANT_REACHED").map(Into::into))
        });
        if let Some(path) = told && !SEEN[function].swap(true, Ordering::Relaxed) {
            let mut file = std::fs::File::options().create(true).append(true).open(path).unwrap();
            file.write_all(format!("%s {function}\\n").as_bytes()).unwrap();
        }
        *chosen
    }
}
"""


class Text:
    """A source file with places by line and column, both from 1."""

    def __init__(self, path):
        self.text = path.read_text()
        self.starts = [0]
        for line in self.text.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def span(self, span):
        start, end = span["start"], span["end"]
        return (
            self.starts[start["line"] - 1] + start["column"] - 1,
            self.starts[end["line"] - 1] + end["column"] - 1,
        )


SKIPPED = re.compile(r'//[^\n]*|"(?:\\.|[^"\\])*"|\'(?:\\.[^\']*|[^\\])\'', re.S)


def body_of(text, start, end):
    """The body of a function between its braces."""
    depth, at = 0, start
    while at < end:
        skipped = SKIPPED.match(text, at)
        if skipped:
            at = skipped.end()
            continue
        if text[at] in "([":
            depth += 1
        elif text[at] in ")]":
            depth -= 1
        elif text[at] == "{" and depth == 0:
            return at + 1, text.rindex("}", at, end)
        at += 1
    raise ValueError(text[start:end])


def group(mutants, files):
    """The outermost functions that have mutants: (file, start, end) -> numbers of mutants."""
    spans = collections.defaultdict(set)
    for mutant in mutants:
        if mutant["function"]:
            spans[mutant["file"]].add(files[mutant["file"]].span(mutant["function"]["span"]))
    out = collections.defaultdict(list)
    for number, mutant in enumerate(mutants):
        if mutant["function"]:
            file = mutant["file"]
            start, end = files[file].span(mutant["function"]["span"])
            holds = min(s for s in spans[file] if s[0] <= start and end <= s[1])
            out[file, *holds].append(number)
    return out


def weave(mutants, files, groups, left_out, still_const):
    """The woven texts, the lines of every mutant, and the number of every function."""
    parts = collections.defaultdict(list)
    numbers = collections.defaultdict(list)
    functions = {}
    for (file, start, end), inside in sorted(groups.items()):
        text = files[file].text
        first, last = body_of(text, start, end)
        head, body = text[start:first], text[first:last]
        name = re.search(r"\bfn\s+(\w+)", head).group(1)
        if re.search(r"->[^{]*\bimpl\b", head):
            continue
        inside = [number for number in inside if number not in left_out]
        if name in still_const and re.search(r"\bconst\s+(unsafe\s+)?fn\b", head) or not inside:
            continue
        crate = file.split("/")[1]
        function = len(numbers[crate])
        numbers[crate].append(start)
        arms = []
        for number in inside:
            mutant = mutants[number]
            functions[number] = f"{crate} {function}"
            a, b = files[file].span(mutant["span"])
            arms.append((number, text[first:a] + mutant["replacement"] + " " + text[b:last]))
        parts[file].append((first, last, function, arms, body))
    texts, lines = {}, {}
    for file, source in files.items():
        out, at = [], 0
        for first, last, function, arms, body in parts[file]:
            out.append(plain(source.text[at:first], still_const))
            out.append(f"match crate::woven::on({function}) {{\n")
            for number, arm in arms:
                begin = sum(piece.count("\n") for piece in out) + 1
                out.append(f"{number} => {{ {arm}\n}}\n")
                lines[file, begin, begin + out[-1].count("\n") - 1] = number
            out.append(f"_ => {{ {body}\n}} }}\n")
            at = last
        out.append(plain(source.text[at:], still_const))
        texts[file] = "".join(out)
    for crate, functions_of in numbers.items():
        file = f"crates/{crate}/src/lib.rs"
        texts[file] = texts[file] + SWITCH % (len(functions_of), len(functions_of), crate)
    return texts, lines, functions


def plain(text, still_const):
    """Without `const fn`: a choice at run time is none for the compiler."""
    return re.sub(
        r"\bconst\s+fn\s+(\w+)",
        lambda found: found.group(0) if found.group(1) in still_const else f"fn {found.group(1)}",
        text,
    )


def cargo(tree, *words):
    """The test programs, and the errors as (file, line, code, message)."""
    command = [os.environ.get("MUTANTS_CARGO", "cargo"), *words, "--message-format=json"]
    for name in PACKAGES:
        command += ["-p", f"curtilage-{name}"]
    done = subprocess.run(command, cwd=tree, stdout=subprocess.PIPE, text=True, check=False,
                          stderr=subprocess.DEVNULL)
    programs, errors = [], []
    for line in done.stdout.splitlines():
        told = json.loads(line)
        if told["reason"] == "compiler-artifact" and told.get("executable"):
            manifest = pathlib.Path(told["manifest_path"])
            programs.append({
                "package": manifest.parent.name,
                "name": told["target"]["name"],
                "path": told["executable"],
                "folder": str(manifest.parent),
            })
        if told["reason"] == "compiler-message" and told["message"]["level"] == "error":
            message = told["message"]
            code = (message["code"] or {}).get("code", "")
            for span in message["spans"]:
                if span["is_primary"]:
                    errors.append((span["file_name"], span["line_start"], code, message["message"]))
    return done.returncode, programs, errors


def main():
    listed, tree, out = (pathlib.Path(argument) for argument in sys.argv[1:4])
    mutants = json.loads(listed.read_text())
    crates = sorted({mutant["file"].split("/")[1] for mutant in mutants})
    files = {}
    for crate in crates:
        for path in sorted((tree / "crates" / crate / "src").rglob("*.rs")):
            files[str(path.relative_to(tree))] = Text(path)
    groups = group(mutants, files)
    left_out, still_const = {}, set()
    while True:
        texts, lines, functions = weave(mutants, files, groups, left_out, still_const)
        for file, text in texts.items():
            path = tree / file
            if path.read_text() != text:
                path.write_text(text)
        code, programs, errors = cargo(tree, "check", "--keep-going")
        if code == 0:
            break
        news = 0
        for file, line, kind, message in errors:
            called = re.search(r"non-const .*`(?:.*::)?(\w+)", message) if kind == "E0015" else None
            if called:
                news += called.group(1) not in still_const
                still_const.add(called.group(1))
                continue
            for (at, begin, end), number in lines.items():
                if at == file and begin <= line <= end and number not in left_out:
                    left_out[number] = f"{kind} {message}"
                    news += 1
        print(f"{len(left_out)} do not compile, {len(still_const)} stay const: again", flush=True)
        if not news:
            sys.exit("the woven sources do not compile:\n" + "\n".join(map(str, errors[:20])))
    code, programs, errors = cargo(tree, "test", "--no-run", "--tests")
    if code != 0:
        sys.exit("the tests do not compile:\n" + "\n".join(map(str, errors[:20])))
    told = []
    for number, mutant in enumerate(mutants):
        if number in left_out:
            state = "unviable"
        elif number in functions:
            state = "woven"
        else:
            state = "apart"
        told.append({
            "name": mutant["name"],
            "crate": mutant["file"].split("/")[1],
            "state": state,
            "function": functions.get(number),
            "why": left_out.get(number),
        })
    out.write_text(json.dumps({"mutants": told, "programs": programs}, indent=1))
    print(collections.Counter(mutant["state"] for mutant in told))


main()
