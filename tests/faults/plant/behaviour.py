"""What happens when something is active: how often it counts, what it sets off, and for how long."""
import plant.base as base
import sheets
from hours import DAYS, clock
from plant.arming import schedule
from plant.base import Fault, pick, planter
from plant.recording import recorder
from sheets import ms
from site_data import Item
from stories import length, moment, on_time


def output_of(site, rng, panel, supply, zone, load=None, hold=60_000):
    terminal = base.make_side(panel)
    if not terminal:
        return None
    panel.part.drop("relay")
    panel.part.add("relay 20 A at 60 V dc resistive")
    panel.free_relays.remove(terminal)
    load = load or base.new_load(site, rng, 0.2)
    return base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, used_by=zone, hold=hold)


@planter("pulse-too-short")
def missed_pulse(site, rng, how):
    """The shortest activation against the settle time, of the zone or of its controller."""
    stem = rng.choice(("shock", "strip", "beam"))
    shortest = sheets.SENSORS[stem][1][0]
    settle = {"near": shortest + 1, "far": shortest * 3, "miss": shortest - 1}[how]
    own = rng.random() < 0.5
    family = "four" if stem == "strip" else "plain"
    zone = base.bench(site, rng, stem=stem, family=family, settle=20 if own else settle, repeats="once an activation")[2]
    zone.drop("settle")
    if own:
        zone.add(f"settle {ms(settle)}")
    return Fault("pulse-too-short", zone.name, say=f"{shortest} ms, settles in {settle} ms")


@planter("endless-retrigger")
def door_ajar(site, rng, how):
    """Active until restored, registers while active, and nothing limits it."""
    supply, panel, zone = base.bench(site, rng, stem=rng.choice(("reed", "water", "key")), repeats=rng.choice((
        "while active", "as the zone says")))
    if panel.part.repeats == "as the zone says":
        zone.put("registers while active")
    zone.drop("repeats")
    zone.put("lockout 2 s")
    if how == "far":
        output_of(site, rng, panel, supply, zone)
    if how == "miss":
        zone.add(f"repeats at most {rng.choice((1, 50))} per arming")
    return Fault("endless-retrigger", zone.name)


@planter("endless-retrigger", miss=False)
def limit_taken_out(site, rng, how):
    """A zone of the site loses its limit of repeats."""
    zone = pick(site, rng, "zone", lambda one: one.limit and one.registers == "while active"
                and one.part.active == sheets.DOOR and not one.follows and not one.confirmed)
    if not zone:
        return None
    zone.drop("repeats")
    if not base.drop_stories(site, zone):
        return None
    return Fault("endless-retrigger", zone.name, along={"held-open-fills-store": "it records each time"})


@planter("endless-retrigger", miss=False)
def button_that_stays(site, rng, how):
    """The sheet of a sensor says that it stays until it is restored; the controller goes on registering."""
    supply, panel, zone = base.bench(site, rng, stem="push", repeats="while active")
    part = base.own_part(site, rng, zone)
    part.put("active until restored")
    return Fault("endless-retrigger", zone.name)


@planter("counted-twice")
def one_counts_twice(site, rng, how):
    """Still active when the lockout and the on-time are over.

    It registers when the settle time s is over, and again when after the lockout L the contact is still
    away from rest, s + L < T. Whether the controller sees the end of it at T or a settle time later is
    left open here, so the near miss lies beyond both.
    """
    stem = rng.choice(("listener", "eye"))
    settle = rng.choice((20, 100, 300))
    supply, panel, zone = base.bench(site, rng, stem=stem, settle=settle, repeats="while active")
    zone.drop("settle")
    longest = zone.part.longest
    lockout = {"near": longest - settle - 50, "far": 500, "miss": longest + settle + 50}[how]
    zone.put(f"lockout {ms(lockout)}")
    zone.lockout = lockout
    if rng.random() < 0.4:
        hold = {"near": 100, "far": 100, "miss": 100}[how]
        if on_time(panel, lockout, hold) > longest - settle - 20 and how != "miss":
            hold = None
        if hold and not output_of(site, rng, panel, supply, zone, hold=hold):
            return None
    return Fault("counted-twice", zone.name, say=f"{longest} ms, lockout {lockout} ms, settle {settle} ms")


@planter("feedback")
def light_wakes_eye(site, rng, how):
    """The light is on as long as the detector is active, and the detector as long as the light is on."""
    supply, panel, zone = base.bench(site, rng, stem="eye", settle=100,
                                     repeats="once an activation" if how == "miss" else "while active")
    zone.drop("settle")
    zone.put("lockout 5 s")
    part = base.new_load(site, rng, 0.2)
    part.gives = ("light",)
    part.add("gives light")
    output = output_of(site, rng, panel, supply, zone, part, hold=rng.choice((60_000, 180_000)))
    if not output:
        return None
    output.add(f"reaches {zone.name}")
    return Fault("feedback", zone.name, output.name)


