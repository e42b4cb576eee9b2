"""Loops: what an input reads of a contact and its resistors."""
import math

import fitted
import network
import plant.base as base
import sheets
from plant.base import Fault, pick, planter
from sheets import ohm
from site_data import Item
from stories import window

INF = math.inf


def fixed(panel, bands, pull="pull-up 12 V 10 kohm"):
    """Gives a controller's part other bands. What is exact has no tolerance."""
    part = panel.part
    part.lines = [line for line in part.lines if not line.startswith("input ") or line.startswith("input rests")]
    part.add("input " + ", ".join([pull, *bands]))


def supervised(site, rng, steps=None, family="four", stem="push", purpose=None):
    """A bench with a loop of its own, and the windows of its states."""
    supply, panel, zone = base.bench(site, rng, family=family, stem=stem, repeats="once an activation")
    if steps is not None:
        zone.steps = steps
        zone.put("ends " + fitted.ends_text(steps))
    return panel, zone


def in_vain(panel):
    """Resistors that leave the states of a plain input where they are."""
    top = panel.part.bands["open"][0]
    return f"ends in 100 ohm, across {ohm(sheets.nearest(top * 3))}"


@planter("unsupervised-panic")
def bare_panic(site, rng, how):
    """A panic zone on a plain input, with resistors or without; or, to stay silent, a command there, or resistors
    that the input tells apart."""
    family, stem = "plain", "button"
    if how == "miss":
        family, stem = rng.choice((("plain", "push"), ("four", "button")))
    supply, panel, zone = base.bench(site, rng, family=family, stem=stem, repeats="once an activation")
    if family == "plain" and rng.random() < 0.5:
        zone.put(in_vain(panel))
    return Fault("unsupervised-panic", zone.name)


@planter("unsupervised-tamper")
def bare_covers(site, rng, how):
    """Covers on a plain input under a policy that wants them supervised, with resistors or without; or resistors that
    the input tells apart, or no covers."""
    if "tamper" not in site.limits:
        return None
    family, stem = "plain", "covers"
    if how == "miss":
        family, stem = rng.choice((("plain", "push"), ("four", "covers"), ("five", "covers")))
    supply, panel, zone = base.bench(site, rng, family=family, stem=stem, repeats="once an activation")
    if family == "plain" and rng.random() < 0.5:
        zone.put("ends in 100 ohm")
    return Fault("unsupervised-tamper", zone.name)


def four(zone):
    """The bands of a controller that fit the windows of a zone to the ohm, and its names for the states."""
    rest, active = window(zone), window(zone, True)
    names = ("open", "closed") if zone.part.rests == "open" else ("closed", "open")
    return dict(zip(names, (rest, active)))


@planter("loop-out-of-band")
def beside_band(site, rng, how):
    """A band that ends inside the window of its state, or just outside it."""
    panel, zone = supervised(site, rng)
    states = four(zone)
    low, high = states["open"]
    step = {"near": 0.002, "far": 0.3, "miss": -0.002}[how]
    closed = states["closed"]
    if rng.random() < 0.5:
        limits = low + (high - low + 20) * step, high * 1.1
    else:
        limits = low * 0.9, high - (high - low + 20) * step
    fixed(panel, [f"shorted below {closed[0] * 0.4:.6g} ohm", f"closed {closed[0] * 0.9:.8g} ohm to {closed[1] * 1.1:.8g} ohm",
                  f"open {limits[0]:.8g} ohm to {limits[1]:.8g} ohm", f"cut above {high * 4:.6g} ohm"])
    return Fault("loop-out-of-band", zone.name)


@planter("loop-out-of-band")
def cable_takes_it_out(site, rng, how):
    """A plain input, and a cable so long that the closed contact is not surely closed."""
    supply, panel, zone = base.bench(site, rng, stem="reed", repeats="once an activation")
    base.need(site, site.thin)
    limit = 1000
    fixed(panel, [f"closed below {limit} ohm", "open above 20 kohm"])
    per_km = 2 * network.hot(site.thin.ohm_km, site.ambient[1])
    longest = (limit - zone.part.closed_ohm) / per_km * 1000
    length = round(longest * {"near": 1.002, "far": 3, "miss": 0.998}[how], 2)
    zone.put(f"wired to {panel.name}.{zone.terminal}{zone.common} over {length} m of {site.thin.name}")
    return Fault("loop-out-of-band", zone.name, along={"loop-states-overlap": "far out it may reach the band of open"})


@planter("loop-states-overlap")
def one_band_for_two(site, rng, how):
    """A cut wire reads like an open contact: the resistor across the line is missing."""
    panel, zone = supervised(site, rng)
    if how != "miss":
        zone.put("ends " + fitted.ends_text([step for step in zone.steps if step[0] == "in"]))
    return Fault("loop-states-overlap", zone.name, along={} if how == "miss" else {
        "loop-out-of-band": "without its resistor the open contact reads in the band of a cut wire"})


@planter("loop-states-overlap")
def band_too_wide(site, rng, how):
    """The band for shorted wires reaches up to the window of a state, or ends just below it."""
    panel, zone = supervised(site, rng)
    states = four(zone)
    closed, opened = states["closed"], states["open"]
    wire = 2 * zone.length / 1000 * network.hot(zone.site_thin.ohm_km, zone.hottest)
    # Both the shorted wires and the closed contact fall into `shorted`.
    limit = closed[0] * 0.9 if how == "miss" else closed[1] * 1.05
    fixed(panel, [f"shorted below {limit:.8g} ohm",
                  f"closed {limit * 1.001:.8g} ohm to {closed[1] * 1.2:.8g} ohm" if how == "miss"
                  else f"closed {closed[1] * 1.06:.8g} ohm to {closed[1] * 1.2:.8g} ohm",
                  f"open {opened[0] * 0.9:.8g} ohm to {opened[1] * 1.1:.8g} ohm", f"cut above {opened[1] * 4:.6g} ohm"])
    return Fault("loop-states-overlap", zone.name, along={} if how == "miss" else {
        "loop-out-of-band": "the closed contact reads in the band of shorted wires"}) if wire < closed[0] * 0.3 else None


