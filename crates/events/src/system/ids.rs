//! Small integer ids and the tables that they index.

use std::marker::PhantomData;

pub(crate) trait Id: Copy {
    fn from_index(index: usize) -> Self;
    fn place(self) -> usize;
}

macro_rules! id {
    ($(#[$doc:meta])* $vis:vis $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        $vis struct $name(usize);

        impl $name {
            /// Its number, from 0, in the order in which the parts were added.
            #[must_use]
            #[allow(dead_code, reason = "not every kind of id is asked for its number")]
            $vis fn index(self) -> usize {
                self.0
            }
        }

        impl Id for $name {
            fn from_index(index: usize) -> Self {
                Self(index)
            }

            fn place(self) -> usize {
                self.0
            }
        }
    };
}

id! {
    /// A contact of a system.
    pub ContactId
}
id! {
    /// A zone of a system.
    pub ZoneId
}
id! {
    /// A response of a system.
    pub ResponseId
}
id! {
    /// An output of a system.
    pub OutputId
}
id! {
    /// An area of a system.
    pub AreaId
}
id! { pub(crate) FeedbackId }
id! { pub(crate) GateId }
id! { pub(crate) DriveId }

/// A list that only its own kind of id can index.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct Table<I, T> {
    items: Vec<T>,
    kind: PhantomData<I>,
}

impl<I: Id, T> Table<I, T> {
    pub(crate) fn new() -> Self {
        Self::from_vec(Vec::new())
    }

    pub(crate) fn from_vec(items: Vec<T>) -> Self {
        Self { items, kind: PhantomData }
    }

    pub(crate) fn push(&mut self, item: T) -> I {
        self.items.push(item);
        I::from_index(self.items.len() - 1)
    }

    pub(crate) fn len(&self) -> usize {
        self.items.len()
    }

    pub(crate) fn get(&self, id: I) -> Option<&T> {
        self.items.get(id.place())
    }

    pub(crate) fn get_mut(&mut self, id: I) -> Option<&mut T> {
        self.items.get_mut(id.place())
    }

    pub(crate) fn iter(&self) -> impl DoubleEndedIterator<Item = (I, &T)> + ExactSizeIterator {
        self.items.iter().enumerate().map(|(place, item)| (I::from_index(place), item))
    }

    pub(crate) fn values_mut(&mut self) -> impl Iterator<Item = &mut T> {
        self.items.iter_mut()
    }

    pub(crate) fn ids(&self) -> impl Iterator<Item = I> + use<I, T> {
        (0..self.items.len()).map(I::from_index)
    }

    /// A table of the same length.
    pub(crate) fn like<U>(&self, make: impl FnMut((I, &T)) -> U) -> Table<I, U> {
        Table::from_vec(self.iter().map(make).collect())
    }
}

impl<I: Id, T: Copy> Table<I, T> {
    /// The item, or `otherwise` for an id of another system.
    pub(crate) fn at(&self, id: I, otherwise: T) -> T {
        self.get(id).copied().unwrap_or(otherwise)
    }
}
