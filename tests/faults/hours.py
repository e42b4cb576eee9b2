"""Schedules worked out by hand: for each date a number of 1440 bits, one a minute of the local day."""
import datetime
import functools

import zoneinfo

# The pinned database of the packages, never the one of the machine.
zoneinfo.reset_tzpath([])

DAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
FULL = (1 << 1440) - 1


def span(start, end):
    return ((1 << end) - 1) & ~((1 << start) - 1)


def clock(minute):
    return f"{minute // 60:02d}:{minute % 60:02d}"


class Years:
    """The dates that are looked at: a year and the next."""

    def __init__(self, year):
        first = datetime.date(year, 1, 1)
        self.dates = []
        while first.year <= year + 1:
            self.dates.append(first)
            first += datetime.timedelta(1)
        self.index = {date: k for k, date in enumerate(self.dates)}

    def __deepcopy__(self, memo):
        return self  # nobody changes it


class Hours:
    """A schedule: minutes of an ordinary week, and minutes of every date."""

    def __init__(self, week, dates):
        self.week, self.dates = week, dates

    def __deepcopy__(self, memo):
        return self  # nobody changes it

    def __invert__(self):
        return Hours([FULL ^ day for day in self.week], [FULL ^ day for day in self.dates])

    def _with(self, other, how):
        return Hours([how(a, b) for a, b in zip(self.week, other.week)],
                     [how(a, b) for a, b in zip(self.dates, other.dates)])

    def __or__(self, other):
        return self._with(other, lambda a, b: a | b)

    def __and__(self, other):
        return self._with(other, lambda a, b: a & b)

    def __sub__(self, other):
        return self._with(other, lambda a, b: a & ~b)

    def any(self):
        return any(self.dates)

    def at(self, weekday, minute):
        return bool(self.week[weekday] >> minute & 1)


def written(years, spans, excepted=(), also=()):
    """Spans are (weekday, start, end) with an end at or before the start on the next day.

    `excepted` are dates, `also` are (date, start, end). First the weekdays, minus all exceptions,
    plus all additions.
    """
    week = [0] * 7
    for day, start, end in spans:
        if end > start:
            week[day] |= span(start, end)
        else:
            week[day] |= span(start, 1440)
            week[(day + 1) % 7] |= span(0, end)
    dates = [0 if date in excepted else week[date.weekday()] for date in years.dates]
    for date, start, end in also:
        if date in years.index:
            dates[years.index[date]] |= span(start, end)
    return Hours(week, dates)


def always(years):
    return Hours([FULL] * 7, [FULL] * len(years.dates))


def never(years):
    return Hours([0] * 7, [0] * len(years.dates))


@functools.cache
def odd_minutes(zone, date):
    """The minutes of a local date that the clocks skip or repeat."""
    tz = zoneinfo.ZoneInfo(zone)
    noon = [datetime.datetime.combine(date + datetime.timedelta(k), datetime.time(12), tz) for k in (-1, 1)]
    if noon[0].utcoffset() == noon[1].utcoffset():
        return 0
    out = 0
    for minute in range(1440):
        at = datetime.datetime.combine(date, datetime.time(minute // 60, minute % 60), tz)
        if at.utcoffset() != at.replace(fold=1).utcoffset():
            out |= 1 << minute
    return out


def weekly_edges(hours):
    """The minutes of each day of an ordinary week at which something begins or ends."""
    days = [hours.week[-1], *hours.week]
    return [edges(days, k) for k in range(1, 8)]


def edges(days, k):
    """The minutes of one of many days in a row at which something begins or ends."""
    bits = days[k]
    whole = bits << 1 | (days[k - 1] >> 1439 if k else bits & 1)
    return (whole ^ whole >> 1) & FULL
