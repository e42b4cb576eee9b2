//! Moves the places in an item, when text before it has grown or shrunk. Every field of every item is
//! named here, so a field that is added cannot be forgotten.

use super::{
    Import, Item, Name, Path, Spanned, allow, cable, camera, controller, measured, output, part,
    policy, recording, rehearsal, relay, response, schedule, site, supply, wiring, zone,
};
use curtilage_text::Span;
use smallvec::{Array, SmallVec};
use std::sync::Arc;

/// Something with places in it.
pub(crate) trait Shift {
    /// Moves them by so many bytes; what is added wraps, so that a move to the front is one as well.
    fn shift(&mut self, by: u32);
}

impl Shift for Span {
    fn shift(&mut self, by: u32) {
        self.start = self.start.wrapping_add(by);
        self.end = self.end.wrapping_add(by);
    }
}

impl<T> Shift for Spanned<T> {
    fn shift(&mut self, by: u32) {
        self.span.shift(by);
    }
}

impl<T> Shift for policy::Limit<T> {
    fn shift(&mut self, by: u32) {
        let Self { value, source, line } = self;
        value.shift(by);
        source.shift(by);
        line.shift(by);
    }
}

impl<T: Shift> Shift for Option<T> {
    fn shift(&mut self, by: u32) {
        self.iter_mut().for_each(|inner| inner.shift(by));
    }
}

impl<T: Shift> Shift for Vec<T> {
    fn shift(&mut self, by: u32) {
        self.iter_mut().for_each(|inner| inner.shift(by));
    }
}

impl<A: Array<Item: Shift>> Shift for SmallVec<A> {
    fn shift(&mut self, by: u32) {
        self.iter_mut().for_each(|inner| inner.shift(by));
    }
}

/// What is shared with an earlier version is copied first.
impl<T: Shift + Clone> Shift for Arc<T> {
    fn shift(&mut self, by: u32) {
        Arc::make_mut(self).shift(by);
    }
}

impl<T: Shift> Shift for Box<T> {
    fn shift(&mut self, by: u32) {
        (**self).shift(by);
    }
}

impl<A: Shift, B: Shift> Shift for (A, B) {
    fn shift(&mut self, by: u32) {
        self.0.shift(by);
        self.1.shift(by);
    }
}

/// A row a struct: the fields that have places; behind `;` those that have none.
macro_rules! shifts {
    ($($thing:path { $($moved:ident),* $(; $($kept:ident),*)? })*) => { $(
        impl Shift for $thing {
            fn shift(&mut self, by: u32) {
                let Self { $($moved,)* $($($kept: _,)*)? } = self;
                $($moved.shift(by);)*
            }
        }
    )* };
}

shifts! {
    Import { path, line }
    Name { span }
    Path { head, tail }
    wiring::Run { length, cable, cores, joints, joint }
    wiring::Feed { from, run }
    wiring::Contact { path, side }
    wiring::Rating { current, voltage, span; kind, load }
    wiring::Ends { steps, span }
    wiring::EndStep { part; series }
    site::Site { name, title, line, timezone, ambient, holidays, holiday_files, areas, people, occupied }
    schedule::Schedule { name, title, line, body }
    schedule::Written { weekly, except, except_holidays, also }
    schedule::Weekly { days, start, end }
    schedule::Also { dates, start, end }
    part::Part { name, title, line, body }
    part::Draw { amount, works, law, span; power, kind }
    part::Sensor { rests, active, held, contact, closed_resistance, tamper, draws, disturbed }
    part::Terminals { names, common, most, span; contacts }
    part::Band { span; name, limits }
    part::InputSpec { pull_up, pull_up_tolerance, resistance, resistance_tolerance, bands, span }
    part::Controller { inputs, commons, input, input_rests, settles, repeats, relays, relay, outlets, on_time, channels, draws }
    part::Supply { gives, kind, most, empty, inside, charges }
    part::Battery { holds, voltage, peukert, inside }
    part::Load { draws, idles, inrush, nature, loudness, gives }
    part::Relay { coil, suppressed, contacts, contact, pulls_in, drops_out }
    part::Cable { cores, conductor, resistance, most }
    part::Camera { bit_rate, draws }
    part::Store { holds }
    supply::Supply { name, title, line, part, battery, fuse }
    controller::Controller { name, title, line, part, fed, fuse }
    relay::Relay { name, title, line, part, through, fed, fuse }
    cable::Cable { name, title, line, part, from, taps, cores, fuse }
    cable::Tap { name, length, from }
    zone::Wired { to, common, run, line }
    zone::Zone { name, title, line, part, purpose, area, wired, tamper, input, ends, armed, settle, lockout, repeats, entry, exit, confirmed, registers, follows, fed, fuse }
    output::Output { name, title, line, loads, through, fed, fuse, mode, reaches, area, most, suppressed }
    camera::Camera { name, title, line, part, channel, bit_rate, area, fed, fuse, presets }
    recording::Keep { class, cameras, during, line }
    recording::Recording { controller, line, keeps, store, store_part, retention, motion }
    response::Cause { name, span; kind }
    response::Response { name, line, causes, after, during, effects }
    response::Effect { kind, line }
    rehearsal::Rehearsal { title, line, acts, expectations }
    rehearsal::Act { at, subject, kind, line }
    rehearsal::Expectation { subject, verb, times, from, at, hold, line }
    measured::Measured { date, line, readings }
    measured::Reading { at, condition, value, line; dimension }
    policy::Policy { name, title, line, standby, alarm_time, sounder_run, recharge, retention, spare, ageing, peukert, plain_sum, waste, joint, panic, tamper, levels }
    policy::RuleLevel { rule, level, line }
    allow::Allow { rule, on, until, because, line }
}

