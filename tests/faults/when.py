"""Schedules of a clean site: none has an edge in an hour that the clocks skip or repeat."""
import datetime

import hours
from hours import DAYS, clock
from names import pick, title
from site_data import Item


def written(site, rng, stem, spans, excepted=(), also=()):
    """A written schedule whose edges lie in no hour that the clocks skip or repeat; or nothing."""
    dates = set()
    lines = []
    for what in excepted:
        dates |= site.holidays if what == "holidays" else set(what)
    value = hours.written(site.years, spans, dates, also)
    if in_clock_change(site, value):
        return None
    by_days = {}
    for day, start, end in spans:
        by_days.setdefault(day, []).append((start, end))
    groups = {}
    for day, list_ in by_days.items():
        groups.setdefault(tuple(list_), []).append(day)
    for list_, days in groups.items():
        text = ", ".join(f"{clock(start)} to {clock(end)}" for start, end in list_)
        lines.append(f"{day_words(days)} {text}")
    for what in excepted:
        if what == "holidays":
            lines.append("except holidays")
        else:
            ordered = sorted(what)
            run = f"{ordered[0]} to {ordered[-1]}" if len(ordered) > 1 else str(ordered[0])
            lines.append(f"except {run}")
    for date, start, end in also:
        lines.append(f"also {date} {clock(start)} to {clock(end)}")
    name = pick(site, rng, stem)
    item = Item("schedule", name, f"schedule {name}{title(rng, stem)}", *lines, hours=value, spans=spans,
                excepted=dates, written=True, of=())
    return site.add(item)


def day_words(days):
    days = sorted(days)
    if len(days) > 2 and days == list(range(days[0], days[-1] + 1)):
        return f"{DAYS[days[0]]} to {DAYS[days[-1]]}"
    return ", ".join(DAYS[day] for day in days)


def in_clock_change(site, value):
    return any(odd and odd & hours.edges(value.dates, k)
               for k, date in enumerate(site.years.dates) if (odd := hours.odd_minutes(site.zone, date)))


def retry(make_one):
    for _ in range(60):
        one = make_one()
        if one:
            return one
    raise ValueError("no schedule without an edge in a clock change")


def office(site, rng):
    first, last = rng.choice(((0, 4), (0, 5), (1, 6)))
    start, end = rng.randrange(6 * 60, 11 * 60, 15), rng.randrange(16 * 60, 22 * 60, 15)
    spans = []
    for day in range(first, last + 1):
        if rng.random() < 0.3:
            spans += [(day, start, 12 * 60), (day, 13 * 60, end)]
        else:
            spans.append((day, start, end))
    if rng.random() < 0.3:
        spans.append((5 if last == 4 else last, 22 * 60 + 30, rng.choice((60, 110, 240))))
    excepted = []
    if site.holidays:
        excepted.append("holidays")
    if rng.random() < 0.4:
        day = datetime.date(site.year, 11, rng.randrange(1, 25))
        excepted.append({day + datetime.timedelta(k) for k in range(rng.choice((1, 4)))})
    also = []
    if rng.random() < 0.4:
        also.append((datetime.date(site.year, 12, 19), 10 * 60, rng.choice((16 * 60, 1440))))
    return written(site, rng, "hours", spans, excepted, also)


def night(site, rng):
    start, end = rng.randrange(18 * 60, 24 * 60, 30), rng.randrange(4 * 60, 8 * 60, 30)
    spans = [(day, start, end) for day in range(7)]
    if rng.random() < 0.2:
        spans = [(day, 0, 1440) for day in range(7)]
    return written(site, rng, "night", spans)


def combine(site, rng, stem, words, value, of):
    name = pick(site, rng, stem)
    item = Item("schedule", name, f"schedule {name}{title(rng, stem)} is {words}", hours=value, written=False, of=of)
    return site.add(item)


def schedules(site, rng):
    site.always = Item("schedule", "always", "", hours=hours.always(site.years), of=())
    site.open = retry(lambda: office(site, rng))
    site.occupied = None
    site.shut = combine(site, rng, "shut", f"not {site.open.name}", ~site.open.hours, (site.open,))
    site.hours_for_zones = [site.shut, site.always]
    if rng.random() < 0.6:
        site.occupied = site.open
        site.place.add(f"occupied {site.open.name}")
    site.night = retry(lambda: night(site, rng))
    if rng.random() < 0.6:
        value = (site.night.hours | site.open.hours) - site.open.hours
        one = combine(site, rng, "calm", f"({site.night.name} plus {site.open.name}) minus {site.open.name}", value,
                      (site.night, site.open))
        site.calm = one
    else:
        value = site.night.hours & site.shut.hours
        site.calm = combine(site, rng, "calm", f"{site.night.name} within {site.shut.name}", value,
                            (site.night, site.shut))
    if not site.occupied:
        site.hours_for_zones += [site.night, site.calm]
