"""Rehearsals whose outcome follows from the definitions by arithmetic, and readings of a meter."""
import datetime

import hours
import network
from hours import DAYS, odd_minutes
from sheets import DOOR, ohm
from site_data import Item


def moment(day, millis):
    seconds, rest = divmod(millis, 1000)
    text = f"{day} {seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
    return text + (f".{rest:03d}" if rest else "")


def length(millis):
    out = [f"{value} {unit}" for value, unit in ((millis // 60_000, "min"), (millis % 60_000 // 1000, "s"),
                                                 (millis % 1000, "ms")) if value]
    return " ".join(out)


def plain(zone):
    """A zone whose registration hangs on settle, arming and lockout alone."""
    return not (zone.confirmed or zone.entry or zone.exit or zone.follows) and zone.lockout >= 1000


def activation(zone, rng):
    """An activation that is seen once: longer than the settle time, over before the lockout is."""
    part = zone.part
    if part.shortest and part.longest:
        return rng.choice((part.shortest, part.longest))
    return max(part.shortest or 0, zone.settle + rng.choice((50, 200, 700)))


# A story lasts twenty minutes at most, and what happens in the hour after it counts; what a schedule switched
# before it may still be on, and so may what that set off.
BEFORE, AFTER = 30, 90
WEEK = 7 * 1440


def quiet_minutes(site, hours_of, want):
    """(weekday, minute) well inside the hours, or well outside, and far from what a schedule sets off."""
    around = (1 << 21) - 1
    busy = {minute % WEEK for edge in edges_that_switch(site) for minute in range(edge - AFTER, edge + BEFORE)}
    return [(day, minute) for day in range(7) for minute in range(20, 1300, 7)
            if hours_of.week[day] >> (minute - 10) & around == (around if want else 0)
            and day * 1440 + minute not in busy]


def edges_that_switch(site):
    """The minutes of an ordinary week at which a response follows the start or the end of a schedule."""
    named = [one.words.split()[-1] for one in site.effects if one.words.startswith(("start of ", "end of "))]
    return [day * 1440 + minute for item in (site.open, site.night) if item.name in named
            for day, bits in enumerate(hours.weekly_edges(item.hours)) for minute in range(1440) if bits >> minute & 1]


# ---- What hangs on what ----


def after(site, *things):
    """Everything that a change in these things may show in: what they set off, and what that moves."""
    names, out = [thing.name for thing in things], set()
    while names:
        name = names.pop()
        if name not in out:
            out.add(name)
            names += follows(site, name)
    return out


def follows(site, name):
    """The names of what one thing has a direct part in."""
    out = list(site.moves.get(name, ()))
    for one in site.effects:
        if any(cause.name == name for cause in one.causes) or name in one.words.replace(",", " ").split():
            for effect in one.effects:
                hit = effect[1] if isinstance(effect[1], list) else [effect[1]]
                out += [getattr(thing, "name", thing) for thing in hit]
    for zone in site.all("zone"):
        if (zone.follows and zone.follows.name == name) or (zone.confirmed and zone.confirmed.name == name):
            out.append(zone.name)
    return out


def stories_of(site, *things):
    """The rehearsals that expect something of what hangs on these things."""
    touched = after(site, *things)
    return [one for one in site.all("rehearsal")
            if any(line.split()[1] in touched for line in one.lines if line.startswith("expect "))]


def users(site, kind, thing):
    return [(one, effect) for one in site.effects for effect in one.effects
            if effect[0] in kind and (effect[1] is thing or (isinstance(effect[1], list) and thing in effect[1]))]


def on_time(controller, lockout, hold):
    return {"lockout then hold": lockout + hold, "hold from registration": hold,
            "longer of lockout and hold": max(lockout, hold), "hold retriggered": hold}[controller.part.on_time]


def answers(site, zone, day, at, registered):
    """What one registration at that time does, where only it can do it."""
    lines = []
    if any(zone in one.causes and effect[0] in ("close", "open", "pulse") and effect[1].name in site.movers
           for one in site.effects for effect in one.effects):
        return []  # what it switches moves another zone, and that is another story
    for one in site.effects:
        if zone not in one.causes or "all of" in one.words:
            continue
        minute = registered // 60_000
        if one.during and not one.during.hours.at(day, minute):
            continue
        start = registered + one.after
        for effect in one.effects:
            if effect[0] in ("close", "open") and effect[2]:
                output = effect[1]
                alone = len(users(site, ("close", "open", "pulse"), output)) == 1
                if not alone or output.controller is not zone.controller or output.mode == "forced off":
                    continue
                lasts = on_time(output.controller, zone.lockout, effect[2])
                state, other = ("closed", "open") if effect[0] == "close" else ("open", "closed")
                if effect[0] == "close" and output.runs:
                    lasts = min(lasts, output.runs)
                if effect[0] == "open" and output.runs:
                    continue
                name = output.name
                lines.append(f"expect {name} {state} from {moment(DAYS[day], start)} for {length(lasts)}")
                lines.append(f"expect {name} {other} at {moment(DAYS[day], start + lasts)}")
                if effect[0] == "close":
                    lines.append(f"expect {name} closed once")
            if effect[0] == "tell":
                people = effect[1][0]
                if sum(people in e[1] for o in site.effects for e in o.effects if e[0] == "tell") == 1:
                    lines.append(f"expect {people} told once")
                else:
                    lines.append(f"expect {people} told")
            if effect[0] == "record":
                lines += [f"expect {camera.name} recorded" for camera in effect[1]]
    return lines


def story(site, title, *lines, **facts):
    return site.add(Item("rehearsal", None, f'rehearsal "{title}"', *lines, **facts))


def tell(site, rng):
    site.stories = []
    zones = [zone for zone in site.all("zone") if plain(zone) and zone.name not in site.reached]
    rng.shuffle(zones)
    for zone in zones[:rng.randrange(1, 4)]:
        spots = quiet_minutes(site, zone.armed.hours, True)
        if not spots:
            continue
        day, minute = rng.choice(spots)
        at = minute * 60_000 + rng.choice((0, 0, 250))
        lasts = activation(zone, rng)
        what = f"{moment(DAYS[day], at)} {zone.name} active for {length(lasts)}"
        registered = at + zone.settle
        extra = answers(site, zone, day, at, registered)
        kind = rng.choice(("once", "once", "many", "disarmed", "date"))
        if kind == "once":
            more = [f"expect {zone.name} registers once at {moment(DAYS[day], registered)}"]
            if zone.part.active == DOOR and zone.registers == "once an activation":
                what = f"{moment(DAYS[day], at)} {zone.name} active until restored"
                extra.insert(0, f"{moment(DAYS[day], at + 1_200_000)} {zone.name} restored")
            site.stories.append(story(site, f"one activation of {zone.name}", what, *extra, *more, zone=zone))
        elif kind == "many" and zone.registers == "once an activation":
            many(site, rng, zone, day, at, lasts)
        elif kind == "disarmed":
            spots = quiet_minutes(site, zone.armed.hours, False)
            if spots:
                day, minute = rng.choice(spots)
                story(site, f"{zone.name} does not count then",
                      f"{moment(DAYS[day], minute * 60_000)} {zone.name} active for {length(lasts)}",
                      f"expect {zone.name} registers never", f"expect {zone.name} registers 0 times")
        elif kind == "date":
            dated(site, rng, zone, lasts)
    losses(site, rng)


def many(site, rng, zone, day, at, lasts):
    """Presses a fixed time apart: each counts when the lockout of the last that counted is over."""
    gap = lasts + zone.settle + rng.choice((70, 900, 2300))
    if zone.lockout % gap == 0:
        gap += 70
    presses = rng.randrange(2, 6)
    last, count = None, 0
    lines = []
    for k in range(presses):
        lines.append(f"{moment(DAYS[day], at + k * gap)} {zone.name} active for {length(lasts)}")
        seen = at + k * gap + zone.settle
        if (last is None or seen - last >= zone.lockout) and (zone.limit is None or count < zone.limit):
            last, count = seen, count + 1
    words = {1: "once", 2: "twice"}.get(count, f"{count} times")
    one = story(site, f"{presses} quick ones of {zone.name}", *lines, f"expect {zone.name} registers {words}",
                zone=zone, count=count)
    site.stories.append(one)


def dated(site, rng, zone, lasts):
    """A very date: a holiday, a day on which the clocks change, or any other."""
    dates = [date for date in site.years.dates[3:-3] if odd_minutes(site.zone, date)] + sorted(site.holidays)[:4]
    dates = [date for date in dates if date in site.years.index] + [datetime.date(site.year, 5, 20)]
    date = rng.choice(dates)
    bits = zone.armed.hours.dates[site.years.index[date]]
    for hour in rng.sample(range(9, 23), 14):
        around = bits >> (hour * 60 - 30) & ((1 << 60) - 1)
        if around in (0, (1 << 60) - 1):
            at = hour * 3_600_000
            count = "once" if around else "never"
            story(site, f"{zone.name} on {date}", f"{moment(date, at)} {zone.name} active for {length(lasts)}",
                  f"expect {zone.name} registers {count}",
                  *([f"expect {zone.name} registers at {moment(date, at + zone.settle)}"] if around else []))
            return


def losses(site, rng):
    for one in site.effects:
        if not one.causes and one.words.startswith("loss of") and rng.random() < 0.5:
            thing = one.words.split(",")[0].split()[-1]
            people = one.effects[0][1][0]
            story(site, "something is lost", f"Tue 12:00:00 {thing} lost", f"Tue 12:10:00 {thing} returns",
                  f"expect {people} told")
        if "tamper of" in one.words and rng.random() < 0.5:
            thing = one.words.split("tamper of")[-1].split()[0].rstrip(",")
            people = one.effects[0][1][0]
            story(site, "somebody opens a cover", f"Tue 12:00:00 {thing} tampered", f"Tue 12:10:00 {thing} restored",
                  f"expect {people} told")


# ---- Readings ----


def window(zone, active=False, tamper=False):
    part = zone.part
    wire = 2 * zone.length / 1000 * network.hot(zone.site_thin.ohm_km, zone.hottest)
    is_open = (part.rests == "open") != active
    return network.loop(zone.steps, is_open, part.closed_ohm, tamper, 2.0, wire)


def measure(site, rng):
    lines = []
    for zone in site.all("zone"):
        zone.site_thin, zone.hottest = site.thin, site.ambient[1]
        if not zone.steps or rng.random() > 0.3:
            continue
        at = f"{zone.controller.name}.{zone.terminal}"
        for word, active, tamper in (("resting", False, False), ("active", True, False), ("tamper", False, True)):
            if word == "tamper" and not any(step[1] == "tamper" for step in zone.steps):
                continue
            low, high = window(zone, active, tamper)
            lines.append(f"{at} {word} {ohm(float(f'{(low + high) / 2:.4g}'))}")
            if word == "resting" and rng.random() < 0.3:
                volts, pull = zone.controller.part.pull[0], zone.controller.part.pull[2]
                lines.append(f"{at} {word} {volts * (low + high) / 2 / ((low + high) / 2 + pull):.3f} V")
        if rng.random() < 0.3:
            lines.append(f"{at} cut {zone.controller.part.pull[0]} V")
        if rng.random() < 0.3:
            lines.append(f"{at} shorted {ohm(round(zone.length / 500 * site.thin.ohm_km, 2))}")
    for supply in site.all("supply"):
        if supply.battery and rng.random() < 0.4:
            lines.append(f"{supply.name} floating {(supply.part.low + supply.part.high) / 2:.2f} V")
            if rng.random() < 0.5:
                lines.append(f"{supply.name} on-battery {supply.part.low * 0.92:.2f} V")
    for output in site.all("output"):
        if output.supply.part.supply_kind == "dc" and rng.random() < 0.2:
            # A tenth below what it draws at its supply: some volts stay in the cable.
            lines.append(f"{output.name} running {0.9 * output.loads[0][1].draw.amps(output.supply.part.low):.3g} A")
    site.readings = None
    if lines:
        rng.shuffle(lines)
        site.readings = site.add(Item("measured", None, f"measured {site.year}-01-15", *lines))
