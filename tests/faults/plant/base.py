"""What every planter needs: how it is listed, and a bench of its own to plant a circuit on.

A planter takes a clean site and one of three words. `near` puts the fault just beyond its limit, `far`
well beyond, `miss` just within it, so that the rule has to stay silent. It gives nothing when the site
has no place for it. What it plants follows from the definitions by arithmetic in the planter; none of
it was read from the code that is tested.
"""
import answers
import fitted
import names
import power
import sheets
import stories
from power import Feed
from site_data import Item

PLANTERS = {}


class Fault:
    """What was planted: the rule, the names of the items where it is told, and what may come along.

    `along` gives other rules that follow from the same fault, each with the reason. `line` is the statement
    that cannot be read, or that is said twice, and `of` the names of what lacks something.
    """

    def __init__(self, rule, *where, along=None, say="", line="", of=()):
        self.rule, self.where, self.along, self.say = rule, where, along or {}, say
        self.line, self.of = line, of
        self.kinds = set()


def planter(rule, *, miss=True, alone=False):
    """Lists a planter. `alone` ones leave a file that nothing else can be planted into."""
    def keep(make):
        make.rule, make.has_miss, make.alone = rule, miss, alone
        PLANTERS.setdefault(rule, []).append(make)
        return make
    return keep


def pick(site, rng, kind, test=lambda item: True):
    """One thing of a kind that no other fault uses, or nothing."""
    free = site.free(kind, test)
    if not free:
        return None
    item = rng.choice(free)
    site.touch(item)
    return item


def need(site, item):
    """Puts an item back that nothing used, with what it is made of."""
    if item is not site.always and item not in site.items:
        site.items.append(item)
        if item.kind == "part":
            place_part(site, item)
        for other in getattr(item, "of", ()):
            need(site, other)
    return item


def place_part(site, item):
    item.shared = "parts/parts.site" if "parts/parts.site" in site.uses else False


def own_part(site, rng, item):
    """Gives a thing a part of its own, so that a change in it is felt nowhere else."""
    old = item.part
    part = sheets.part(site, old.part_kind, f"own-{old.part_kind}")
    part.__dict__.update({key: value for key, value in old.__dict__.items() if key not in ("name", "head", "lines")})
    part.lines = list(old.lines)
    users = [one for one in site.items if getattr(one, "part", None) is old]
    item.head = swap_last(item.head, old.name, part.name)
    item.part = part
    if len(users) == 1 and not any(old.name in names.names_in(one) for one in site.items if one is not old):
        site.items.remove(old)
    site.touch(part)
    return part


def unwire(site, zone, words):
    """Wires a zone anew, without a cable."""
    zone.put(words)
    zone.length = 0
    if not any(site.thin.name in names.names_in(one) for one in site.items if one is not site.thin):
        site.items = [one for one in site.items if one is not site.thin]


def drop_stories(site, *things):
    """Takes out the rehearsals that would be others now: those that expect something of what hangs on these.

    Says whether it could: in one of them may be another fault.
    """
    gone = stories.stories_of(site, *things)
    site.items = [one for one in site.items if one not in gone]
    return not any(story.touched for story in gone)


def take_supply(site, *things):
    """Whether no other fault reckons with the supplies of these; from now on this one does."""
    # A relay that another fault brought says in words alone what feeds it: the supply of what hangs on it.
    places = [one.start if one.kind == "cable" else one.feed and one.feed.place for one in things if one]
    supplies = {power.source(place) for place in places if place}
    fresh = not any(supply.touched for supply in supplies)
    site.touch(*supplies)
    return fresh


def swap_last(text, old, new):
    head, _, tail = text.rpartition(f" is {old}")
    return f"{head} is {new}{tail}"


def new_name(site, rng, stem):
    return names.pick(site, rng, stem)


def own_cable(site, rng, item):
    """Gives the run of a thing a cable of its own."""
    old = item.feed.cable
    part = sheets.part(site, "cable", "own-cable")
    kept = {key: value for key, value in old.__dict__.items() if key not in ("name", "head", "lines")}
    part.__dict__.update(kept)
    part.lines = list(old.lines)
    item.feed.cable = part
    item.put(item.feed.text())
    if not any(old.name in names.names_in(one) for one in site.items if one is not old):
        site.items.remove(old)
    site.touch(part)
    return part


# ---- A bench: a supply, a controller, a zone and an output that nothing else hangs on ----


def new_supply(site, rng, volts=12, rated=80, kind="dc", high=None, empty=True, inside=None):
    part = sheets.part(site, "supply", "bench-box", volts=volts, supply_kind=kind, inside=inside, charges=None)
    place_part(site, part)
    scale = volts / 12
    part.low = round(13.4 * scale, 2) if kind == "dc" else 24.0
    part.high = high or (round(13.8 * scale, 2) if kind == "dc" else 26.0)
    part.empty = round(10.5 * scale, 2) if empty and kind == "dc" else None
    part.rated = rated
    part.add(f"gives {part.low:g} V to {part.high:g} V {kind}, at most {rated:g} A")
    if part.empty:
        part.add(f"empty at {part.empty:g} V")
    if inside:
        part.add(f"inside {sheets.ohm(inside)}")
    name = new_name(site, rng, "box")
    item = site.add(Item("supply", name, f"supply {name} is {part.name}", part=part, battery=None, battery_count=1,
                         fuse=None, feed=None))
    site.touch(item, part)
    if kind == "dc" and fitted.wants_standby(site):
        stand_by(site, item)
    return item


