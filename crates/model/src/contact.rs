//! Which sides a contact has, as far as its part says so.

use crate::things::{Contact, ContactAt, Model};
use curtilage_syntax::tree::part::Contacts;
use curtilage_text::Place;

impl Model<'_> {
    /// The kind of a contact and where its part says it; none when it does not.
    #[must_use]
    pub fn contacts_of(&self, contact: &Contact<'_>) -> Option<(Contacts, Place)> {
        match contact.of {
            ContactAt::Terminal(terminal) => Some((terminal.contacts()?, terminal.declared())),
            ContactAt::Relay(relay) => {
                let part = self.relay(relay)?.part?;
                let contacts = part.sheet.contacts?;
                Some((contacts.value, part.place(contacts.span)))
            }
        }
    }

    /// Whether a thing of the site has this name: things of all kinds share their names.
    #[must_use]
    pub fn names_thing(&self, name: &str) -> bool {
        let site = self.site.iter();
        let areas = site.clone().flat_map(|site| &site.areas).map(|area| area.name);
        let people = site.flat_map(|site| &site.people).map(|person| person.name);
        let mut all = (self.supplies.iter().map(|thing| thing.name))
            .chain(self.controllers.iter().map(|thing| thing.name))
            .chain(self.relays.iter().map(|thing| thing.name))
            .chain(self.cables.iter().map(|thing| thing.name))
            .chain(self.zones.iter().map(|thing| thing.name))
            .chain(self.outputs.iter().map(|thing| thing.name))
            .chain(self.cameras.iter().map(|thing| thing.name))
            .chain(self.responses.iter().filter_map(|thing| thing.name))
            .chain(areas)
            .chain(people);
        all.any(|thing| thing.text == name)
    }
}
