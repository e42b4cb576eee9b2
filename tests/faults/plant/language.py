"""Faults in the text itself: what cannot be read, is not known, is said twice, or is not said."""
import datetime

import plant.base as base
import power
import sheets
from plant.arming import used
from plant.base import Fault, new_name, pick, planter
from plant.recording import recorder
from site_data import Item


def blocks(site):
    """Items of the root file that have lines of their own and that no other fault uses."""
    return [item for item in site.items if item.lines and item.name and not item.shared and not item.touched
            and item.kind not in ("site", "policy", "part")]


def any_block(site, rng, test=lambda item: True):
    free = [item for item in blocks(site) if test(item)]
    if not free:
        return None
    item = rng.choice(free)
    site.touch(item)
    return item


UNREAD = "the line that cannot be read says nothing, and what hangs on it is another"


# ---- syntax ----


@planter("syntax")
def misspelt_word(site, rng, how):
    item = any_block(site, rng, lambda one: one.kind in ("zone", "output", "camera", "response", "controller"))
    if not item:
        return None
    if how == "miss":
        # A comment may say anything.
        item.add("# lockuot } { \" 5 m of nothing")
        return Fault("syntax", item.name)
    words = {"zone": "lockuot 5 s", "output": "revches yard", "camera": "presett gate", "response": "recrod everything",
             "controller": "fsue 3 A"}
    item.lines.insert(rng.randrange(len(item.lines) + 1), words[item.kind])
    return Fault("syntax", item.name)


@planter("syntax")
def left_over(site, rng, how):
    item = any_block(site, rng, lambda one: one.kind == "zone")
    if not item:
        return None
    if how == "miss":
        item.put(item.get("purpose") + "    # and so on, { or \" or not")
        return Fault("syntax", item.name)
    more = rng.choice((" please", " 5", " }", " intrusion intrusion"))
    item.put(item.get("purpose") + more)
    # A brace ends the block: the lines behind it belong to nothing, and cannot be read either.
    line = item.get("purpose")
    if more == " }":
        line = " ".join(item.lines[item.lines.index(line):])
    return Fault("syntax", item.name, line=line, along={"missing-fact": "a purpose that cannot be read is not said"})


@planter("syntax")
def open_quote(site, rng, how):
    name = new_name(site, rng, "button")
    title = '"Not closed' if how != "miss" else '"Closed, with \\" and { in it"'
    person = site.add(Item("schedule", name, f"schedule {name} {title}", "Mon 10:00 to 11:00"))
    site.touch(person)
    used(site, rng, person)
    return Fault("syntax", name)


@planter("syntax", miss=False)
def missing_brace(site, rng, how):
    item = any_block(site, rng, lambda one: one.kind in ("zone", "output", "camera"))
    if not item or item is site.items[-1]:
        return None
    item.is_open = True
    return Fault("syntax", item.name, line=item.head)


@planter("syntax", miss=False)
def no_text(site, rng, how):
    """Bytes that are no UTF-8, in a file that is used: told in that file."""
    site.files["hours.site"] = b"schedule more {\n    Mon 10:00 to 11:00 # \xff\xfe\x80\n}\n"
    site.uses.append("hours.site")
    return Fault("syntax")


@planter("syntax", miss=False)
def unknown_item(site, rng, how):
    name = new_name(site, rng, "thing")
    site.add(Item("odd", name, rng.choice((f"zonne {name} is something", f"seltsam {name}", "}"))))
    return Fault("syntax", name)


# ---- unknown-name ----


REPLACED = [("zone", "armed", "wrong-hours"), ("zone", "area", "wrong-area"), ("camera", "area", "wrong-area"),
            ("response", "tell", "wrong-people"), ("output", "area", "wrong-area")]
EMPTIED = {"unused-name": "nothing else may use the right name",
           "silent-zone": "the response named nothing else"}


