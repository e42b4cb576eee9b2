//! Messages on the wire: a header with the length, an empty line, and so many bytes of JSON. What
//! is no message is passed over without being kept, whatever its size.

use std::io::{self, BufRead, Read, Write};

/// The longest message that is taken. A file is at most 16 MiB, and JSON may double it.
pub(crate) const LONGEST: u64 = 64 * 1024 * 1024;

/// The longest line of a header.
const LONGEST_LINE: u64 = 4096;

const LENGTH: &str = "content-length:";

/// What came in.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Frame {
    /// A message, not yet looked at.
    Body(Vec<u8>),
    /// Something that cannot be a message was passed over: in words.
    Refused(&'static str),
    /// The other side has closed.
    End,
}

/// The messages of a stream.
pub(crate) struct Frames<R> {
    input: R,
    /// Whether it was told that no message begins here.
    lost: bool,
}

impl<R: BufRead> Frames<R> {
    pub(crate) fn new(input: R) -> Self {
        Self { input, lost: false }
    }

    /// Reads up to the end of the next message. A stretch of garbage is told once.
    pub(crate) fn next(&mut self) -> io::Result<Frame> {
        let mut length = None;
        loop {
            let mut line = Vec::new();
            let read = self.input.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line)?;
            if read == 0 {
                return Ok(Frame::End);
            }
            let text = line.trim_ascii();
            match (text.is_empty(), length) {
                (true, Some(length)) => return self.body(length),
                (true, None) => continue,
                _ => {}
            }
            match header(text) {
                Header::Length(found) => length = Some(found),
                Header::Other => {}
                Header::None if self.lost => {}
                Header::None => {
                    self.lost = true;
                    return Ok(Frame::Refused("what came is no message: a header is wanted"));
                }
            }
        }
    }

    /// Reads away the body whose head was read by somebody else.
    #[cfg(test)]
    pub(crate) fn skip(&mut self, length: u64) {
        let mut line = Vec::new();
        self.input.read_until(b'\n', &mut line).unwrap();
        self.body(length).unwrap();
    }

    fn body(&mut self, length: u64) -> io::Result<Frame> {
        self.lost = false;
        let mut body = self.input.by_ref().take(length);
        if length > LONGEST {
            let passed = io::copy(&mut body, &mut io::sink())?;
            return Ok(if passed < length {
                Frame::End
            } else {
                Frame::Refused("the message is longer than 64 MiB")
            });
        }
        // The memory grows with what really comes, not with what was announced.
        let mut bytes = Vec::new();
        let read = body.read_to_end(&mut bytes)?;
        Ok(if (read as u64) < length { Frame::End } else { Frame::Body(bytes) })
    }
}

enum Header {
    Length(u64),
    Other,
    None,
}

fn header(line: &[u8]) -> Header {
    let text = String::from_utf8_lossy(line).to_ascii_lowercase();
    // After something that was passed over, the next header may stand at the end of a line.
    if let Some((_, digits)) = text.rsplit_once(LENGTH) {
        return digits.trim().parse().map_or(Header::None, Header::Length);
    }
    let name = text.split_once(':').map(|(name, _)| name);
    let is_name =
        |name: &str| name.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
    if name.is_some_and(is_name) { Header::Other } else { Header::None }
}

/// Writes a message.
pub(crate) fn write(output: &mut impl Write, body: &[u8]) -> io::Result<()> {
    write!(output, "Content-Length: {}\r\n\r\n", body.len())?;
    output.write_all(body)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::BufReader;

    fn all(bytes: &[u8]) -> Vec<Frame> {
        let mut frames = Frames::new(BufReader::new(bytes));
        std::iter::from_fn(|| match frames.next().unwrap() {
            Frame::End => None,
            frame => Some(frame),
        })
        .collect()
    }

    fn body(text: &str) -> Frame {
        Frame::Body(text.as_bytes().to_vec())
    }

    #[test]
    fn messages_are_read_one_by_one() {
        let bytes = b"Content-Length: 2\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n{}content-length:3\n\n[1]";
        assert_eq!(all(bytes), [body("{}"), body("[1]")]);
    }

    #[test]
    fn garbage_is_told_once_and_the_next_message_is_found() {
        let bytes = b"hello\nthis is {no} message\n\n\xff\xfe\nContent-Length: 2\r\n\r\n{}";
        let found = all(bytes);
        assert!(matches!(found.as_slice(), [Frame::Refused(_), Frame::Body(_)]), "{found:?}");
    }

    #[test]
    fn a_header_behind_a_lost_body_is_found() {
        let bytes = b"Content-Length: nine\r\n\r\n{\"a\": 1}Content-Length: 2\r\n\r\n{}";
        let found = all(bytes);
        assert!(matches!(found.as_slice(), [Frame::Refused(_), Frame::Body(_)]), "{found:?}");
    }

    #[test]
    fn a_message_that_is_cut_off_is_the_end() {
        assert_eq!(all(b"Content-Length: 9\r\n\r\n{}"), []);
        assert_eq!(all(b"Content-Length: 99999999999999\r\n\r\n{}"), []);
    }

    /// A reader that gives so many bytes, and remembers nothing.
    struct Endless(u64);

    impl Read for Endless {
        fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
            let count = into.len().min(usize::try_from(self.0).unwrap_or(usize::MAX));
            into[..count].fill(b'x');
            self.0 -= count as u64;
            Ok(count)
        }
    }

    /// A message that is too long is passed over, and the one behind it is read.
    #[test]
    fn a_message_that_is_too_long_is_not_kept() {
        let long = LONGEST + 1;
        let head = format!("Content-Length: {long}\r\n\r\n");
        let tail = &b"Content-Length: 2\r\n\r\n{}"[..];
        let input = head.as_bytes().chain(Endless(long)).chain(tail);
        let mut frames = Frames::new(BufReader::new(input));
        assert!(matches!(frames.next().unwrap(), Frame::Refused(_)));
        assert_eq!(frames.next().unwrap(), body("{}"));
    }
}
