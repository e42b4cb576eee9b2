"""Terminals, commons, channels and settings of inputs."""
import plant.base as base
from plant.base import Fault, pick, planter
from site_data import Item


@planter("rest-state-mismatch")
def upside_down(site, rng, how):
    """The contact rests in one state and the input takes the other for rest."""
    # With resistors of an end-of-line network the bands say what is what, and the setting has to agree all the same.
    zone = pick(site, rng, "zone", lambda one: one.controller.part.family == "plain" and not one.follows)
    if not zone:
        return None
    rests = zone.part.rests
    other = "open" if rests == "closed" else "closed"
    zone.put(f"input rests {rests if how == 'miss' else other}")
    # A zone that is active at rest registers at other times.
    if not base.drop_stories(site, zone):
        return None
    return Fault("rest-state-mismatch", zone.name)


@planter("rest-state-mismatch")
def wrong_default(site, rng, how):
    """The controller's part says the setting, and the zone says nothing."""
    zone = base.bench(site, rng, stem=rng.choice(("push", "reed")))[2]
    part = zone.controller.part
    zone.drop("input")
    rests = zone.part.rests
    part.lines = [line for line in part.lines if not line.startswith("input rests")]
    part.add(f"input rests {rests if how == 'miss' else 'open' if rests == 'closed' else 'closed'}")
    return Fault("rest-state-mismatch", zone.name, part.name)


@planter("rest-state-mismatch")
def cover_upside_down(site, rng, how):
    """The tamper contact rests in one state, and its input keeps the other one from the controller's part."""
    stem = "shutter-reed" if how != "miss" else rng.choice(("shutter-reed", "cover-reed"))
    supply, panel, zone = base.bench(site, rng, stem=stem, repeats="once an activation")
    zone.drop("tamper")
    zone.put(f"input rests {zone.part.rests}")
    part = panel.part
    part.lines = [line for line in part.lines if not line.startswith("input rests")]
    part.add(f"input rests {zone.part.tamper if how == 'miss' else zone.part.rests}")
    terminal, common = panel.inputs.pop()
    back = f" and {panel.name}.{panel.part.extra[0]}" if common is None else ""
    zone.add(f"tamper to {panel.name}.{terminal}{back}")
    site.add(Item("response", f"response-cover-{zone.name}", f"response to tamper of {zone.name}",
                  f"sound {panel.name}", causes=[], effects=[], words="", during=None, after=0, named=False))
    return Fault("rest-state-mismatch", zone.name, part.name)


@planter("terminal-reused")
def same_input(site, rng, how):
    one = pick(site, rng, "zone", lambda zone: zone.controller.part.family == "plain")
    two = pick(site, rng, "zone", lambda zone: one and zone.controller is one.controller)
    if not one or not two:
        return None
    if how == "miss":
        return None
    old = two.get("wired").split()[2]
    two.put(two.get("wired").replace(old, f"{one.controller.name}.{one.terminal}"))
    return Fault("terminal-reused", one.name, two.name, along={
        "common-missing": "the input that it is moved to may have no common inside, or another one"})


@planter("terminal-reused")
def same_again(site, rng, how):
    supply, panel, zone = base.bench(site, rng)
    other = base.new_zone(site, rng, panel, "reed")
    if how == "miss":
        return Fault("terminal-reused", zone.name, other.name)
    if rng.random() < 0.5:
        base.unwire(site, other, f"wired to {panel.name}.{zone.terminal}{zone.common}")
    else:
        part = base.own_part(site, rng, other)
        part.add("tamper rests closed")
        other.add(f"tamper to {panel.name}.{zone.terminal}{zone.common}")
    return Fault("terminal-reused", zone.name, other.name)


@planter("terminal-reused", miss=False)
def same_channel(site, rng, how):
    camera = pick(site, rng, "camera")
    if not camera:
        return None
    name = base.new_name(site, rng, "cam")
    item = site.add(Item("camera", name, f"camera {name} on {camera.controller.name}.{camera.channel}",
                         "bit-rate 1 Mbit/s", part=None, controller=camera.controller, feed=None, presets=[], rate=1.0,
                         channel=camera.channel))
    site.touch(item)
    return Fault("terminal-reused", camera.name, name)


