"""Supplies, cables, controllers and zones of a clean site."""
import power
import sheets
from names import pick, title
from power import Feed
from sheets import DOOR, HAND, ms
from site_data import Item


def wants_standby(site):
    """Whether what watches needs a battery; it is fed with 12 V."""
    return "standby" in site.limits or "alarm-time" in site.limits


def supplies(site, rng):
    kinds = [12] + ([24] if rng.random() < 0.5 else []) + ([48] if rng.random() < 0.3 else [])
    kinds += [12] if rng.random() < 0.5 else []
    kinds += ["ac"] if rng.random() < 0.3 else []
    site.thin, site.pairs = sheets.cable(site, rng, "thin"), {}
    for volts in kinds:
        kind, size = ("ac", 24) if volts == "ac" else ("dc", volts)
        with_battery = kind == "dc" and (rng.random() < 0.8 or volts == 12 and wants_standby(site))
        part = sheets.supply(site, rng, size, kind, with_battery)
        battery = sheets.battery(site, rng, size, rng.random() < 0.6, 10) if with_battery else None
        name = pick(site, rng, "box")
        item = site.add(Item("supply", name, f"supply {name}{title(rng, 'Box')} is {part.name}", part=part,
                             battery=battery, battery_count=rng.choice((1, 1, 2)), fuse=None, feed=None))
        if battery:
            many = f"{item.battery_count} of " if item.battery_count > 1 else ""
            item.add(f"battery {many}{battery.name}")


def pair(site, rng, size):
    if size not in site.pairs or rng.random() < 0.2:
        site.pairs[size] = sheets.cable(site, rng, size)
    return site.pairs[size]


def run(site, rng, place, size, most=30):
    """A way from a place, sometimes with cores in parallel and joints."""
    if rng.random() < 0.1:
        return Feed(place)
    cable = site.thin if size == "thin" else pair(site, rng, size)
    feed = Feed(place, rng.randrange(1, most), cable)
    if size == "thin" and rng.random() < 0.5:
        feed.cores = 2
    if rng.random() < 0.25:
        feed.joints = rng.randrange(2, 5)
        feed.joint_said = "joint" not in site.limits or rng.random() < 0.5
        feed.joint = 0.015 if feed.joint_said else site.limits["joint"]
    return feed


def alternating(site, rng, share):
    """The supply of alternating current, if the site has one and chance wants it."""
    supply = next((one for one in site.all("supply") if one.part.supply_kind == "ac"), None)
    return supply if supply and rng.random() < share else None


def low_place(site, rng):
    """A place with 12 V: a supply, or a tap of a cable."""
    twelve = [one for one in site.all("supply") if one.part.volts == 12]
    supply = rng.choice(twelve)
    cables = [one for one in site.all("cable") if power.source(one.start) is supply]
    if cables and rng.random() < 0.5:
        one = rng.choice(cables)
        return one, rng.choice(one.taps)[0]
    if rng.random() < 0.3 and len(cables) < 2:
        name = pick(site, rng, "run")
        part = pair(site, rng, rng.choice(("2.5", "4", "6")))
        start = (supply,)
        if cables and rng.random() < 0.5:
            start = (cables[0], cables[0].taps[-1][0])
        taps = [("near", "start", rng.randrange(2, 12)), ("mid", "near", rng.randrange(2, 12))]
        taps.append(("far", rng.choice(("near", "mid")), rng.randrange(2, 12)))
        cable = site.add(Item("cable", name, f"cable {name}{title(rng, 'run')} is {part.name}", part=part, start=start,
                              taps=taps, cores=rng.choice((None, None, 1)), fuse=None, feed=None))
        return cable, rng.choice(taps)[0]
    return (supply,)


def controllers(site, rng):
    families = ["plain"] + rng.sample(["five", "four"], rng.choice((0, 1, 2)) if site.small else 2)
    for family in families:
        ac = alternating(site, rng, 0.15) if family != "plain" else None
        part = sheets.controller(site, rng, family, kind="ac" if ac else "dc")
        if ac:
            # What hangs on its outlets would be fed by alternating current.
            part.outlets = ()
            part.drop("outlets")
        for _ in range(2 if rng.random() < 0.2 else 1):
            feed = run(site, rng, (ac,) if ac else low_place(site, rng), rng.choice(("0.75", "1", "1.5", "2.5")), 12)
            name = pick(site, rng, "panel")
            item = site.add(Item("controller", name, f"controller {name}{title(rng, 'panel')} is {part.name}", part=part,
                                 feed=feed))
            item.inputs = [(terminal, common) for names, common in part.groups for terminal in names]
            item.free_relays = list(part.relays)
            item.free_channels = list(part.channels)
            item.free_outlets = list(part.outlets)


FOR = {"reed": "intrusion", "cover-reed": "intrusion", "shutter-reed": "intrusion", "button": "panic", "rail": "panic",
       "latch-button": "panic", "strip": "panic", "eye": "intrusion", "beam": "intrusion", "listener": "intrusion",
       "shock": "intrusion", "water": "technical", "heat": "technical", "mains": "technical", "covers": "tamper",
       "key": "command", "push": "command", "echo": "technical"}
LOOPS = {"plain": [stem for stem in FOR if FOR[stem] not in ("panic", "tamper")] + ["covers"],
         "five": [stem for stem in FOR if sheets.SENSORS[stem][0] == "closed" and stem != "shutter-reed"],
         "four": [stem for stem in FOR if not sheets.SENSORS[stem][2]]}