@planter("unknown-name")
def unknown(site, rng, how):
    kind, word, wrong = rng.choice(REPLACED)
    item = any_block(site, rng, lambda one: one.kind == kind and one.get(word))
    if not item:
        return None
    if how == "miss":
        name = f"new-{wrong}"
        if word == "armed":
            return None
        what = "area" if word == "area" else "people"
        if name in site.place.names:
            return None
        site.place.add(f"{what} {name}")
        site.place.names = [*site.place.names, name]
        item.add(f"{word} {name}") if word == "tell" else item.put(f"{word} {name}")
        return Fault("unknown-name", item.name, along=EMPTIED)
    item.put(f"{word} {wrong}")
    return Fault("unknown-name", item.name, along=EMPTIED, of=(wrong,))


@planter("unknown-name")
def unknown_elsewhere(site, rng, how):
    """A time zone, a rule, a part, a tap, a controller."""
    kind = rng.choice(("allow", "part", "tap", "cause", "cable"))
    if how == "miss":
        return None
    if kind == "allow":
        name = new_name(site, rng, "allowed")
        site.add(Item("allow", name, 'allow contact-overlaod until 2099-01-01 because "a slip of the pen"'))
        return Fault("unknown-name", name)
    if kind == "part":
        item = any_block(site, rng, lambda one: one.kind == "camera" and one.part)
        if not item or (item.feed and not base.take_supply(site, item)):
            return None
        item.swap(f" is {item.part.name} on ", " is no-such-sheet on ")
        return Fault("unknown-name", item.name, along={**EMPTIED, "missing-fact": "its bit rate was on the sheet"})
    if kind == "tap":
        item = any_block(site, rng, lambda one: getattr(one, "feed", None) and one.feed.place[0].kind == "cable")
        if not item or not base.take_supply(site, item):
            return None
        item.raw = True
        item.put(item.get("fed").replace(f".{item.feed.place[1]}", ".no-such-tap", 1))
        return Fault("unknown-name", item.name)
    if kind == "cause":
        item = any_block(site, rng, lambda one: one.kind == "response" and one.causes)
        if not item:
            return None
        item.head += ", no-such-zone" if " within " not in item.head else ""
        return Fault("unknown-name", item.name) if " within " not in item.head else None
    item = any_block(site, rng, lambda one: one.kind == "zone" and one.over)
    if not item:
        return None
    item.put(item.get("wired").replace(site.thin.name, "no-such-cable"))
    return Fault("unknown-name", item.name, along=EMPTIED)


@planter("unknown-name", miss=False)
def unknown_zone(site, rng, how):
    if "timezone" in site.touched:
        return None
    site.touch("timezone")
    site.place.put("timezone " + rng.choice(("Europe/Lisbonn", "Mars/Olympus", "Europa/Wien")))
    return Fault("unknown-name", site.place.name,
                 along={"edge-in-clock-change": "no clocks are known", "missing-fact": "the time zone is not known"})


# ---- duplicate-name ----


@planter("duplicate-name")
def same_schedule(site, rng, how):
    """Two schedules of one name clash; a schedule and a thing of the site do not."""
    if how == "miss":
        thing = pick(site, rng, rng.choice(("zone", "output", "supply")))
        if not thing or any(one.kind == "schedule" and one.name == thing.name for one in site.items):
            return None
        item = Item("schedule", thing.name, f"schedule {thing.name}", "Mon 10:00 to 11:00")
        site.items.append(item)
        used(site, rng, item)
        return Fault("duplicate-name", thing.name)
    old = any_block(site, rng, lambda one: one.kind == "schedule")
    if not old:
        return None
    site.add(Item("schedule", old.name, f"schedule {old.name}", "Mon 10:00 to 11:00"))
    return Fault("duplicate-name", old.name, along={name: "which of the two hours is meant is not known" for name in (
        "armed-while-occupied", "holiday-not-covered", "recording-not-kept", "unused-name")})