@planter("terminal-reused")
def two_wills(site, rng, how):
    """Two outputs on one contact that one response closes for unequal times; equal ones are the same."""
    supply, panel, zone = base.bench(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    load, through = base.new_load(site, rng, 0.05), f"{panel.name}.{terminal}"
    one = base.new_output(site, rng, through, load, supply, used_by=zone)
    hold = {"near": 61_000, "far": 900_000, "miss": 60_000}[how]
    two = base.new_output(site, rng, through, load, supply, used_by=zone, hold=hold)
    return Fault("terminal-reused", one.name, two.name)


@planter("unknown-terminal")
def no_such_input(site, rng, how):
    supply, panel, zone = base.bench(site, rng)
    names = [name for group, _ in panel.part.groups for name in group]
    if how == "miss":
        terminal, common = panel.inputs[-1]
        base.unwire(site, zone, f"wired to {panel.name}.{terminal}" + (f" and {panel.name}.gnd" if common is None else ""))
        return Fault("unknown-terminal", zone.name)
    number = int(names[-1].lstrip("inze"))
    prefix = names[-1].rstrip("0123456789")
    wrong = {"near": f"{prefix}{number + 1}", "far": rng.choice(("in999", "relay1", "input-1", f"{prefix}0"))}[how]
    base.unwire(site, zone, f"wired to {panel.name}.{wrong}")
    return Fault("unknown-terminal", zone.name, say=wrong)


@planter("unknown-terminal", miss=False)
def no_such_relay(site, rng, how):
    output = pick(site, rng, "output", lambda one: not one.relay and one.mode in (None, "automatic")
                  and one.name not in site.movers)
    if not output:
        return None
    wrong = rng.choice(("relay9", "relay0", output.controller.part.groups[0][0][0], "aux99"))
    output.put(output.get("through").replace(f".{output.terminal}", f".{wrong}"))
    if not base.take_supply(site, output, output.relay) or not base.drop_stories(site, output):
        return None
    return Fault("unknown-terminal", output.name, say=wrong, of=[output.controller.name])


@planter("common-missing")
def no_return(site, rng, how):
    """An input without a common inside, and a zone that does not say where its second wire goes."""
    supply, panel, zone = base.bench(site, rng)
    part = panel.part
    part.add("inputs lone1, lone2")
    if not part.extra:
        part.add("commons gnd")
    back = {"near": "", "far": "", "miss": f" and {panel.name}.gnd"}[how]
    base.unwire(site, zone, f"wired to {panel.name}.lone{rng.choice((1, 2))}{back}")
    return Fault("common-missing", zone.name)


@planter("common-missing")
def wrong_return(site, rng, how):
    """The second wire goes to the common of another group."""
    supply, panel, zone = base.bench(site, rng)
    panel.part.add("inputs lone1, lone2 common lone-c")
    panel.part.add("inputs pair1, pair2 common pair-c")
    common = "lone-c" if how == "miss" else "pair-c"
    base.unwire(site, zone, f"wired to {panel.name}.lone1 and {panel.name}.{common}")
    return Fault("common-missing", zone.name)


@planter("channel-unknown")
def no_such_channel(site, rng, how):
    camera = pick(site, rng, "camera")
    if not camera:
        return None
    part = camera.controller.part
    if how == "miss":
        return Fault("channel-unknown", camera.name)
    number = len(part.channels)
    wrong = f"channel{number + 1}" if how == "near" else rng.choice(("channel99", "channel0", "relay1", part.groups[0][0][0]))
    camera.head = camera.head.replace(f".{camera.channel}", f".{wrong}")
    return Fault("channel-unknown", camera.name, along={
        "recording-not-kept": "a camera on no channel is recorded by nobody"}, say=wrong, of=[camera.controller.name])


@planter("setting-not-offered")
def not_offered(site, rng, how):
    repeats = rng.choice(("once an activation", "while active", *(["as the zone says"] if how == "miss" else [])))
    zone = base.bench(site, rng, repeats=repeats)[2]
    # Saying what the controller does anyway asks for nothing else.
    wishes = ["once an activation", "while active"]
    wish = repeats if how == "miss" and repeats in wishes else next(one for one in wishes if one != repeats)
    zone.put(f"registers {wish}")
    return Fault("setting-not-offered", zone.name)
