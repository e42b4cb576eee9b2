"""Hours: when zones count, and what schedules cover."""
import datetime

import hours
import plant.base as base
import when
from hours import DAYS, clock
from plant.base import Fault, new_name, planter
from site_data import Item


def schedule(site, rng, *lines, stem="hours", words=None):
    name = new_name(site, rng, stem)
    head = f"schedule {name}" + (f" is {words}" if words else "")
    item = site.add(Item("schedule", name, head, *lines, hours=None, of=(), spans=(), written=words is None))
    site.touch(item)
    return item


def safe_edge(site, rng, low=8 * 60, high=20 * 60):
    """A minute that no clock change of the two years touches: changes come by night."""
    return rng.randrange(low, high, 5)


@planter("disarmed-panic-zone")
def panic_asleep(site, rng, how):
    """All but a minute of a week, all but a holiday, or office hours."""
    return asleep(site, rng, how, "button", "disarmed-panic-zone", "four")


@planter("disarmed-tamper-zone")
def tamper_asleep(site, rng, how):
    return asleep(site, rng, how, "covers", "disarmed-tamper-zone", "five")


def asleep(site, rng, how, stem, rule, family):
    supply, panel, zone = base.bench(site, rng, family=family, stem=stem, repeats="once an activation")
    minute = safe_edge(site, rng)
    gap = schedule(site, rng, f"{rng.choice(DAYS)} {clock(minute)} to {clock(minute + 1)}")
    if how == "far":
        gap.lines = [f"Mon to Fri {clock(minute)} to {clock(minute + 120)}"]
    elif rng.random() < 0.4:
        # One hour of one date that is not past.
        date = base.TODAY + datetime.timedelta(rng.randrange(366))
        gap.lines = [f"also {date} {clock(minute)} to {clock(minute + 60)}"]
    words = f"not {gap.name}"
    if how == "miss":
        words = f"{gap.name} plus not {gap.name}"
    armed = schedule(site, rng, words=words, stem="armed")
    zone.put(f"armed {armed.name}")
    return Fault(rule, zone.name, say=gap.lines[0])


@planter("never-armed")
def armed_never(site, rng, how):
    zone = base.bench(site, rng, stem=rng.choice(("reed", "push", "water")), repeats="once an activation")[2]
    if how == "miss":
        minute = safe_edge(site, rng)
        armed = schedule(site, rng, f"{rng.choice(DAYS)} {clock(minute)} to {clock(minute + 1)}")
        if zone.purpose == "intrusion" and site.occupied:
            zone.put("armed always")
            used(site, rng, armed)
        else:
            zone.put(f"armed {armed.name}")
        return Fault("never-armed", zone.name)
    zone.put("armed never")
    return Fault("never-armed", zone.name)


@planter("never-armed")
def confirmed_at_other_hours(site, rng, how):
    """A zone counts only with another one: their hours have a minute in common, or none."""
    _, panel, zone = base.bench(site, rng, stem="water", repeats="once an activation")
    other = base.bench(site, rng, stem="water", repeats="once an activation")[2]
    day, start = rng.choice(DAYS), safe_edge(site, rng)
    first = schedule(site, rng, f"{day} {clock(start)} to {clock(start + 60)}")
    begins = start + {"near": 60, "far": 120, "miss": 59}[how]
    second = schedule(site, rng, f"{day} {clock(begins)} to {clock(begins + 60)}")
    zone.put(f"armed {first.name}")
    other.put(f"armed {second.name}")
    zone.add(f"confirmed by {other.name} within {rng.choice(('60 s', '2 min'))}")
    return Fault("never-armed", zone.name, of=(other.name,))


def used(site, rng, item):
    """Lets a schedule be used by something of which no story tells."""
    name = new_name(site, rng, "since")
    site.add(Item("response", name, f"response to start of {item.name}", f"sound {site.all('controller')[0].name}",
                  causes=[], effects=[], words="", during=None, after=0, named=False))


@planter("armed-while-occupied")
def staff_sets_it_off(site, rng, how):
    """An intrusion zone whose hours share a minute, or hours, with those in which people are there."""
    if not site.occupied or "occupied" in site.touched:
        return None
    week = site.occupied.hours.week
    spots = []
    for day in range(7):
        for minute in range(9 * 60, 22 * 60):
            if week[day] >> minute & 1 and not week[day] >> (minute - 1) & 1 and minute > 9 * 60:
                spots.append((day, minute))
    if not spots:
        return None
    day, start = rng.choice(spots)
    if any(week[day] >> m & 1 for m in range(start - 60, start)):
        return None
    end = start + {"near": 1, "far": 120, "miss": 0}[how]
    zone = base.bench(site, rng, stem="reed", repeats="once an activation")[2]
    armed = schedule(site, rng, f"{DAYS[day]} {clock(start - 60)} to {clock(end)}")
    # On a date on which people are there at other hours than in any week, it is told too.
    its = hours.written(site.years, [(day, start - 60, end)])
    if how == "miss" and (its & site.occupied.hours).any():
        return None
    zone.put(f"armed {armed.name}")
    # The zone would also sleep through holidays: those are left out of it.
    along = {"holiday-not-covered": "its few hours are disarmed on holidays too"}
    return Fault("armed-while-occupied", zone.name, along=along, say=armed.lines[0])


