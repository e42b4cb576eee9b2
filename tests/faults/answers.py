"""Responses of a clean site: every zone and every output is used."""
from limits import SOUND_LIMIT
from names import pick
from sheets import ms
from site_data import Item


def responses(site, rng):
    site.asked = set()
    site.effects = []
    usable = [one for one in site.all("output") if one.mode in (None, "automatic")]
    alarms = [one for one in usable if one.side == "closing"]
    resting = [one for one in usable if one.side == "opening"]
    names = 0

    def respond(causes, effects, during=None, after=0, words=None):
        nonlocal names
        named = rng.random() < 0.4
        name = pick(site, rng, "answer") if named else f"response-{len(site.effects)}"
        words = words or rng.choice(("", "any of ")) + ", ".join(one.name for one in causes)
        item = Item("response", name, f"response {name + ' ' if named else ''}to {words}", causes=causes, during=during,
                    after=after, effects=effects, words=words, named=named)
        if during:
            item.add(f"during {during.name}")
        if after:
            item.add(f"after {ms(after)}")
        for effect in effects:
            item.add(effect_text(rng, effect))
            if effect[0] in ("close", "open", "pulse"):
                effect[1].used = True
            if effect[0] == "record":
                site.asked |= {camera.name for camera in effect[1]}
        site.effects.append(item)
        return site.add(item)

    turned = {}

    def some(group=(), panic=False):
        out = []
        if alarms and rng.random() < (0.9 if panic else 0.6):
            one = rng.choice(alarms)
            # A door that is left open registers as often as it may, one time after the other, each perhaps with
            # its lockout before it.
            often = max([zone.limit or 1 for zone in group], default=1)
            longest = min(600, SOUND_LIMIT // 1000 // often - 10)
            out.append(("close", one, 1000 * rng.randrange(20, longest)) if one.stem_pulse or rng.random() < 0.8 else
                       ("pulse", one, 800, 400, 300_000))
        if site.all("camera") and rng.random() < 0.6:
            out.append(("record", rng.sample(site.all("camera"), min(2, len(site.all("camera")))),
                        rng.choice((0, 5000)), rng.choice((30_000, 60_000))))
        if site.all("camera") and rng.random() < 0.2:
            out.append(("show", [rng.choice(site.all("camera"))]))
        turning = [one for one in site.all("camera") if one.presets]
        if turning and rng.random() < 0.3:
            # Two responses may have a cause in common: each camera has one preset for all of them.
            one, preset = rng.choice(turning), rng.choice(("gate", "ramp"))
            out.append(("move", one, turned.setdefault(one.name, preset)))
        if rng.random() < 0.2 or not out:
            out.append(("sound", rng.choice(site.all("controller")), rng.choice((None, 10_000))))
        if rng.random() < 0.6 or not out:
            out.append(("tell", rng.sample(site.people, 1)))
        return out

    for one in usable:
        one.stem_pulse = one.runs is not None
    if resting:
        lock = rng.choice(resting)
        keys = [one for one in site.all("zone") if one.purpose == "command"]
        if keys:
            respond([rng.choice(keys)], [("open", lock, rng.choice((10_000, 5000)))])
    left = site.all("zone")
    rng.shuffle(left)
    while left:
        group, left = left[:rng.randrange(1, 5)], left[4:] if rng.random() < 0 else left[rng.randrange(1, 5):]
        panic = any(one.purpose == "panic" for one in group)
        during = None
        after = rng.choice((0, 0, 0, 5000))
        if not panic and rng.random() < 0.2:
            during = rng.choice((site.shut, site.night))
            # A zone whose answer never comes while it is armed sets off nothing.
            if not all((one.armed.hours & during.hours).any() for one in group):
                during = None
        respond(group, some(group, panic), during, after)
    named = {cause.name for one in site.effects for cause in one.causes}
    missing = [one for one in site.all("zone") if one.name not in named]
    if missing:
        respond(missing, some(missing, True))
    intruders = [one for one in site.all("zone") if one.purpose == "intrusion"]
    if len(intruders) > 1 and rng.random() < 0.5:
        two = rng.sample(intruders, 2)
        respond(two, some(), words=f"all of {two[0].name}, {two[1].name} within {rng.choice(('2 min', '90 s'))}")
    losses = rng.sample(site.all("supply") + site.all("camera"), min(2, len(site.all("supply"))))
    covers = [one for one in site.all("zone") if one.part.tamper and (one.steps or getattr(one, "tamper_to", False))]
    # A tamper contact on an input of its own sets off nothing until a response names it.
    landed = [one for one in covers if getattr(one, "tamper_to", False)]
    words = [f"loss of {one.name}" for one in losses]
    words += [f"tamper of {one.name}" for one in landed + [one for one in covers if one not in landed][:2]]
    if landed or rng.random() < 0.7:
        respond([], [("tell", [rng.choice(site.people)]), ("sound", site.all("controller")[0], None)], words=", ".join(words))
    free = [one for one in usable if not one.used]
    for one in free:
        if one.side == "opening":
            respond([], [("open", one, 30_000)], words=f"start of {site.open.name}")
        # What the clock switches on for hours counts in the standby, and batteries are fitted to what is on at rest.
        elif one.loud or rng.random() < 0.5 or any(supply.battery for supply in site.all("supply")):
            respond([], [("close", one, 60_000)], words=f"end of {site.open.name}")
        else:
            respond([], [("close", one, None)], words=f"start of {site.night.name}")
            respond([], [("open", one, None)], words=f"end of {site.night.name}")


def effect_text(rng, effect):
    word = effect[0]
    if word in ("close", "open"):
        return f"{word} {effect[1].name}" + (f" for {ms(effect[2])}" if effect[2] else "")
    if word == "pulse":
        comma = rng.choice(("", ","))
        return f"pulse {effect[1].name} {ms(effect[2])} on, {ms(effect[3])} off{comma} for {ms(effect[4])}"
    if word == "record":
        out = f"record {', '.join(one.name for one in effect[1])}"
        return out + (f" from {ms(effect[2])} before" if effect[2] else "") + f" to {ms(effect[3])} after"
    if word == "show":
        return f"show {', '.join(one.name for one in effect[1])}"
    if word == "sound":
        return f"sound {effect[1].name}" + (f" for {ms(effect[2])}" if effect[2] else "")
    if word == "move":
        return f"move {effect[1].name} to {effect[2]}"
    return f"tell {', '.join(effect[1])}"