def zones(site, rng):
    site.sensor = {}
    for controller in site.all("controller"):
        used = rng.randrange(1, len(controller.inputs) + 1)
        if site.small:
            used = min(used, 3)
        for terminal, common in rng.sample(controller.inputs, used):
            if (terminal, common) not in controller.inputs:
                continue  # a tamper contact has taken it
            stem = rng.choice([one for one in LOOPS[controller.part.family] if one != "echo"])
            if stem == "covers" and "tamper" in site.limits and controller.part.family == "plain":
                stem = "reed"
            if stem == "latch-button" and controller.part.repeats == "while active":
                stem = "rail"  # it would register for ever, or be deaf for good
            zone(site, rng, controller, terminal, common, stem)


def zone(site, rng, controller, terminal, common, stem, place=None):
    ac = alternating(site, rng, 0.3) if not place and stem in ("eye", "beam", "listener") else None
    kind = "ac" if ac else "dc"
    if (stem, kind) not in site.sensor or rng.random() < 0.1:
        site.sensor[stem, kind] = sheets.sensor(site, rng, stem, kind)
    sensor, family = site.sensor[stem, kind], controller.part.family
    controller.inputs.remove((terminal, common))
    name = pick(site, rng, stem)
    item = site.add(Item("zone", name, f"zone {name}{title(rng, stem)} is {sensor.name}", part=sensor,
                         controller=controller, terminal=terminal, purpose=FOR[stem], feed=None, follows=None))
    item.add(f"purpose {item.purpose}")
    item.area = rng.choice(site.areas) if rng.random() < 0.7 else None
    if item.area:
        item.add(f"area {item.area}")
    item.length = rng.randrange(1, 60)
    item.common = f" and {controller.name}.{rng.choice(controller.part.extra)}" if common is None else ""
    if not item.common and common and rng.random() < 0.1:
        item.common = f" and {controller.name}.{common}"
    item.over = f" over {item.length} m of {site.thin.name}" if rng.random() < 0.9 else ""
    if not item.over:
        item.length = 0
    item.add(f"wired to {controller.name}.{terminal}{item.common}{item.over}")
    # The setting of the input agrees with the sensor: said by the zone, or by the part.
    if controller.part.setting != sensor.rests or rng.random() < 0.2:
        if controller.part.setting or rng.random() < 0.5:
            item.add(f"input rests {sensor.rests}")
    item.steps = controller.part.steps.get(sensor.tamper == "closed" and family == "five", [])
    if item.steps:
        item.add("ends " + ends_text(item.steps))
    elif rng.random() < 0.2:
        item.add("ends none")
    item.armed = rng.choice(site.hours_for_zones) if item.purpose == "intrusion" else site.always
    if item.purpose in ("technical", "command") and rng.random() < 0.3:
        item.armed = rng.choice((site.open, site.night))
    item.add(f"armed {item.armed.name}")
    item.settle = controller.part.settle
    if rng.random() < 0.15:
        item.settle = rng.choice((30, 150))
        item.add(f"settle {ms(item.settle)}")
    item.registers = controller.part.repeats
    if item.registers == "as the zone says":
        latched = stem == "latch-button"
        item.registers = "once an activation" if latched else rng.choice(("while active", "once an activation"))
        item.add(f"registers {item.registers}")
    item.lockout = rng.choice((0, 1000, 2000, 5000, 10_000))
    item.limit = None
    if item.registers == "while active":
        # Nothing that stays active may register for ever, nor a short activation twice.
        if sensor.active == DOOR:
            item.limit = rng.randrange(1, 5)
        elif sensor.active == HAND:
            item.lockout = rng.choice((5000, 10_000))
        else:
            item.lockout = sensor.longest + 1000 * rng.randrange(1, 9)
    elif item.armed is not site.always and rng.random() < 0.2:
        item.limit = rng.randrange(1, 5)
    if item.limit:
        item.add(f"repeats at most {item.limit} per arming")
    if item.lockout:
        item.add(f"lockout {ms(item.lockout)}")
    item.entry = item.exit = 0
    if item.purpose == "intrusion" and item.armed is not site.always:
        if rng.random() < 0.2:
            item.entry = 30_000
            item.add("entry 30 s")
        if rng.random() < 0.2:
            item.exit = 60_000
            item.add("exit 1 min")
    item.confirmed = None
    others = [one for one in site.all("zone") if one is not item and one.purpose == "intrusion" and not one.confirmed]
    if item.purpose == "intrusion" and others and rng.random() < 0.12:
        item.confirmed = rng.choice(others)
        item.add(f"confirmed by {item.confirmed.name} within {rng.choice(('60 s', '2 min'))}")
    if sensor.draw and place:
        item.feed = Feed(place)
    elif ac:
        item.feed = run(site, rng, (ac,), "0.75")
    elif sensor.draw:
        place = low_place(site, rng)
        if controller.free_outlets and rng.random() < 0.6:
            place = controller, rng.choice(controller.free_outlets)
        item.feed = run(site, rng, place, rng.choice(("thin", "0.75")))
    # A tamper contact with an input of its own, which keeps the setting of its part.
    agrees = controller.part.setting in (None, sensor.tamper)
    if sensor.tamper and agrees and not item.steps and controller.inputs and rng.random() < 0.5:
        terminal, common = controller.inputs.pop()
        back = f" and {controller.name}.{controller.part.extra[0]}" if common is None else ""
        item.add(f"tamper to {controller.name}.{terminal}{back} over {item.length or 3} m of {site.thin.name}")
        item.tamper_to = True
    return item


def ends_text(steps):
    out = []
    for step in steps:
        if step[1] == "tamper":
            out.append(f"{step[0]} (tamper across {sheets.ohm(step[2])} +-{step[3]:g} %)")
        else:
            out.append(f"{step[0]} {sheets.ohm(step[1])} +-{step[2]:g} %")
    return ", ".join(out)