@planter("feedback")
def two_lights(site, rng, how):
    """Each light wakes the other's detector, a minute and a half later: an activation is never the last."""
    supply, panel, one = base.bench(site, rng, stem="eye", settle=100, repeats="once an activation")
    two = base.new_zone(site, rng, panel, "eye")
    panel.part.lines = [line for line in panel.part.lines if not line.startswith("on-time")]
    panel.part.add("on-time hold from registration")
    lights = []
    for zone in (one, two):
        zone.drop("settle")
        zone.put("lockout 1 s")
        part = base.new_load(site, rng, 0.2)
        part.add("gives light")
        output = output_of(site, rng, panel, supply, zone, part, hold=60_000)
        if not output:
            return None
        zone.answer.add("after 90 s")
        lights.append(output)
    lights[0].add(f"reaches {two.name}")
    if how != "miss":
        lights[1].add(f"reaches {one.name}")
    return Fault("feedback", one.name, two.name, *(light.name for light in lights))


@planter("forced-output")
def out_of_service(site, rng, how):
    """An output that responses use is taken away from them."""
    output = pick(site, rng, "output", lambda one: one.used and one.mode in (None, "automatic")
                  and one.supply.part.supply_kind == "dc")
    if not output:
        return None
    if how == "miss":
        output.put("mode automatic")
        return Fault("forced-output", output.name)
    output.mode = "forced off" if output.side == "closing" else "forced on"
    output.put(f"mode {output.mode}")
    if not base.take_supply(site, output, output.relay) or not base.drop_stories(site, output):
        return None
    return Fault("forced-output", output.name, along={
        "never-active": "what follows it has nothing to follow", "unanswered-panic": "it may have been the answer",
        "reading-out-of-window": "it no longer draws what it drew"})


@planter("forced-output")
def sounds_for_ever(site, rng, how):
    """A sounder that no response uses is forced on; or it has a timer of its own."""
    supply, panel, zone = base.bench(site, rng)
    load = base.new_load(site, rng, 0.2)
    load.add("loudness 100 dB at 1 m")
    output = output_of(site, rng, panel, supply, None, load)
    if not output:
        return None
    output.add("mode forced on")
    if how == "miss":
        output.add("runs at most 5 min")
    return Fault("forced-output", output.name)


@planter("silent-zone")
def nobody_hears(site, rng, how):
    supply, panel, zone = base.bench(site, rng, stem=rng.choice(("push", "reed")), repeats="once an activation")
    site.items.remove(zone.answer)
    site.effects.remove(zone.answer)
    if how == "miss":
        other = pick(site, rng, "zone", lambda one: not one.confirmed and one.purpose == "intrusion"
                     and one.lockout and not site_story(site, one))
        if not other:
            return None
        other.add(f"confirmed by {zone.name} within 30 s")
        return Fault("silent-zone", zone.name)
    return Fault("silent-zone", zone.name)


def site_story(site, zone):
    return any(zone.name in one.text() for one in site.all("rehearsal"))


@planter("silent-zone")
def cover_in_no_response(site, rng, how):
    """A tamper contact on an input of its own that no response names; or one that is named, or wired nowhere."""
    supply, panel, zone = base.bench(site, rng, stem="cover-reed", repeats="once an activation")
    wired = how != "miss" or rng.random() < 0.5
    if wired:
        part = panel.part
        part.lines = [line for line in part.lines if not line.startswith("input rests")]
        zone.put(f"input rests {zone.part.rests}")
        terminal, common = panel.inputs.pop()
        back = f" and {panel.name}.{part.extra[0]}" if common is None else ""
        zone.add(f"tamper to {panel.name}.{terminal}{back}")
    if wired and how == "miss":
        site.add(Item("response", f"response-cover-{zone.name}", f"response to tamper of {zone.name}",
                      f"sound {panel.name}", causes=[], effects=[], words="", during=None, after=0, named=False))
    return Fault("silent-zone", zone.name)


@planter("silent-zone", miss=False)
def taken_out_of_response(site, rng, how):
    """A zone of the site is forgotten in the only response that names it."""
    def only(zone):
        mine = [one for one in site.effects if zone in one.causes]
        return len(mine) == 1 and len(mine[0].causes) > 1 and " within " not in mine[0].words and not mine[0].touched \
            and not any(one.confirmed is zone for one in site.all("zone")) \
            and not any(f"tamper of {zone.name}" in one.head for one in site.all("response"))
    zone = pick(site, rng, "zone", only)
    if not zone:
        return None
    answer = next(one for one in site.effects if zone in one.causes)
    answer.causes = [one for one in answer.causes if one is not zone]
    answer.head = answer.head.replace(answer.words, ", ".join(one.name for one in answer.causes))
    answer.words = ", ".join(one.name for one in answer.causes)
    if not base.drop_stories(site, zone):
        return None
    return Fault("silent-zone", zone.name)