@planter("end-resistor-not-preferred")
def nobody_sells(site, rng, how):
    """E24 and E96 hold none of the one list, and all of the other."""
    odd = [("2.3 kohm", 1), ("2.25 kohm", 1), ("1.05 kohm", 5), ("4.75 kohm", 2), ("2.29 kohm", 0.5)]
    odd = [("2.3 kohm", 1), ("2.25 kohm", 1), ("2.03 kohm", 5), ("1.98 kohm", 2), ("2.24 kohm", 0.5), ("2.29 kohm", 1)]
    good = [("2.2 kohm", 5), ("2.26 kohm", 1), ("2.21 kohm", 1), ("2.23 kohm", 0.5), ("2 kohm", 1), ("2.29 kohm", 0.1)]
    if (site.policy and site.policy.get("level") and "end-resistor-not-preferred off" in site.policy.text()):
        return None
    value, percent = rng.choice(good if how == "miss" else odd)
    ohms = float(value.split()[0]) * 1000
    panel, zone = supervised(site, rng, [("in", ohms, percent), ("across", 4700, 1)])
    states = four(zone)
    closed, opened = states["closed"], states["open"]
    fixed(panel, [f"shorted below {closed[0] * 0.4:.6g} ohm", f"closed {closed[0] * 0.9:.8g} ohm to {closed[1] * 1.1:.8g} ohm",
                  f"open {opened[0] * 0.9:.8g} ohm to {opened[1] * 1.1:.8g} ohm", f"cut above {opened[1] * 4:.6g} ohm"])
    zone.put(f"ends in {value} +-{percent} %, across 4.7 kohm +-1 %")
    return Fault("end-resistor-not-preferred", zone.name, say=f"{value} {percent} %")


@planter("never-active")
def both_in_one_band(site, rng, how):
    """A resistor across a contact that rests closed is all that is left when it opens."""
    supply, panel, zone = base.bench(site, rng, stem="reed", repeats="once an activation")
    fixed(panel, ["closed below 1000 ohm", "open above 2000 ohm"])
    wire = 2 * zone.length / 1000 * network.hot(site.thin.ohm_km, site.ambient[1])
    top = {"near": 0.999 * (1000 - wire), "far": 300, "miss": 2000 * 1.03}[how]
    # The resistor has 1 %, and the wire adds to it.
    value = sheets.nearest(top / 1.01)
    while value * 1.01 > top and how != "miss":
        value = sheets.nearest(value * 0.9)
    while value * 0.99 < 2000 and how == "miss":
        value = sheets.nearest(value * 1.1)
    zone.put(f"ends across {ohm(value)} +-1 %")
    return Fault("never-active", zone.name, along={} if how == "miss" else {
        "loop-states-overlap": "rest and active read alike"}, say=ohm(value))


@planter("never-active")
def follows_nothing(site, rng, how):
    """A contact that follows an output which nothing switches on."""
    supply, panel, zone = base.bench(site, rng, family="plain")
    terminal = base.make_side(panel)
    if not terminal or len(panel.inputs) < 1:
        return None
    load = base.new_load(site, rng, 0.2)
    panel.part.drop("relay")
    panel.part.add("relay 5 A at 60 V dc resistive")
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply,
                             used_by=zone if how == "miss" else None)
    if rng.random() < 0.5 and how != "miss":
        output.add("mode forced off")
    follower = base.new_zone(site, rng, panel, "echo")
    follower.answer.lines = [f"sound {panel.name} for 5 s"]
    follower.follows = output
    follower.add(f"follows {output.name}")
    return Fault("never-active", follower.name, along={} if how == "miss" else {"idle-output": "no response uses it"})


@planter("reading-out-of-window")
def wrong_reading(site, rng, how):
    """A reading beyond the window, the 1 % of the meter and the half ohm of its leads."""
    family, stem = rng.choice((("four", "push"), ("four", "reed"), ("five", "reed"), ("five", "rail")))
    panel, zone = supervised(site, rng, family=family, stem=stem)
    word, active = rng.choice((("resting", False), ("active", True)))
    low, high = window(zone, active)
    beyond = {"near": 0.003, "far": rng.choice((0.3, 2.0)), "miss": -0.003}[how]
    if rng.random() < 0.5:
        value = (high * 1.01 + 0.5) * (1 + beyond)
    else:
        value = (low * 0.99 - 0.5) * (1 - min(beyond, 0.9))
    return Fault("reading-out-of-window", reading(site, f"{panel.name}.{zone.terminal} {word} {value:.6f} ohm"))


def reading(site, line):
    name = f"measured {base.TODAY.year}-02-03"
    return site.add(Item("measured", name, name, line)).name


@planter("reading-out-of-window")
def wrong_voltage(site, rng, how):
    """The voltage of a supply on mains, with its battery full, is what it gives."""
    supply = pick(site, rng, "supply", lambda one: one.battery)
    if not supply:
        return None
    part = supply.part
    high = part.high * 1.01
    value = {"near": high * 1.003, "far": rng.choice((high * 1.2, part.empty * 0.8)), "miss": rng.choice((high * 0.998,
             part.high))}[how]
    return Fault("reading-out-of-window", reading(site, f"{supply.name} floating {value:.4f} V"))