@planter("duplicate-name", miss=False)
def same_thing(site, rng, how):
    zone = pick(site, rng, "zone")
    kind = rng.choice(("area", "people", "zone", "supply"))
    if not zone:
        return None
    if kind in ("area", "people"):
        site.place.add(f"{kind} {zone.name}")
        return Fault("duplicate-name", zone.name, site.place.name, along={
            "unused-name": "nothing uses the second thing", "unknown-name": "the name stands for the first of the two"})
    if kind == "supply":
        other = base.new_supply(site, rng)
    else:
        other = base.bench(site, rng)[2]
    other.head = other.head.replace(f"{other.kind} {other.name} ", f"{other.kind} {zone.name} ", 1)
    return Fault("duplicate-name", zone.name, other.name, along={
        "unused-name": "nothing uses the second thing", "unknown-name": "its old name is gone",
        "silent-zone": "the response says the name of the first"})


@planter("duplicate-name", miss=False)
def same_terminal(site, rng, how):
    supply = base.new_supply(site, rng)
    panel = base.new_panel(site, rng, supply)
    names = panel.part.groups[0][0]
    panel.part.add(f"inputs {rng.choice(names)}, extra1 common c9")
    return Fault("duplicate-name", panel.part.name)


@planter("duplicate-name", miss=False, alone=True)
def second_site(site, rng, how):
    other = rng.choice(("site", "policy"))
    if other == "policy" and not site.policy:
        return None
    name = "second"
    lines = ["timezone UTC", "ambient 0 to 20 degC"] if other == "site" else ["standby at least 1 h"]
    item = Item(other, name, f"{other} {name}", *lines)
    item.names = []
    site.add(item)
    return Fault("duplicate-name", name, site.place.name, *([site.policy.name] if site.policy else []),
                 along={"said-twice": "it is said in both"})


@planter("duplicate-name")
def second_plan(site, rng, how):
    """A controller with two recording plans; another controller may have one of its own."""
    panel, zone, camera, plan = recorder(site, rng)
    plan.lines = [f"keep events of {camera.name}", "store 40 TB"]
    if how == "miss":
        panel, zone, camera, plan = recorder(site, rng)
        plan.lines = [f"keep events of {camera.name}", "store 40 TB"]
        return Fault("duplicate-name", panel.name, plan.name)
    name = f"second recording {panel.name}"
    site.add(Item("recording", name, f"recording {panel.name}", f"keep motion of {camera.name}", "store 40 TB"))
    return Fault("duplicate-name", panel.name, name)


@planter("duplicate-name")
def same_in_two_files(site, rng, how):
    """Two used files give one name, or one of them gives a name of the root. A diamond gives it once."""
    one, two = new_name(site, rng, "shared"), new_name(site, rng, "other")
    text = "schedule {} {{\n    Mon 10:00 to 11:00\n}}\n"
    site.files["first.site"] = text.format(one)
    site.files["second.site"] = 'use "first.site"\n' + text.format(two) if how == "miss" else text.format(one)
    if how == "far":
        own = site.add(Item("schedule", one, f"schedule {one}", "Tue 10:00 to 11:00"))
        used(site, rng, own)
        del site.files["second.site"]
        site.uses.append("first.site")
        return Fault("duplicate-name", one)
    site.uses += ["first.site", "second.site"]
    return Fault("duplicate-name")


@planter("duplicate-name", miss=False, alone=True)
def two_policies(site, rng, how):
    if site.policy:
        site.files["rules.site"] = "policy other {\n    waste 10 %\n}\n"
    else:
        site.files["rules-a.site"] = "policy one {\n    waste 10 %\n}\n"
        site.files["rules.site"] = "policy other {\n    waste 15 %\n}\n"
        site.uses.append("rules-a.site")
    site.uses.append("rules.site")
    return Fault("duplicate-name")


# ---- missing-fact ----


NEEDED = [("zone", "wired"), ("zone", "purpose"), ("zone", "armed"), ("output", "through"), ("output", "fed"),
          ("controller", "fed"), ("relay", "fed"), ("relay", "through"), ("cable", "from")]
