//! Whatever a file holds, a table is read from it or it is refused: what is made of it can be read
//! and stands in the one style. The same bytes are read as a calendar and as a list of known
//! findings.
//!
//! A workbook is a ZIP archive with check sums, which no change of bytes gets past. So an input that
//! begins with `workbook` is a list of files, each after a line `== PATH`, and is packed here.

use curtilage_import::{KnownPart, PartKind, Request, import};
use curtilage_project::Loader;
use curtilage_project::baseline::Baseline;
use curtilage_syntax::parse;
use std::path::{Path, PathBuf};

/// Reads the bytes in every way.
pub fn holds(data: &[u8]) {
    let packed = data.strip_prefix(b"workbook\n").map(pack);
    table(packed.as_deref().unwrap_or(data));
    if packed.is_none() {
        calendar(data);
        known(data);
    }
}

fn table(bytes: &[u8]) {
    let uses = ["parts.site".to_owned()];
    let part = |name: &str, kind| KnownPart { name: name.to_owned(), title: None, kind };
    let parts = [part("pir", PartKind::Sensor), part("panel", PartKind::Controller)];
    let plain = Request { bytes, file: "a.csv", sheet: None, title: "Mill", uses: &[], parts: &[] };
    let with_parts = Request { uses: &uses, parts: &parts, sheet: Some("Zones"), ..plain };
    for request in [plain, with_parts] {
        let Ok(imported) = import(&request) else { continue };
        let faults = parse(&imported.text, &[]).faults;
        assert!(faults.is_empty(), "{faults:?}\n{}", imported.text);
        assert_eq!(curtilage_format::format(&imported.text).as_ref(), Ok(&imported.text));
        for told in &imported.told {
            assert!(!told.to_string().contains('\n'), "{told}");
        }
    }
}

fn calendar(bytes: &[u8]) {
    let path = PathBuf::from("/nowhere/days.ics");
    let mut loader = Loader::new(Path::new("/nowhere").to_path_buf());
    loader.overlay(path.clone(), bytes);
    let read = loader.holidays(&path).expect("it is there");
    if let Err(why) = read.as_ref() {
        assert!(!why.is_empty());
    }
}

fn known(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let Ok(baseline) = Baseline::from_text(text) else { return };
    let again = Baseline::from_text(&baseline.text());
    assert_eq!(again.as_ref(), Ok(&baseline), "what was read is written so that it reads the same");
}

/// A ZIP archive of the files in a list, stored as they are (APPNOTE 6.3.10, sections 4.3.7, 4.3.12
/// and 4.3.16).
fn pack(list: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(list);
    let files = text.split("== ").skip(1).map(|file| file.split_once('\n').unwrap_or((file, "")));
    let (mut out, mut directory, mut count) = (Vec::new(), Vec::new(), 0_u16);
    for (name, content) in files.take(64) {
        let name = &name.as_bytes()[..name.len().min(200)];
        let offset = number(out.len());
        let mut head = Vec::new();
        // Version, flags, method, time, date.
        head.extend([20, 0, 0, 0, 0, 0, 0, 0, 0x21, 0]);
        head.extend(sum(content.as_bytes()).to_le_bytes());
        head.extend(number(content.len()));
        head.extend(number(content.len()));
        head.extend([name.len() as u8, 0, 0, 0]);
        out.extend(b"PK\x03\x04");
        out.extend(&head);
        out.extend(name);
        out.extend(content.as_bytes());
        directory.extend(b"PK\x01\x02\x14\0");
        directory.extend(&head);
        // No comment, first disk, no attributes.
        directory.extend([0; 10]);
        directory.extend(offset);
        directory.extend(name);
        count += 1;
    }
    let start = number(out.len());
    out.extend(&directory);
    out.extend(b"PK\x05\x06\0\0\0\0");
    out.extend(count.to_le_bytes());
    out.extend(count.to_le_bytes());
    out.extend(number(directory.len()));
    out.extend(start);
    out.extend([0, 0]);
    out
}

fn number(length: usize) -> [u8; 4] {
    u32::try_from(length).expect("an input is short").to_le_bytes()
}

/// CRC-32 as ZIP has it.
fn sum(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            (sum >> 1) ^ (0xedb8_8320 & 0_u32.wrapping_sub(sum & 1))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::{pack, table};
    use curtilage_import::{Request, import};

    #[test]
    fn a_packed_list_is_a_workbook() {
        let list = include_bytes!("../seeds/import/workbook.txt");
        let bytes = pack(list.strip_prefix(b"workbook\n").unwrap());
        table(&bytes);
        let request = Request {
            bytes: &bytes,
            file: "a.xlsx",
            sheet: None,
            title: "Mill",
            uses: &[],
            parts: &[],
        };
        let imported = import(&request).unwrap();
        assert_eq!(imported.zones, 2, "{}", imported.text);
    }
}
