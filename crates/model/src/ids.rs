//! Indices of things in a model. An id is only made by `build` for a thing that is there.

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub(crate) u32);

        impl $name {
            /// The index in the model's list of these things.
            #[must_use]
            pub fn index(self) -> usize {
                self.0 as usize
            }

            pub(crate) fn new(index: usize) -> Self {
                Self(u32::try_from(index).unwrap_or(u32::MAX))
            }
        }
    )* };
}

ids! {
    /// A part.
    PartId,
    /// A schedule.
    ScheduleId,
    /// A supply.
    SupplyId,
    /// A controller.
    ControllerId,
    /// A relay of its own.
    RelayId,
    /// A cable with taps.
    CableId,
    /// A zone.
    ZoneId,
    /// An output.
    OutputId,
    /// A camera.
    CameraId,
}
