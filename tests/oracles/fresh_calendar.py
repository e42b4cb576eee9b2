#!/usr/bin/env python3
"""Fresh schedules for the calendar engine, worked out with Python's zoneinfo on the tzdata package.

usage: fresh_calendar.py COUNT SEED OUT.json
The file has the form of tests/fixtures/calendar.json; the test `calendar` of that crate reads it.
The two readings of an end in a repeated hour are those of the fixture: `first` takes the first
pass for both ends (RFC 5545, 3.3.5), `cover` the first for a start and the last for an end. A time
that the clocks skip is read with the offset before the change.
"""
import datetime as dt
import json
import random
import sys
import zoneinfo
from zoneinfo import ZoneInfo

# The machine's own database may be older than the package's.
zoneinfo.reset_tzpath(to=())

UTC = dt.timezone.utc
WEEK = 7 * 1440
ZONES = [
    "Europe/Lisbon", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Apia", "Asia/Kathmandu",
    "America/Havana", "Africa/Casablanca", "Pacific/Chatham", "Antarctica/Troll", "UTC",
]


def instant(zone, date, minute, last):
    """Minutes since the epoch of a local time, counted from a date's midnight."""
    local = dt.datetime.combine(date, dt.time()) + dt.timedelta(minutes=minute)
    aware = local.replace(tzinfo=zone, fold=1 if last else 0)
    if last and aware.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != local:
        aware = local.replace(tzinfo=zone, fold=0)  # skipped, not repeated
    return int(aware.timestamp()) // 60


def union(spans, low, high):
    out = []
    for start, end in sorted(spans):
        start, end = max(start, low), min(end, high)
        if start >= end:
            continue
        if out and start <= out[-1][1]:
            out[-1][1] = max(out[-1][1], end)
        else:
            out.append([start, end])
    return out


def minutes_of(spans):
    out = []
    for day, start, end_day, end in spans:
        low, high = day * 1440 + start, end_day * 1440 + end
        out.append((low, high if high > low else high + WEEK))
    return out


def covered(zone, spans, holidays, last, first_day, end_day, low, high):
    """A schedule is a set of local times: spans that overlap or touch are one span, whose two ends
    are then placed in time."""
    local, day = [], first_day - dt.timedelta(days=16)
    while day < end_day + dt.timedelta(days=9):
        midnight = day.toordinal() * 1440
        local += [(midnight + start % 1440, midnight + start % 1440 + end - start)
                  for start, end in spans if start // 1440 % 7 == day.weekday()]
        day += dt.timedelta(days=1)
    local += [(day.toordinal() * 1440, (day.toordinal() + 1) * 1440) for day in holidays]
    found = []
    for start, end in union(local, 0, dt.date.max.toordinal() * 1440):
        found.append((instant(zone, dt.date.fromordinal(start // 1440), start % 1440, False),
                      instant(zone, dt.date.fromordinal(end // 1440), end % 1440, last)))
    return union([span for span in found if span[0] < span[1]], low, high)


def by_the_clock_face(zone, spans, holidays, low, high):
    week = bytearray(WEEK)
    for start, end in spans:
        for minute in range(start, end):
            week[minute % WEEK] = 1
    days = set(holidays)
    count = 0
    for minute in range(low, high):
        local = dt.datetime.fromtimestamp(minute * 60, zone)
        at = local.weekday() * 1440 + local.hour * 60 + local.minute
        count += 1 if local.date() in days else week[at]
    return count


def clock(minute):
    return f"{minute // 60:02d}:{minute % 60:02d}"


def case(rng, number, seed):
    name = rng.choice(ZONES)
    zone = ZoneInfo(name)
    first = dt.date(rng.choice([2010, 2026, 2027]), 1, 1) + dt.timedelta(days=rng.randrange(365))
    end = first + dt.timedelta(days=rng.choice([1, 7, 30, 60]))
    spans = []
    for _ in range(rng.randint(0, 5)):
        day, start = rng.randrange(7), rng.choice([0, 60, 90, 105, 120, 150, rng.randrange(1440)])
        length = rng.choice([1, 15, 30, 45, 60, 90, 600, 1440, 3000, rng.randint(1, 9000)])
        stop = day * 1440 + start + min(length, WEEK - 1)
        end_day, finish = stop // 1440, stop % 1440
        if finish == 0:
            end_day, finish = end_day - 1, 1440
        spans.append((day, start, end_day, finish))
    mode = rng.choice(["none", "none", "armed_by_date"])
    holidays = []
    if mode != "none":
        holidays = sorted({first + dt.timedelta(days=rng.randrange(-3, 40)) for _ in range(3)})
    low, high = instant(zone, first, 0, False), instant(zone, end, 0, False)
    minutes = minutes_of(spans)
    iso = lambda at: dt.datetime.fromtimestamp(at * 60, UTC).strftime("%Y-%m-%dT%H:%MZ")
    readings = {}
    for reading, last in (("first", False), ("cover", True)):
        found = covered(zone, minutes, holidays, last, first, end, low, high)
        readings[reading] = {"minutes": sum(b - a for a, b in found),
                             "intervals": [[iso(a), iso(b)] for a, b in found]}
    return {
        "id": f"seed{seed}-{number}", "zone": name, "window": "random", "from": str(first),
        "to": str(end), "window_minutes": high - low, "schedule": "random",
        "spans": [[d, clock(s), e, clock(f)] for d, s, e, f in spans], "holiday_mode": mode,
        "holidays": [str(day) for day in holidays],
        "expect": {"instants": readings,
                   "wallclock_minutes": by_the_clock_face(zone, minutes, holidays, low, high)},
    }


def main():
    count, seed, path = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    rng = random.Random(seed)
    cases = [case(rng, number, seed) for number in range(count)]
    with open(path, "w") as file:
        json.dump({"tzdata": "2026f", "cases": cases}, file)
    print(f"{count} schedules from seed {seed}")


main()