def stand_by(site, supply):
    """A battery that is never empty; the supply's lowest voltage stays what it gives."""
    battery = sheets.part(site, "battery", "bench-store", kinetic=False, charge=1e6)
    place_part(site, battery)
    battery.lines = ["holds 1000000 Ah over 20 h", "peukert 1", f"voltage {supply.part.volts} V"]
    supply.battery = battery
    supply.add(f"battery {battery.name}")
    supply.part.empty = None
    supply.part.drop("empty")
    site.touch(battery)


def new_panel(site, rng, supply, family="plain", **wish):
    part = sheets.controller(site, rng, family, **wish)
    place_part(site, part)
    name = new_name(site, rng, "panel")
    item = site.add(Item("controller", name, f"controller {name} is {part.name}", part=part, feed=Feed((supply,))))
    item.inputs = [(terminal, common) for names, common in part.groups for terminal in names]
    item.free_relays, item.free_channels = list(part.relays), list(part.channels)
    item.free_outlets = list(part.outlets)
    item.add(item.feed.text())
    site.touch(item, part)
    return item


def new_cable(site, rng, ohm_km=None, carries=None, cores=2):
    part = sheets.part(site, "cable", "bench-cable", cores=cores, ohm_km=ohm_km or rng.choice((7.0, 13.0, 24.0)),
                       carries=carries or 40.0)
    place_part(site, part)
    part.lines = [f"cores {cores}", f"resistance {part.ohm_km:g} ohm/km"]
    if carries != 0:
        part.add(f"carries at most {part.carries:g} A")
    site.touch(part)
    return part


def new_zone(site, rng, panel, stem, answered=True, armed=None):
    """A zone of a bench, and a response that only tells."""
    terminal, common = panel.inputs[0]
    sensors, site.sensor = site.sensor, {}
    others, site.hours_for_zones = site.hours_for_zones, [site.always]
    areas, site.areas = site.areas, ["nowhere"]
    zone = fitted.zone(site, rng, panel, terminal, common, stem, (power.source(panel.feed.place),))
    site.sensor, site.hours_for_zones, site.areas = sensors, others, areas
    # In no area: an output of the site may reach it.
    zone.drop("area")
    zone.area = None
    zone.armed = armed or site.always
    zone.put(f"armed {zone.armed.name}")
    place_part(site, zone.part)
    need(site, zone.armed)
    if site.thin.name in names.names_in(zone):
        need(site, site.thin)
    if zone.registers != "while active":
        zone.limit = None
        zone.drop("repeats")
    if zone.confirmed:
        zone.confirmed = None
        zone.drop("confirmed")
    for word in ("entry", "exit"):
        zone.drop(word)
        setattr(zone, word, 0)
    # No response of a bench names its tamper contact.
    zone.drop("tamper")
    zone.tamper_to = False
    zone.site_thin, zone.hottest = site.thin, site.ambient[1]
    if zone.feed:
        zone.put(zone.feed.text())
    zone.answer = respond(site, rng, zone, ("sound", panel, 10_000)) if answered else None
    site.touch(zone, zone.part)
    return zone


def respond(site, rng, zone, *effects, during=None):
    item = Item("response", f"response-{zone.name}-{len(site.effects)}", f"response to {zone.name}", causes=[zone],
                during=during, after=0, effects=list(effects), words=zone.name, named=False)
    if during:
        item.add(f"during {during.name}")
    for effect in effects:
        item.add(answers.effect_text(rng, effect))
    site.effects.append(item)
    site.touch(item)
    return site.add(item)


def new_load(site, rng, amps, low=8.4, high=15.2, law="current", unit="A", nature="resistive", inrush=None, kind="dc",
             **facts):
    from network import Draw
    part = sheets.part(site, "load", "bench-load", gives=(), loud=False, nature=nature, idles=0, stem="bench", **facts)
    place_part(site, part)
    part.draw = Draw(amps, unit, low, high, law)
    part.add("draws " + part.draw.text(kind))
    part.inrush = inrush or 0.0
    if inrush:
        part.add(f"inrush {inrush:g} A for 20 ms")
    if nature:
        part.add(nature)
    site.touch(part)
    return part


def new_output(site, rng, through, load, supply, count=1, cable=None, length=0, side="closing", used_by=None, hold=60_000):
    """An output of a bench. `through` is words; `used_by` is a zone whose response closes it."""
    name = new_name(site, rng, "load")
    many = f"{count} of " if count > 1 else ""
    item = site.add(Item("output", name, f"output {name} drives {many}{load.name}", f"through {through} {side}",
                         loads=[(count, load)], side=side, supply=supply, used=used_by is not None, mode=None, runs=None,
                         area=None, loud=False, controller=None, relay=None, terminal=None))
    item.feed = Feed((supply,), length, cable) if cable else Feed((supply,))
    item.add(item.feed.text())
    if used_by:
        effect = ("close" if side == "closing" else "open", item, hold)
        used_by.answer.effects.append(effect)
        used_by.answer.add(answers.effect_text(rng, effect))
    site.touch(item)
    return item


def bench(site, rng, rated=80, volts=12, family="plain", stem="push", **wish):
    """A supply with room, a controller on it, and a zone with an answer."""
    low = new_supply(site, rng, 12)
    panel = new_panel(site, rng, low, family, **wish)
    zone = new_zone(site, rng, panel, stem)
    supply = low if volts == 12 and rated == 80 else new_supply(site, rng, volts, rated)
    return supply, panel, zone


def make_side(panel):
    """A relay terminal of a controller that has a make side."""
    return next((name for name in panel.free_relays if panel.part.relays[name] != "break"), None)