OPTIONAL = [("zone", "area"), ("zone", "fuse"), ("output", "fuse"), ("output", "area"), ("camera", "area")]


@planter("missing-fact")
def missing(site, rng, how):
    kind, word = rng.choice(OPTIONAL if how == "miss" else NEEDED)
    item = any_block(site, rng, lambda one: one.kind == kind and one.get(word))
    if not item or (how == "miss" and word == "area" and " reaches " in " ".join(o.text() for o in site.all("output"))):
        return None
    if word in ("through", "fed", "from") and not base.take_supply(site, item, getattr(item, "relay", None)):
        return None
    # What hangs on it would hang on no supply at all.
    if word == "fed" and any(feed.place[0] is item for _, feed in power.consumers(site)):
        return None
    item.drop(word)
    item.feed = None if word == "fed" else getattr(item, "feed", None)
    along = {"unused-name": "nothing else may use what it named"}
    if word == "fuse":
        along["fuse-mismatch"] = "the fuse before it may be too large for the cable behind it"
    if word in ("from", "through") or (kind, word) == ("controller", "fed"):
        along["silent-zone"] = "not said"
        along.pop("silent-zone")
    return Fault("missing-fact", item.name, along=along)


@planter("missing-fact")
def missing_in_part(site, rng, how):
    """A part without the figure that everything else needs, used by something."""
    supply, panel, zone = base.bench(site, rng, repeats="while active")
    if how == "miss":
        zone.part.drop("contact")
        return Fault("missing-fact", zone.name)
    what = rng.choice(("rests", "active", "repeats", "conductor"))
    if what == "repeats":
        panel.part.drop("repeats")
        return Fault("missing-fact", panel.part.name, panel.name)
    if what == "conductor":
        cable = base.new_cable(site, rng)
        cable.drop("resistance")
        camera_feed = power.Feed((supply,), 3, cable)
        panel.feed = camera_feed
        panel.put(camera_feed.text())
        return Fault("missing-fact", cable.name, panel.name)
    zone.part.drop(what)
    return Fault("missing-fact", zone.part.name, zone.name)


@planter("missing-fact", miss=False)
def missing_in_site(site, rng, how):
    word = rng.choice(("timezone", "ambient"))
    if word in site.touched:
        return None
    site.touch("timezone", "ambient")
    site.place.drop(word)
    return Fault("missing-fact", site.place.name, say=word)


@planter("missing-fact", miss=False)
def no_effects(site, rng, how):
    zone = pick(site, rng, "zone")
    if not zone:
        return None
    name = f"response-empty-{zone.name}"
    site.add(Item("response", name, f"response to {zone.name}", f"during {base.need(site, site.open).name}", causes=[zone], effects=[], words="", during=None, after=0, named=False))
    return Fault("missing-fact", name)


# ---- wrong-dimension ----


WRONG = [("lockout 5 m", "lockout 5000 ms"), ("lockout 5", "lockout 0.5 min"), ("lockout 5 MA", "lockout 5 second"),
         ("fuse 2 V", "fuse 20000 mA"), ("fuse 2", "fuse 20 A"), ("fuse 3 a", "fuse 0.02 kA"),
         ("settle 20 Ms", "settle 20 ms"), ("runs at most 10 kg", "runs at most 600 s"),
         ("runs at most 10", "runs at most 0.5 h"), ("bit-rate 4 MB", "bit-rate 4000 kbit/s"),
         ("repeats at most 3 s per arming", "repeats at most 3 per arming")]
HOLDER = {"lockout": "zone", "settle": "zone", "fuse": "supply", "runs": "output", "bit-rate": "camera",
          "repeats": "zone"}