@planter("schedule-empty")
def no_minute(site, rng, how):
    minute = safe_edge(site, rng)
    day, year = rng.randrange(7), base.TODAY.year
    kind = rng.choice(("within", "minus", "never", "past", "except"))
    if kind == "within":
        one = schedule(site, rng, f"{DAYS[day]} {clock(minute)} to {clock(minute + 30)}")
        start = minute + 30 - (1 if how == "miss" else 0)
        two = schedule(site, rng, f"{DAYS[day]} {clock(start)} to {clock(minute + 60)}")
        item = schedule(site, rng, words=f"{one.name} within {two.name}", stem="both")
    elif kind == "minus":
        one = schedule(site, rng, f"{DAYS[day]} {clock(minute)} to {clock(minute + 30)}")
        two = schedule(site, rng, f"Mon to Sun {clock(minute)} to {clock(minute + (29 if how == 'miss' else 30))}")
        item = schedule(site, rng, words=f"{one.name} minus {two.name}", stem="rest")
    elif kind == "never":
        item = schedule(site, rng, words="never plus never" if how != "miss" else "never plus always", stem="nothing")
    elif kind == "past":
        date = datetime.date(year - 1, 12, 31) if how != "miss" else datetime.date(year, rng.choice((1, 12)), 1)
        if how == "far":
            date = datetime.date(year + 2, 1, 1)
        item = schedule(site, rng, f"also {date} {clock(minute)} to {clock(minute + 60)}")
    else:
        last = datetime.date(year + 1, 12, 31) - datetime.timedelta(7 if how == "miss" else 0)
        item = schedule(site, rng, f"{DAYS[day]} {clock(minute)} to {clock(minute + 30)}", f"except {year}-01-01 to {last}")
    used(site, rng, item)
    return Fault("schedule-empty", item.name, say=kind)


@planter("schedule-overlap")
def hours_said_twice(site, rng, how):
    minute = safe_edge(site, rng)
    day = rng.randrange(7)
    share = {"near": 1, "far": 60, "miss": 0}[how]
    start = minute + 90
    first = f"{DAYS[day]} {clock(minute)} to {clock(start)}"
    kind = rng.choice(("lines", "one line", "midnight"))
    if kind == "lines":
        second = f"{DAYS[day]} {clock(start - share)} to {clock(start + 60)}"
        item = schedule(site, rng, *rng.sample([first, second], 2))
    elif kind == "one line":
        item = schedule(site, rng, f"{first}, {clock(start - share)} to {clock(start + 60)}")
    else:
        # A span past midnight runs into the next day's.
        item = schedule(site, rng, f"{DAYS[day]} {clock(minute)} to 06:00",
                        f"{DAYS[(day + 1) % 7]} {clock(6 * 60 - share)} to 07:00")
    used(site, rng, item)
    return Fault("schedule-overlap", item.name, say=str(item.lines))


@planter("edge-in-clock-change")
def edge_in_the_gap(site, rng, how):
    """An edge in a minute that the clocks of this zone skip or repeat, or in the next one that they do not."""
    dates = [date for date in site.years.dates if date >= base.TODAY and hours.odd_minutes(site.zone, date)]
    if not dates or "timezone" in site.touched:
        return None
    date = rng.choice(dates)
    bits = hours.odd_minutes(site.zone, date)
    first = (bits & -bits).bit_length() - 1
    last = bits.bit_length() - 1
    minute = {"near": rng.choice((first, last)), "far": (first + last) // 2, "miss": rng.choice((last + 1, first - 1))}[how]
    if minute < 0 or minute > 1380:
        return None
    day = date.weekday()
    # The other end lies at noon, when no clock changes.
    if rng.random() < 0.5:
        lines = [f"{DAYS[day]} {clock(minute)} to 12:00"]
        spans = [(day, minute, 720)]
    else:
        lines = [f"{DAYS[day - 1]} 14:00 to {clock(minute)}"]
        spans = [((day - 1) % 7, 840, minute)]
        if minute == 0:
            return None
    odd = when.in_clock_change(site, hours.written(site.years, spans))
    if odd != (how != "miss"):
        return None  # another year's change is in the way
    site.touch("timezone")
    item = schedule(site, rng, *lines)
    used(site, rng, item)
    return Fault("edge-in-clock-change", item.name, say=f"{site.zone} {date} {lines}")


@planter("holiday-not-covered")
def holiday_asleep(site, rng, how):
    """Nobody is there on a holiday, and an intrusion zone sleeps as on any weekday."""
    if not site.occupied or not site.holidays or "holidays" in site.touched:
        return None
    open_ = site.open
    # A weekday to come that is a holiday of the two years, on which the hours would have been open.
    dates = [date for date in site.holidays if date in site.years.index and date >= base.TODAY
             and open_.hours.week[date.weekday()] and not open_.hours.dates[site.years.index[date]]]
    if not dates:
        return None
    zone = base.bench(site, rng, stem="reed", repeats="once an activation")[2]
    if how == "miss":
        base.need(site, site.shut)
        zone.put(f"armed {site.shut.name}")
        return Fault("holiday-not-covered", zone.name)
    # The same week, without the exceptions.
    spans = [line for line in open_.lines if not line.startswith(("except", "also"))]
    plain = schedule(site, rng, *spans)
    armed = schedule(site, rng, words=f"not {plain.name}", stem="asleep")
    zone.put(f"armed {armed.name}")
    along = {"edge-in-clock-change": "without its exceptions the week may meet a change",
             "armed-while-occupied": "without its exceptions it is armed on a date on which people are there"}
    made_of = (plain.name, armed.name, site.open.name, site.occupied.name)
    return Fault("holiday-not-covered", zone.name, along=along, of=made_of)

