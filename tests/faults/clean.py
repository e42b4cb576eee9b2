"""Clean random sites: nothing is wrong with them, by construction and by arithmetic."""
import collections
import datetime
import random

import answers
import fitted
import hours
import limits
import power
import rings
import stories
import switched
import watched
import when
from names import names_in, title
from site_data import Item, Site

ZONES = ["Europe/Lisbon", "Europe/Vienna", "America/New_York", "America/St_Johns", "Australia/Lord_Howe",
         "Africa/Cairo", "America/Santiago", "Asia/Kolkata", "Pacific/Auckland", "Africa/Casablanca",
         "Asia/Beirut", "America/Havana", "UTC", "Asia/Kathmandu"]


def make(seed, year):
    rng = random.Random(seed)
    site = Site(rng)
    site.seed, site.year = seed, year
    site.years = hours.Years(year)
    site.small = rng.random() < 0.25
    head(site, rng)
    when.schedules(site, rng)
    limits.policy(site, rng)
    fitted.supplies(site, rng)
    fitted.controllers(site, rng)
    fitted.zones(site, rng)
    switched.outputs(site, rng)
    watched.cameras(site, rng)
    answers.responses(site, rng)
    watched.recordings(site, rng)
    rings.reaches(site, rng)
    prune(site)
    share(site, rng)
    power.fit(site)
    stories.tell(site, rng)
    stories.measure(site, rng)
    order(site, rng)
    return site


def head(site, rng):
    site.zone = rng.choice(ZONES)
    site.ambient = rng.choice(((-20, 45), (-5, 40), (5, 35), (10, 30), (25, 35)))
    place = site.add(Item("site", f"place-{rng.randrange(100, 999)}", ""))
    site.place = place
    place.head = f"site {place.name}{title(rng, 'place')}"
    place.names = []
    place.add(f"timezone {site.zone}")
    place.add(f"ambient {site.ambient[0]} to {site.ambient[1]} degC")
    site.areas = rng.sample(["left-wing", "right-wing", "ground", "upper", "outside"], rng.randrange(2, 5))
    site.people = rng.sample(["keyholders", "owner", "guard", "warden"], rng.randrange(1, 4))
    place.names = site.areas + site.people
    for area in site.areas:
        place.add(f"area {area}" + title(rng, area))
    for people in site.people:
        place.add(f"people {people}" + title(rng, people))
    # Holidays: dates, ranges, every year, and a calendar.
    site.holidays = set()
    year = site.year
    if rng.random() < 0.6:
        one = datetime.date(year, rng.randrange(1, 13), rng.randrange(1, 29))
        site.holidays.add(one)
        place.add(f"holidays {one}, every 06-10")
        site.holidays |= {datetime.date(y, 6, 10) for y in (year, year + 1)}
    if rng.random() < 0.4:
        first = datetime.date(year, 12, 24)
        for k in range(5):
            site.holidays.add(first + datetime.timedelta(k))
        place.add(f"holidays {first} to {first + datetime.timedelta(4)}")
    if rng.random() < 0.3:
        place.add("holidays every 12-30 to 01-02")
        for date in site.years.dates:
            if (date.month, date.day) in ((12, 30), (12, 31), (1, 1), (1, 2)):
                site.holidays.add(date)
    if rng.random() < 0.4:
        first = datetime.date(year + 1, 8, 9)
        site.files["closed.ics"] = calendar(first, 5, datetime.date(year, 4, 25))
        place.add('holidays from "closed.ics"')
        site.holidays |= {first + datetime.timedelta(k) for k in range(5)}
        site.holidays |= {datetime.date(y, 4, 25) for y in (year, year + 1)}


def calendar(first, days, yearly):
    end = first + datetime.timedelta(days)
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Invented//Closed days//EN",
             "BEGIN:VEVENT", "UID:a@invented.example", "DTSTAMP:20250101T090000Z",
             f"DTSTART;VALUE=DATE:{first:%Y%m%d}", f"DTEND;VALUE=DATE:{end:%Y%m%d}", "SUMMARY:Closed", "END:VEVENT",
             "BEGIN:VEVENT", "UID:b@invented.example", "DTSTAMP:20250101T090000Z",
             f"DTSTART;VALUE=DATE:{yearly:%Y%m%d}", "RRULE:FREQ=YEARLY", "SUMMARY:Every year", "END:VEVENT",
             "END:VCALENDAR", ""]
    return "\r\n".join(lines)


def prune(site):
    """Takes out what nothing uses, until everything is used."""
    while True:
        power.refresh(site)
        count = collections.Counter(name for item in site.items for name in names_in(item))
        gone = [item for item in site.items if item.kind in ("part", "schedule", "supply", "relay", "cable")
                and count[item.name] < 2]
        if not gone:
            break
        site.items = [item for item in site.items if item not in gone]
    for word, names in (("area", site.areas), ("people", site.people)):
        for name in list(names):
            if count[name] < 2:
                names.remove(name)
                site.place.lines = [one for one in site.place.lines if one.split()[:2] != [word, name]]
    site.place.names = site.areas + site.people


def share(site, rng):
    """Moves parts, and sometimes the policy and schedules, to files of their own."""
    how = rng.choice(("inline", "one", "two"))
    if how != "inline":
        deep = how == "two"
        for item in site.all("part"):
            item.shared = "parts/cables.site" if deep and item.part_kind == "cable" else "parts/parts.site"
        site.uses.append("parts/parts.site")
        if deep and site.parts("cable"):
            first = next(item for item in site.items if item.shared == "parts/parts.site")
            site.files["parts/more.site"] = 'use "cables.site"\n'
            site.uses.append("parts/more.site")
            assert first
    if site.policy and rng.random() < 0.5:
        site.policy.shared = "policy.site"
        site.uses.append("policy.site")


def order(site, rng):
    """The order of the items means nothing."""
    if rng.random() < 0.5:
        rng.shuffle(site.items)