@planter("wrong-dimension")
def wrong_unit(site, rng, how):
    wrong, right = rng.choice(WRONG)
    word = wrong.split()[0]
    if right.endswith("kA") and how == "miss" or word == "repeats":
        return None
    if HOLDER[word] == "zone":
        zone = base.bench(site, rng, settle=20, repeats="once an activation")[2]
        item = zone
    elif word == "fuse":
        item = base.bench(site, rng)[0]
    elif word == "runs":
        item = pick(site, rng, "output", lambda one: not one.runs and one.mode in (None, "automatic"))
    else:
        # Left open: the rate of the sheet counts while that of the camera cannot be read.
        item = pick(site, rng, "camera", lambda one: one.part and one.get("bit-rate") and one.part.rate <= one.rate)
    if not item:
        return None
    said = right if how == "miss" else wrong
    if word == "bit-rate" and how == "miss":
        said = f"bit-rate {item.rate * 1000:g} kbit/s"
    item.put(said) if item.lines else item.add(said)
    along = {}
    if word == "bit-rate":
        along = {"missing-fact": "the rate of the camera is not known then"}
    if word == "runs":
        along = {"rehearsal-fails": "a story may have run longer"} if how == "miss" else {}
    return Fault("wrong-dimension", item.name, along=along, say=said)


@planter("wrong-dimension")
def wrong_length(site, rng, how):
    zone = pick(site, rng, "zone", lambda one: one.over)
    if not zone:
        return None
    old = f"{zone.length} m of"
    new = rng.choice((f"{zone.length} s of", f"{zone.length} of", f"{zone.length} M of", f"{zone.length} V of"))
    if how == "miss":
        new = rng.choice((f"{zone.length * 100} cm of", f"{zone.length * 1000} mm of", f"{zone.length / 1000:g} km of",
                          f"{zone.length / 0.3048:.6f} ft of", f"{zone.length}m of"))
    zone.put(zone.get("wired").replace(old, new))
    return Fault("wrong-dimension", zone.name, say=new, line=zone.get("wired"))


# ---- impossible-value ----


@planter("impossible-value")
def impossible_hours(site, rng, how):
    """A span without length, a day that is not in the calendar, a range that runs backwards."""
    name = new_name(site, rng, "visits")
    year = base.TODAY.year
    faults = ["Mon 10:00 to 10:00", f"also {year}-02-30 10:00 to 11:00", f"also {year}-06-31 10:00 to 11:00",
              f"except {year}-08-10 to {year}-08-01", "Tue 25:00 to 26:00", "Wed 10:61 to 12:00",
              "also 2027-02-29 10:00 to 11:00"]
    fine = ["Mon 10:00 to 10:01", f"also {year}-02-28 10:00 to 11:00", f"also {year}-06-30 10:00 to 11:00",
            f"except {year}-08-01 to {year}-08-01", "Tue 00:00 to 24:00", "Wed 10:59 to 12:00",
            "also 2028-02-29 10:00 to 11:00"]
    line = rng.choice(fine if how == "miss" else faults)
    item = site.add(Item("schedule", name, f"schedule {name}", "Thu 12:00 to 13:00", line))
    used(site, rng, item)
    site.touch(item)
    return Fault("impossible-value", name, say=line, along={"syntax": "no such time can be read"} if ":61" in line or
                 "25:" in line else {})


def measured(site, zone):
    return any(f"{zone.controller.name}.{zone.terminal} " in one.text() for one in site.all("measured"))


@planter("impossible-value")
def impossible_figure(site, rng, how):
    zone = pick(site, rng, "zone", lambda one: one.over and not measured(site, one))
    if not zone:
        return None
    length = rng.choice(("-3 m", "-0.5 m", "99999999999999999999999999 m")) if how != "miss" else rng.choice(("0.5 m", "1 cm"))
    zone.put(zone.get("wired").replace(f"{zone.length} m", length))
    return Fault("impossible-value", zone.name, say=length, line=zone.get("wired"))


