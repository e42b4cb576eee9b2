//! The kinds of quantity that a site file can hold.

/// A kind of quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// Base unit m.
    Length,
    /// Base unit mm2.
    Area,
    /// A wire gauge number; base unit AWG (ASTM B258).
    Gauge,
    /// Base unit ohm.
    Resistance,
    /// Base unit ohm/m.
    ResistancePerLength,
    /// Base unit V.
    Voltage,
    /// Base unit A.
    Current,
    /// Base unit W; `VA` is taken as W.
    Power,
    /// Base unit Ah.
    Charge,
    /// Base unit ms.
    Time,
    /// Base unit degC.
    Temperature,
    /// Base unit byte (SI prefixes: 1 TB = 1e12 bytes).
    Data,
    /// Base unit bit/s.
    BitRate,
    /// Base unit dB.
    SoundLevel,
    /// A ratio; 20 % is 0.2.
    Ratio,
}

impl Dimension {
    /// The dimension in words, with its article: "a voltage".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "a conductor area",
            Self::Gauge => "a wire gauge",
            Self::Resistance => "a resistance",
            Self::ResistancePerLength => "a resistance per length",
            Self::Voltage => "a voltage",
            Self::Current => "a current",
            Self::Power => "a power",
            Self::Charge => "a charge",
            Self::Time => "a time",
            Self::Temperature => "a temperature",
            Self::Data => "an amount of data",
            Self::BitRate => "a bit rate",
            Self::SoundLevel => "a sound level",
            Self::Ratio => "a percentage",
        }
    }

    /// A quantity as it is typed, to teach by example.
    #[must_use]
    pub fn example(self) -> &'static str {
        match self {
            Self::Length => "18 m",
            Self::Area => "0.22 mm2",
            Self::Gauge => "24 AWG",
            Self::Resistance => "2.2 kohm",
            Self::ResistancePerLength => "92 ohm/km",
            Self::Voltage => "12 V",
            Self::Current => "0.45 A",
            Self::Power => "5 W",
            Self::Charge => "17 Ah",
            Self::Time => "1 h 30 min",
            Self::Temperature => "40 degC",
            Self::Data => "4 TB",
            Self::BitRate => "4 Mbit/s",
            Self::SoundLevel => "112 dB",
            Self::Ratio => "20 %",
        }
    }
}
