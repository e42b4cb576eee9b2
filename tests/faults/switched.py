"""Outputs of a clean site, and the relays between."""
import power
import sheets
from fitted import alternating, low_place, run
from names import pick, title
from site_data import Item


def fits(ratings, kind, nature, amps):
    key = kind, nature or "resistive"
    return key in ratings and ratings[key][0] >= amps * 1.1


def outputs(site, rng):
    site.load = {}
    count = 2 if site.small else rng.randrange(3, 9)
    for k in range(count):
        supply = rng.choice(site.all("supply"))
        volts, kind = supply.part.volts, supply.part.supply_kind
        if kind == "ac":
            stem = "strike"
        else:
            stems = [one for one in sheets.LOADS if one != "strike"]
            stem = rng.choice(stems) if k else "horn"
        if not k:
            supply = next(one for one in site.all("supply") if one.part.volts == 12)
            volts, kind = 12, "dc"
        if (stem, volts) not in site.load:
            site.load[stem, volts] = sheets.load(site, rng, stem, volts, kind)
        load = site.load[stem, volts]
        many = rng.choice((1, 1, 1, 2))
        loads = [(many, load)]
        if stem == "horn" and volts == 12 and rng.random() < 0.3:
            if ("siren", 12) not in site.load:
                site.load["siren", 12] = sheets.load(site, rng, "siren", 12)
            loads.append((1, site.load["siren", 12]))
        output(site, rng, supply, loads, forced=k > 1 and rng.random() < 0.12)


def output(site, rng, supply, loads, forced=False):
    kind = supply.part.supply_kind
    nature = {"bare": "inductive", None: "resistive"}.get(loads[0][1].nature, loads[0][1].nature)
    natures = {"inductive" if load.nature == "bare" else load.nature for _, load in loads}
    top = sum(many * max(load.draw.amps(supply.part.high), load.draw.amps(supply.part.high * 0.7), load.inrush)
              for many, load in loads)
    choices = [one for one in site.all("controller") if one.free_relays]
    if not choices:
        return None
    controller = rng.choice(choices)
    if top > 8:
        return None  # more than any relay of ours carries
    direct = all(fits(controller.part.ratings, kind, one, top) for one in natures)
    terminal = rng.choice(controller.free_relays)
    controller.free_relays.remove(terminal)
    contact = controller.part.relays[terminal]
    side = {"make": "closing", "break": "opening", "changeover": rng.choice(("closing", "closing", "opening"))}[contact]
    resting_load = loads[0][1].stem in ("lock", "strike", "plain", "lamp", "flood", "strobe") and len(loads) == 1
    if side == "opening" and not resting_load:
        # What may not be on at rest needs a make side.
        makes = [(one, name) for one in choices for name in one.free_relays if one.part.relays[name] != "break"]
        controller.free_relays.append(terminal)
        if not makes:
            return None
        controller, terminal = rng.choice(makes)
        controller.free_relays.remove(terminal)
        side = "closing"
        direct = all(fits(controller.part.ratings, kind, one, top) for one in natures)
    if nature == "lamp" and ("dc", "lamp") not in controller.part.ratings:
        direct = False
    through = f"{controller.name}.{terminal}"
    relay = None
    if not direct or rng.random() < 0.15:
        twelve = next(one for one in site.all("supply") if one.part.volts == 12)
        ac = alternating(site, rng, 0.5) if ("ac", "inductive") in controller.part.ratings else None
        part = sheets.relay(site, rng, 24 if ac else 12, bare=bool(ac) and rng.random() < 0.6, kind="ac" if ac else "dc")
        name = pick(site, rng, "relay")
        coil_side = "closing" if controller.part.relays[terminal] != "break" else "opening"
        relay = site.add(Item("relay", name, f"relay {name}{title(rng, 'relay')} is {part.name}",
                              f"through {through}{'' if coil_side == 'closing' and rng.random() < 0.3 else ' ' + coil_side}",
                              part=part, side=coil_side, feed=run(site, rng, (ac or twelve,), "0.75", 6)))
        through = name
        own = {"make": "closing", "break": "opening"}.get(part.contacts, side)
        # Turned round twice is not turned round.
        side, word = ("opening" if (own == "opening") != (coil_side == "opening") else "closing"), own
        if side == "opening" and not resting_load:
            site.items.remove(relay)
            controller.free_relays.append(terminal)
            return None
    else:
        word = side
    name = pick(site, rng, loads[0][1].stem)
    drives = ", ".join(f"{many} of {load.name}" if many > 1 else load.name for many, load in loads)
    item = site.add(Item("output", name, f"output {name}{title(rng, 'output')} drives {drives}", loads=loads, side=side,
                         controller=controller, relay=relay, used=False, supply=supply, terminal=terminal))
    item.add(f"through {through}" + ("" if word == "closing" and rng.random() < 0.3 else f" {word}"))
    item.feed = run(site, rng, (supply,), rng.choice(("1.5", "2.5")))
    if rng.random() < 0.3:
        item.feed = run(site, rng, low_place(site, rng), "2.5") if supply.part.volts == 12 else item.feed
        item.supply = power.source(item.feed.place)
    if relay:
        relay.drives = item
    item.mode = None
    if forced:
        item.mode = rng.choice(("forced off", "forced on"))
        if side == "opening":
            item.mode = "forced on"
        elif any(load.loud for _, load in loads):
            # A sounder that is forced on sounds for ever.
            item.mode = "forced off"
        item.used = item.mode == "forced on"
    elif rng.random() < 0.2:
        item.mode = "automatic"
    if item.mode:
        item.add(f"mode {item.mode}")
    if any(load.nature == "bare" for _, load in loads):
        item.add("suppressed")
    item.area = rng.choice(site.areas) if rng.random() < 0.4 else None
    if item.area:
        item.add(f"area {item.area}")
    item.runs = None
    if rng.random() < 0.2 and item.mode in (None, "automatic"):
        item.runs = 10 * 60_000
        item.add("runs at most 10 min")
    item.loud = any(load.loud or "sound" in load.gives for _, load in loads)
    return item