@planter("tamper-not-told")
def cover_that_nobody_wired(site, rng, how):
    """A response to the tampering of a zone on an input with two states; or its tamper contact has an input."""
    supply, panel, zone = base.bench(site, rng, stem="cover-reed" if how == "miss" else rng.choice(("cover-reed", "reed")),
                                     repeats="once an activation")
    zone.drop("tamper")
    if how == "miss":
        terminal, common = panel.inputs.pop()
        back = f" and {panel.name}.{panel.part.extra[0]}" if common is None else ""
        zone.add(f"tamper to {panel.name}.{terminal}{back}")
    site.add(Item("response", f"response-cover-{zone.name}", f"response to tamper of {zone.name}",
                  f"sound {panel.name}", causes=[], effects=[], words="", during=None, after=0, named=False))
    return Fault("tamper-not-told", zone.name)


@planter("idle-output")
def nothing_switches_it(site, rng, how):
    supply, panel, zone = base.bench(site, rng)
    output = output_of(site, rng, panel, supply, None)
    if not output:
        return None
    if how == "miss":
        output.add(rng.choice(("mode forced off", "mode forced on")))
    return Fault("idle-output", output.name)


@planter("conflicting-effects")
def on_and_off(site, rng, how):
    """One event closes and opens an output at one moment; with a delay it is one after the other."""
    supply, panel, zone = base.bench(site, rng)
    output = output_of(site, rng, panel, supply, zone)
    if not output:
        return None
    if how == "near":
        zone.answer.add(f"open {output.name}")
        return Fault("conflicting-effects", output.name, zone.answer.name)
    second = base.respond(site, rng, zone, ("open", output, None))
    if how == "miss":
        second.add("after 1 s")
    return Fault("conflicting-effects", output.name, zone.answer.name, second.name)


@planter("conflicting-effects")
def looks_two_ways(site, rng, how):
    """One event turns a camera to two presets at one moment; twice to one preset is no conflict."""
    panel, zone, camera, plan = recorder(site, rng)
    plan.lines = [f"keep events of {camera.name}", "store 40 TB"]
    camera.add("preset gate")
    camera.add("preset ramp")
    second = zone.answer if how == "near" else base.respond(site, rng, zone)
    zone.answer.add(f"move {camera.name} to gate")
    second.add(f"move {camera.name} to {'gate' if how == 'miss' else 'ramp'}")
    return Fault("conflicting-effects", camera.name, zone.answer.name, second.name)


@planter("sounder-run-too-long")
def loud_too_long(site, rng, how):
    """The on-time that lockout and hold amount to, against the policy."""
    limit = site.limits.get("sounder-run")
    if not limit:
        return None
    supply, panel, zone = base.bench(site, rng, stem=rng.choice(("push", "reed")), repeats="once an activation")
    lockout = rng.choice((5000, 60_000))
    zone.put(f"lockout {ms(lockout)}")
    zone.drop("entry")
    wanted = {"near": limit + 1, "far": limit * 3, "miss": limit}[how]
    hold = wanted - lockout if panel.part.on_time == "lockout then hold" else wanted
    part = base.new_load(site, rng, 0.2)
    part.add("loudness 100 dB at 1 m")
    output = output_of(site, rng, panel, supply, zone, part, hold=hold)
    if not output:
        return None
    if how == "far" and rng.random() < 0.5:
        zone.answer.lines = [line for line in zone.answer.lines if not line.startswith("close")] + [f"close {output.name}"]
    if how == "miss" and rng.random() < 0.4:
        # A timer of its own ends it in time.
        zone.answer.lines = [line for line in zone.answer.lines if not line.startswith("close")] + [
            f"close {output.name} for 2 h"]
        output.add("runs at most 20 min")
    return Fault("sounder-run-too-long", output.name, zone.answer.name, say=f"{panel.part.on_time}, {hold} ms")


def press_bench(site, rng, lockout):
    """A button whose presses are counted by the lockout alone."""
    supply, panel, zone = base.bench(site, rng, stem="push", settle=100, repeats="once an activation")
    zone.drop("settle")
    zone.put("armed always")
    zone.put(f"lockout {ms(lockout)}")
    zone.lockout, zone.settle = lockout, 100
    return supply, panel, zone