@planter("impossible-value")
def impossible_ring(site, rng, how):
    """Schedules that are made of each other."""
    one, two = new_name(site, rng, "made"), new_name(site, rng, "made-of")
    base.need(site, site.night)
    first = site.add(Item("schedule", one, f"schedule {one} is {two} plus {site.night.name}"))
    last = one if how != "miss" else site.night.name
    second = site.add(Item("schedule", two, f"schedule {two} is {last} plus {site.night.name}"))
    used(site, rng, first)
    site.touch(first, second)
    return Fault("impossible-value", one, two)


@planter("impossible-value")
def impossible_part(site, rng, how):
    """A conductor or a battery of nothing, a gauge or a class that is none."""
    supply, panel, zone = base.bench(site, rng)
    cable = base.new_cable(site, rng)
    panel.feed = power.Feed((supply,), 3, cable)
    panel.put(panel.feed.text())
    cable.drop("resistance")
    wrong, right = rng.choice((("conductor 0 mm2", "conductor 0.05 mm2"), ("conductor 99 AWG", "conductor 12 AWG"),
                               ("conductor 1 mm2 class 3", "conductor 1 mm2 class 5"),
                               ("resistance 0 ohm/km", "resistance 0.1 ohm/km"),
                               ("conductor 20000 mm2", "conductor 1000 mm2")))
    cable.add(right if how == "miss" else wrong)
    return Fault("impossible-value", cable.name, say=cable.lines[-1])


@planter("impossible-value")
def impossible_range(site, rng, how):
    if "ambient" in site.touched:
        return None
    site.touch("ambient")
    low, high = site.ambient
    wrong = rng.choice((f"{high} to {low}", f"-300 to {high}", f"{low} to 2000"))
    site.place.put(f"ambient {wrong if how != 'miss' else f'{high} to {high}'} degC")
    return Fault("impossible-value", site.place.name, say="ambient",
                 along={"missing-fact": "the temperatures are not known then"})


# ---- said-twice ----


ONCE = [("zone", "armed"), ("zone", "lockout"), ("zone", "purpose"), ("zone", "wired"), ("output", "through"),
        ("output", "fed"), ("camera", "bit-rate"), ("site", "timezone"), ("site", "ambient"), ("controller", "fed"),
        ("supply", "battery"), ("recording", "store"), ("policy", "standby"), ("policy", "spare")]


@planter("said-twice")
def cause_twice(site, rng, how):
    """One cause twice in a response; in two responses it is two facts."""
    one, other = (base.bench(site, rng)[2] for _ in range(2))
    causes = f"{one.name}, {other.name}" + ("" if how == "miss" else f", {one.name}")
    words = f"all of {causes} within 10 s" if how == "near" else causes
    name = new_name(site, rng, "both")
    site.add(Item("response", name, f"response {name} to {words}", f"sound {site.all('controller')[0].name}",
                  causes=[], effects=[], words="", during=None, after=0, named=True))
    return Fault("said-twice", name)


@planter("said-twice")
def said_twice(site, rng, how):
    kind, word = rng.choice(ONCE)
    if how == "miss":
        kind, word = rng.choice((("recording", "keep"), ("site", "people"), ("site", "holidays"), ("response", "tell")))
    item = pick(site, rng, kind, lambda one: one.get(word))
    if not item:
        return None
    said = item.get(word)
    if how == "miss":
        if word == "holidays":
            item.add("holidays every 02-03")
            return Fault("said-twice", item.name, along={"holiday-not-covered": "another holiday"})
        if word == "keep":
            camera = next((c for c in site.all("camera") if c.controller is item.controller), None)
            item.add(f"keep motion of {camera.name} during {base.need(site, site.night).name}")
            return Fault("said-twice", item.name, along={"retention-too-short": "more is kept"})
        if word == "people":
            item.add("people another-one")
            return Fault("said-twice", item.name, along={"unused-name": "nobody tells them"})
        item.add(f"tell {site.people[-1]}") if len(site.people) > 1 else None
        return Fault("said-twice", item.name)
    if kind == "site":
        if word in site.touched:
            return None
        site.touch(word)
    item.lines.insert(item.lines.index(said) + rng.choice((0, 1)), said)
    return Fault("said-twice", item.name, line=said)


