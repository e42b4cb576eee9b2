//! Who is connected to whom, looked up once for all instants of one system.

use crate::system::{
    ContactId, DriveId, FeedbackId, Id, OutputId, ResponseId, System, Table, ZoneId,
};

/// The connections of a system, from each thing to those that it reaches.
#[derive(Debug, Clone)]
pub(crate) struct Links {
    /// What comes back to a contact.
    pub(super) into: Table<ContactId, Vec<FeedbackId>>,
    /// The ways back of an output.
    pub(super) back: Table<OutputId, Vec<FeedbackId>>,
    /// What keeps an output on.
    pub(super) of_output: Table<OutputId, Vec<DriveId>>,
    /// What a zone keeps on.
    pub(super) of_zone: Table<ZoneId, Vec<DriveId>>,
    /// What a zone causes, and which of the causes it is.
    pub(super) caused_by: Table<ZoneId, Vec<(ResponseId, usize)>>,
    /// The zones that a zone confirms.
    pub(super) confirms: Table<ZoneId, Vec<ZoneId>>,
    /// What a response drives.
    pub(super) drives: Table<ResponseId, Vec<Driven>>,
    /// The zones that have to be confirmed of which a held contact may ask again in every millisecond, and
    /// nothing else comes of it. A contact that an output moves is left out: it may come and go in one
    /// instant.
    pub(super) patient: Vec<ZoneId>,
}

/// What one effect drives for one cause, by their places in the response.
#[derive(Debug, Clone, Copy)]
pub(super) struct Driven {
    pub(super) cause: usize,
    pub(super) effect: usize,
    pub(super) drive: DriveId,
}

impl Links {
    pub(crate) fn of(system: &System) -> Self {
        let mut links = Self {
            into: system.contacts.like(|_| Vec::new()),
            back: system.outputs.like(|_| Vec::new()),
            of_output: system.outputs.like(|_| Vec::new()),
            of_zone: system.zones.like(|_| Vec::new()),
            caused_by: system.zones.like(|_| Vec::new()),
            confirms: system.zones.like(|_| Vec::new()),
            drives: system.responses.like(|_| Vec::new()),
            patient: Vec::new(),
        };
        for (id, path) in system.feedback.iter() {
            push(&mut links.into, path.contact, id);
            push(&mut links.back, path.output, id);
        }
        for (id, drive) in system.drives.iter() {
            push(&mut links.of_output, drive.output, id);
            push(&mut links.of_zone, drive.zone, id);
            let driven = Driven { cause: drive.cause, effect: drive.effect, drive: id };
            push(&mut links.drives, drive.response, driven);
        }
        for (id, response) in system.responses.iter() {
            let zones = response.causes.zones();
            for (cause, &zone) in zones.iter().enumerate() {
                if zones.iter().position(|&other| other == zone) == Some(cause) {
                    push(&mut links.caused_by, zone, (id, cause));
                }
            }
        }
        for (id, zone) in system.zones.iter() {
            if let Some(confirm) = &zone.confirmed {
                push(&mut links.confirms, confirm.by, id);
            }
        }
        let patient = system.zones.iter().filter(|(id, zone)| {
            zone.confirmed.is_some()
                && zone.entry == 0
                && zone.deaf_for() == 1
                && at(&links.confirms, *id).is_empty()
                && at(&links.into, zone.contact).is_empty()
        });
        links.patient = patient.map(|(id, _)| id).collect();
        links
    }
}

fn push<I: Id, T>(table: &mut Table<I, Vec<T>>, id: I, item: T) {
    if let Some(list) = table.get_mut(id) {
        list.push(item);
    }
}

/// What a thing reaches; nothing for an id of another system.
pub(super) fn at<I: Id, T>(table: &Table<I, Vec<T>>, id: I) -> &[T] {
    table.get(id).map_or(&[], Vec::as_slice)
}