@planter("depends-on-equality")
def on_the_millisecond(site, rng, how):
    """The second press comes when the lockout of the first ends, to the millisecond or one beside it."""
    lockout = rng.choice((2000, 5000))
    supply, panel, zone = press_bench(site, rng, lockout)
    at = rng.randrange(9, 20) * 3_600_000
    off = 0 if how != "miss" else rng.choice((-1, 1))
    day = rng.choice(DAYS)
    presses = [at] + ([at - 20_000] if how == "far" else [])
    count = 2 if off >= 0 else 1
    lines = [f"{moment(day, one)} {zone.name} active for 600 ms" for one in sorted([*presses, at + lockout + off])]
    count += len(presses) - 1
    name = f'rehearsal "{zone.name} on the millisecond"'
    site.add(Item("rehearsal", name, name, *lines, f"expect {zone.name} registers {count} times"))
    return Fault("depends-on-equality", name, zone.name)


@planter("rehearsal-fails")
def wrong_count(site, rng, how):
    """So many presses, a fixed time apart; each that comes after the lockout counts."""
    lockout = rng.choice((1000, 3000, 10_000))
    supply, panel, zone = press_bench(site, rng, lockout)
    gap, presses = rng.choice((1230, 2710, 4570)), rng.randrange(2, 7)
    at, day = rng.randrange(9, 20) * 3_600_000, rng.choice(DAYS)
    last, count = None, 0
    for k in range(presses):
        if last is None or k * gap - last >= lockout:
            last, count = k * gap, count + 1
    wrong = {"near": count + rng.choice((-1, 1)), "far": count + 7, "miss": count}[how]
    lines = [f"{moment(day, at + k * gap)} {zone.name} active for 600 ms" for k in range(presses)]
    name = f'rehearsal "{zone.name} pressed {presses} times"'
    site.add(Item("rehearsal", name, name, *lines, f"expect {zone.name} registers {wrong} times"))
    return Fault("rehearsal-fails", name, say=f"{count}, told {wrong}")


@planter("rehearsal-fails")
def wrong_length(site, rng, how):
    """The on-time to the millisecond."""
    lockout, hold = rng.choice((2000, 10_000)), rng.choice((3000, 10_000, 60_000))
    supply, panel, zone = press_bench(site, rng, lockout)
    output = output_of(site, rng, panel, supply, zone, hold=hold)
    if not output:
        return None
    at, day = rng.randrange(9, 20) * 3_600_000, rng.choice(DAYS)
    lasts = on_time(panel, lockout, hold)
    start = at + 100
    off = {"near": rng.choice((-1, 1)), "far": 30_000, "miss": 0}[how]
    end = rng.choice(("start", "length")) if how != "miss" else None
    said = moment(day, start + (off if end == "start" else 0))
    name = f'rehearsal "{zone.name} switches"'
    site.add(Item("rehearsal", name, name, f"{moment(day, at)} {zone.name} active for 600 ms",
                  f"expect {output.name} closed from {said} for {length(lasts + (off if end == 'length' else 0))}"))
    return Fault("rehearsal-fails", name, say=f"{panel.part.on_time}: {lasts} ms")


@planter("rehearsal-fails", miss=False)
def other_site(site, rng, how):
    """A story of the site whose number is changed."""
    stories = [one for one in site.all("rehearsal") if not one.touched and any(
        line.endswith("told once") or line.endswith("registers once") or " registers once at" in line for line in one.lines)]
    if not stories:
        return None
    story = rng.choice(stories)
    site.touch(story)
    story.name = story.head
    k = next(k for k, line in enumerate(story.lines) if "registers once" in line or line.endswith("told once"))
    story.lines[k] = story.lines[k].replace(" once", rng.choice((" twice", " never", " 9 times")), 1)
    return Fault("rehearsal-fails", story.name, say=story.lines[k])


@planter("unanswered-panic")
def nobody_comes(site, rng, how):
    """The only response of a panic button leaves out a minute, or the night."""
    supply, panel, zone = base.bench(site, rng, family="four", stem="button", repeats="once an activation")
    minute = rng.randrange(9 * 60, 20 * 60, 5)
    long = {"near": 1, "far": 200, "miss": 1}[how]
    gap = schedule(site, rng, f"{rng.choice(DAYS)} {clock(minute)} to {clock(minute + long)}", stem="gap")
    rest = schedule(site, rng, words=f"not {gap.name}", stem="rest")
    zone.answer.lines.insert(0, f"during {rest.name}")
    if how == "miss":
        base.respond(site, rng, zone, ("sound", panel, 5000), during=gap)
    return Fault("unanswered-panic", zone.name, zone.answer.name)

