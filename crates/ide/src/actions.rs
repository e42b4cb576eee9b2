//! placeholder
use curtilage_syntax::tree::Date;

/// A day half a year on, for the end of an exception.
pub(crate) fn later(today: Date) -> String {
    let months = u32::from(today.month) + 5;
    let (year, month) = (i32::from(today.year) + i32::try_from(months / 12).unwrap_or(0), months % 12 + 1);
    format!("{year:04}-{month:02}-{:02}", today.day.min(28))
}