# ---- unused-name ----


@planter("unused-name")
def unused(site, rng, how):
    kind = rng.choice(("schedule", "area", "people", "cable", "supply", "relay", "part"))
    name = new_name(site, rng, "spare")
    if how == "miss":
        # In a shared file others may use it, and nothing is said there.
        other = f"extra-{name}.site"
        site.files[other] = (f"schedule {name} {{\n    Mon 10:00 to 11:00\n}}\n\npart shared-pair is cable {{\n"
                             "    cores 2\n    conductor 1 mm2\n}\n")
        site.uses.append(other)
        return Fault("unused-name")
    if kind in ("area", "people"):
        site.place.add(f"{kind} {name}")
        return Fault("unused-name", site.place.name)
    if kind == "schedule":
        site.add(Item("schedule", name, f"schedule {name}", "Mon 10:00 to 11:00"))
    elif kind == "part":
        site.add(Item("part", name, f"part {name} is cable", "cores 2", "conductor 1 mm2", part_kind="cable"))
    elif kind == "supply":
        supply = base.new_supply(site, rng)
        return Fault("unused-name", supply.name)
    elif kind == "relay":
        supply, panel, zone = base.bench(site, rng)
        terminal = base.make_side(panel)
        if not terminal:
            return None
        part = sheets.relay(site, rng, 12)
        base.place_part(site, part)
        site.add(Item("relay", name, f"relay {name} is {part.name}", f"through {panel.name}.{terminal} closing",
                      f"fed from {supply.name}", part=part, side="closing", feed=power.Feed((supply,))))
    else:
        supply = base.bench(site, rng)[0]
        cable = base.new_cable(site, rng)
        site.add(Item("cable", name, f"cable {name} is {cable.name}", f"from {supply.name}", "tap end at 3 m from start",
                      part=cable, start=(supply,), taps=[("end", "start", 3)], cores=None, fuse=None, feed=None))
    return Fault("unused-name", name)


# ---- confusable-name ----


ALIKE = [("gate1", "gatel"), ("d0ck", "dOck"), ("dock-a", "dосk-a"), ("pilot1", "piIot1"), ("area-x", "аrea-x")]
APART = [("gate1", "gate2"), ("dock", "duck"), ("höhe", "hohe"), ("area-x", "area-y"), ("берег-а", "берег-б")]  # no other name begins so


@planter("confusable-name")
def alike(site, rng, how):
    one, two = rng.choice(APART if how == "miss" else ALIKE)
    if {one, two} & {item.name for item in site.items}:
        return None
    target = base.bench(site, rng)[2].answer
    for name in (one, two):
        site.place.add(f"people {name}")
        target.add(f"tell {name}")
    site.place.names = [*site.place.names, one, two]
    return Fault("confusable-name", site.place.name, target.name, say=f"{one} {two}")


@planter("confusable-name")
def hidden(site, rng, how):
    """Characters that are not seen or that turn the text round; a name that is not composed."""
    name = new_name(site, rng, "note")
    sign = rng.choice(("\u200b", "\u202e", "\u2066", "\u00ad", "\ufeff"))
    text = f"the {sign}door" if how != "miss" else "the döör, 門, дверь"
    if rng.random() < 0.5:
        item = site.add(Item("schedule", name, f'schedule {name} "{text}"', "Mon 10:00 to 11:00"))
    else:
        item = site.add(Item("schedule", name, f"schedule {name}", f"Mon 10:00 to 11:00  # {text}"))
    used(site, rng, item)
    return Fault("confusable-name", name, say=ascii(sign))


@planter("confusable-name", miss=False)
def not_composed(site, rng, how):
    name = rng.choice(("cafe\u0301-hours", "dо-mixed", "zеit"))
    item = site.add(Item("schedule", name, f"schedule {name}", "Mon 10:00 to 11:00"))
    used(site, rng, item)
    return Fault("confusable-name", name)


# ---- exceptions ----