impl Shift for Item {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Import(it) => it.shift(by),
            Self::Site(it) => it.shift(by),
            Self::Schedule(it) => it.shift(by),
            Self::Part(it) => it.shift(by),
            Self::Supply(it) => it.shift(by),
            Self::Controller(it) => it.shift(by),
            Self::Relay(it) => it.shift(by),
            Self::Cable(it) => it.shift(by),
            Self::Zone(it) => it.shift(by),
            Self::Output(it) => it.shift(by),
            Self::Camera(it) => it.shift(by),
            Self::Recording(it) => it.shift(by),
            Self::Response(it) => it.shift(by),
            Self::Rehearsal(it) => it.shift(by),
            Self::Measured(it) => it.shift(by),
            Self::Policy(it) => it.shift(by),
            Self::Allow(it) => it.shift(by),
        }
    }
}

impl Shift for wiring::EndPart {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Resistor(value, tolerance) => {
                value.shift(by);
                tolerance.shift(by);
            }
            Self::Tamper(span) => span.shift(by),
            Self::Group(part, steps) => {
                part.shift(by);
                steps.shift(by);
            }
        }
    }
}

impl Shift for schedule::Body {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Written(it) => it.shift(by),
            Self::Combined(it) => it.shift(by),
            Self::Broken => {}
        }
    }
}

impl Shift for schedule::Combination {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Named(name) => name.shift(by),
            Self::Not(inner) => inner.shift(by),
            Self::Plus(a, b) | Self::Minus(a, b) | Self::Within(a, b) => {
                a.shift(by);
                b.shift(by);
            }
        }
    }
}

impl Shift for part::Body {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Sensor(it) => it.shift(by),
            Self::Controller(it) => it.shift(by),
            Self::Supply(it) => it.shift(by),
            Self::Battery(it) => it.shift(by),
            Self::Load(it) => it.shift(by),
            Self::Relay(it) => it.shift(by),
            Self::Cable(it) => it.shift(by),
            Self::Camera(it) => it.shift(by),
            Self::Store(it) => it.shift(by),
        }
    }
}

impl Shift for response::Causes {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Any(list) => list.shift(by),
            Self::All(list, within) => {
                list.shift(by);
                within.shift(by);
            }
        }
    }
}

impl Shift for response::EffectKind {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Switch { output, on: _, hold } => {
                output.shift(by);
                hold.shift(by);
            }
            Self::Pulse { output, on, off, hold } => {
                output.shift(by);
                on.shift(by);
                off.shift(by);
                hold.shift(by);
            }
            Self::Record { cameras, before, after } => {
                cameras.shift(by);
                before.shift(by);
                after.shift(by);
            }
            Self::Show { cameras } => cameras.shift(by),
            Self::Sound { controller, hold } => {
                controller.shift(by);
                hold.shift(by);
            }
            Self::Tell { people } => people.shift(by),
            Self::Move { camera, preset } => {
                camera.shift(by);
                preset.shift(by);
            }
        }
    }
}

impl Shift for rehearsal::ActKind {
    fn shift(&mut self, by: u32) {
        match self {
            Self::Active(time) => time.shift(by),
            Self::Restored | Self::Tampered | Self::Lost | Self::Returns => {}
        }
    }
}
