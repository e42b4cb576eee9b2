//! Time schedules: weekly spans, dated exceptions and set algebra in, facts out.
//!
//! The crate does no IO, reads no clock and knows nothing of the language that schedules are
//! written in. A written item carries a number of the caller's ([`ItemId`]) which comes back in
//! answers.
//!
//! # What a schedule means
//!
//! Time on the local clock face is counted in whole minutes; every span is half open,
//! `[start, end)`.
//!
//! - **Weekly plan** ([`WeeklyPlan`]): with `W` the union of its weekly spans in every week,
//!   `A` all that its exceptions take away and `P` all that they add,
//!   `plan = (W - A) + P`. The order of writing means nothing; what is added stands, also on a
//!   holiday.
//! - **Exception**: times of a date, `[date + start, date + end)`, for each of its dates; a whole
//!   day is 00:00 to 24:00.
//! - **Holiday**: an exception on the dates of [`Holidays`]. It applies to the part of a span
//!   that lies on that date, cut at local midnight: with Thu 18:00 to Fri 07:30 and a holiday on
//!   the Friday, Thu 18:00 to 24:00 stays. The other reading (the span that *starts* on the date
//!   does not happen) is [`Exception::except_starting`]; the two are far apart over a year.
//! - **Algebra** ([`Calendar`]): `not a = U - a`, `a plus b`, `a minus b`, `a within b` on sets of
//!   local minutes, `U` being all of them. Exact: `not not a = a`,
//!   `not (a plus b) = (not a) within (not b)`.
//! - **Instants**: the maximal spans of the result become absolute time by a [`Reading`]. With
//!   the default each end `e` becomes the instant `c(e)`, jiff's `Compatible`: the only instant
//!   that shows `e`; the first of two; for a skipped `e`, the instant by the offset before the
//!   change. Covered is the union of `[c(start), c(end))` over spans with `c(start) < c(end)`.
//!
//! Zones come from the IANA database that is compiled in ([`zone`]), never from the machine.
//!
//! # Example
//!
//! ```
//! use curtilage_calendar::jiff::civil::Weekday::{Friday, Thursday};
//! use curtilage_calendar::{
//!     Calendar, DateRule, DateWindow, DayMinute, DaySpan, Days, Exception, Holidays, ItemId,
//!     Reading, WeekSpan, WeeklyPlan, zone,
//! };
//!
//! let christmas = DateRule::yearly(12, 25)?;
//! let mut calendar = Calendar::new(Holidays::new([(ItemId(1), christmas)]));
//! let night =
//!     WeekSpan::new(ItemId(2), Thursday, DayMinute::new(18, 0)?, Friday, DayMinute::new(7, 30)?)?;
//! let off = Exception::except(ItemId(3), Days::Holidays, DaySpan::WHOLE_DAY);
//! let armed = calendar.weekly(WeeklyPlan::new(vec![night], vec![off]))?;
//!
//! let armed = calendar.schedule(armed)?;
//! let year = DateWindow::year(2026)?;
//! assert_eq!(armed.ordinary_week().to_string(), "Thu 18:00 to Fri 07:30");
//! let lost: Vec<String> = armed.missing(year).iter().map(|span| span.to_string()).collect();
//! assert_eq!(lost, ["Fri 2026-12-25 00:00 to 07:30"]);
//! let lisbon = zone("Europe/Lisbon")?;
//! // 52 nights of 13 h 30 min, 6 h of 31 December, less 7 h 30 min of 25 December.
//! let minutes = armed.instants(year, &lisbon, Reading::default()).minutes();
//! assert_eq!(minutes, 52 * 810 + 360 - 450);
//! # Ok::<(), curtilage_calendar::CalendarError>(())
//! ```
//!
//! # Invariants
//!
//! - A set of minutes or seconds is sorted, and no two of its spans overlap or touch; equal sets
//!   are equal values.
//! - A schedule is built from earlier ones only: no cycles, no recursion, no limit of depth.
//! - `ordinary_week(s)` never depends on a date; `local` is the ordinary week minus `missing`
//!   plus `extra`.
//! - Local minutes: `a` and `not a` share no minute and leave none out. Instants: the same for
//!   `ClockFace`; for `FirstPass` too, unless three or more ends lie in a skipped hour and the
//!   hour after it (their order then changes). `Cover` holds all that `FirstPass` holds.
//! - Work grows with the number of spans in the window, never with its minutes.
//! - Evaluation never fails and never panics; only constructors return errors.

mod calendar;
mod clock;
mod clock_change;
mod dates;
mod days;
mod error;
mod exception;
mod holidays;
mod instants;
mod local;
mod next_change;
mod overlap;
mod plan;
mod runs;
mod schedule;
mod text;
mod week_set;
mod week_span;
mod zone;

pub use jiff;

pub use calendar::{Calendar, ScheduleId};
pub use clock::{DayMinute, DaySpan, WeekMinute};
pub use clock_change::{ClockChange, ClockChangeEdge, ClockChanges, EdgeKind};
pub use dates::DateRule;
pub use error::CalendarError;
pub use exception::{Days, Exception};
pub use holidays::Holidays;
pub use instants::{InstantSpan, InstantSpans, Reading};
pub use local::{DateMinutes, DateWindow, LocalSpan, LocalSpans};
pub use next_change::Change;
pub use overlap::Overlap;
pub use plan::WeeklyPlan;
pub use schedule::{DatedItem, Schedule};
pub use text::{day_name, duration, weekly_total};
pub use week_set::{WeekPiece, WeekSet};
pub use week_span::{ItemId, WeekSpan};
pub use zone::{zone, zone_names};