def allowed(site, rng, until):
    """A zone that sets off nothing, and an exception for it."""
    zone = base.bench(site, rng)[2]
    site.items.remove(zone.answer)
    site.effects.remove(zone.answer)
    name = f"allow-{zone.name}"
    site.add(Item("allow", name, f'allow silent-zone on {zone.name} until {until} because "it comes next month"'))
    return zone, name


@planter("exception-expired")
def expired(site, rng, how):
    """The last day belongs to the exception: it is past on the day after."""
    days = {"near": 1, "far": rng.randrange(2, 4000), "miss": rng.choice((0, 0, -1, -400))}[how]
    zone, name = allowed(site, rng, base.TODAY - datetime.timedelta(days))
    return Fault("exception-expired", name, along={"silent-zone": "what was excepted is told again"}
                 if how != "miss" else {})


@planter("exception-unused")
def exception_unused(site, rng, how):
    if how == "miss":
        allowed(site, rng, base.TODAY + datetime.timedelta(30))
        return Fault("exception-unused")
    thing = pick(site, rng, rng.choice(("zone", "output", "supply")))
    if not thing:
        return None
    rule = rng.choice(("endless-retrigger", "contact-overload", "undervoltage", "silent-zone"))
    name = f"allow-{thing.name}"
    site.add(Item("allow", name, f'allow {rule} on {thing.name} until 2099-12-31 because "door closer on order"'))
    return Fault("exception-unused", name)


# ---- files ----


@planter("import-cycle", alone=True)
def ring_of_files(site, rng, how):
    length = {"near": 2, "far": rng.randrange(3, 7), "miss": rng.randrange(2, 7)}[how]
    names = [f"ring/r{k}.site" for k in range(length)]
    for k, name in enumerate(names):
        after = names[(k + 1) % length]
        # A diamond is no ring: the last file of it uses nothing.
        line = f'use "{after.split("/")[1]}"\n' if how != "miss" or k + 1 < length else ""
        if how == "miss" and k + 2 < length:
            line += f'use "{names[k + 2].split("/")[1]}"\n'
        site.files[name] = line + f"schedule ring-{k} {{\n    Mon 10:00 to 11:00\n}}\n"
    site.uses.append(names[0])
    return Fault("import-cycle")


@planter("outside-workspace", alone=True)
def outside(site, rng, how):
    if how == "miss":
        # Up and down again stays inside.
        site.files["hours/more.site"] = "schedule more {\n    Mon 10:00 to 11:00\n}\n"
        site.uses.append("hours/../hours/more.site")
        return Fault("outside-workspace")
    path = rng.choice(("../../hours.site", "/etc/hours.site", "../../../../hours.site", "parts/../../../hours.site"))
    if rng.random() < 0.3:
        site.place.add(f'holidays from "{path.replace(".site", ".ics")}"')
        return Fault("outside-workspace", site.place.name)
    site.uses.append(path)
    return Fault("outside-workspace")


@planter("unreadable-file", alone=True)
def unreadable(site, rng, how):
    kind = rng.choice(("missing", "folder", "site", "calendar", "no calendar"))
    if how == "miss":
        site.files["hours.site"] = "﻿schedule more {\r\n    Mon 10:00 to 11:00\r\n}\r\n" if rng.random() < 0.5 else ""
        site.uses.append("hours.site")
        return Fault("unreadable-file")
    if kind == "missing":
        site.uses.append("hours-that-are-not.site")
    elif kind == "folder":
        site.files["hours.site/inside.txt"] = "a folder\n"
        site.uses.append("hours.site")
    elif kind == "site":
        site.files["other/own.site"] = "site second {\n    timezone UTC\n    ambient 0 to 20 degC\n}\n"
        site.uses.append("other/own.site")
    else:
        if kind == "no calendar":
            site.files["days.ics"] = "these are no days\n"
        site.place.add('holidays from "days.ics"')
        return Fault("unreadable-file", site.place.name)
    return Fault("unreadable-file")

