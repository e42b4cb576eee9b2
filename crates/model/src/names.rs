//! Names with their places, and the kinds of thing that have one.

use curtilage_text::Place;

/// A name and where it is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Named<'a> {
    /// The name.
    pub text: &'a str,
    /// Where it is given.
    pub at: Place,
}

/// The kinds of thing that have a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The site.
    Site,
    /// A schedule.
    Schedule,
    /// A sensor part.
    SensorPart,
    /// A controller part.
    ControllerPart,
    /// A supply part.
    SupplyPart,
    /// A battery part.
    BatteryPart,
    /// A load part.
    LoadPart,
    /// A relay part.
    RelayPart,
    /// A cable part.
    CablePart,
    /// A camera part.
    CameraPart,
    /// A store part.
    StorePart,
    /// A supply.
    Supply,
    /// A controller.
    Controller,
    /// A relay.
    Relay,
    /// A cable with taps.
    Cable,
    /// A zone.
    Zone,
    /// An output.
    Output,
    /// A camera.
    Camera,
    /// An area.
    Area,
    /// People who can be told.
    People,
    /// A response.
    Response,
    /// A policy.
    Policy,
    /// A tap of a cable.
    Tap,
    /// A preset of a camera.
    Preset,
    /// A rule.
    Rule,
    /// A supply, a tap of a cable or an outlet of a controller.
    Source,
    /// A relay of its own, or a controller's relay.
    ContactSource,
    /// An area or a zone.
    AreaOrZone,
    /// A camera or a supply.
    CameraOrSupply,
    /// A zone, an output, a camera, a supply or people.
    Actor,
    /// A controller, an output or a supply.
    Measurable,
    /// Anything with a name.
    Anything,
}

impl Kind {
    /// The kind in words, with its article.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Site => "a site",
            Self::Schedule => "a schedule",
            Self::SensorPart => "a sensor part",
            Self::ControllerPart => "a controller part",
            Self::SupplyPart => "a supply part",
            Self::BatteryPart => "a battery part",
            Self::LoadPart => "a load part",
            Self::RelayPart => "a relay part",
            Self::CablePart => "a cable part",
            Self::CameraPart => "a camera part",
            Self::StorePart => "a store part",
            Self::Supply => "a supply",
            Self::Controller => "a controller",
            Self::Relay => "a relay",
            Self::Cable => "a cable",
            Self::Zone => "a zone",
            Self::Output => "an output",
            Self::Camera => "a camera",
            Self::Area => "an area",
            Self::People => "people",
            Self::Response => "a response",
            Self::Policy => "a policy",
            Self::Tap => "a tap",
            Self::Preset => "a preset",
            Self::Rule => "a rule",
            Self::Source => "a supply, a tap or an outlet",
            Self::ContactSource => "a relay or a controller's relay terminal",
            Self::AreaOrZone => "an area or a zone",
            Self::CameraOrSupply => "a camera or a supply",
            Self::Actor => "a zone, an output, a camera, a supply or people",
            Self::Measurable => "a controller, an output or a supply",
            Self::Anything => "anything",
        }
    }

    /// The kind in one word or two, without the article.
    #[must_use]
    pub fn noun(self) -> &'static str {
        let words = self.words();
        words.strip_prefix("an ").or(words.strip_prefix("a ")).unwrap_or(words)
    }
}
