"""Currents, voltages, fuses and batteries, by the network that the planter works out itself."""
import fitted
import network
import plant.base as base
import power
import sheets
from plant.base import Fault, pick, planter
from power import Feed
from site_data import Item

# How far beyond the limit, or within it.
OVER = {"near": 1.004, "far": 1.6, "miss": 0.996}


def alone(site, rng, load, supply=None, length=0, cable=None, count=1, inside=None):
    """A load behind a contact on a supply of its own."""
    low, panel, zone = base.bench(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    panel.part.drop("relay")
    panel.part.add("relay 200 A at 125 V dc resistive")
    supply = supply or base.new_supply(site, rng, inside=inside)
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, count, cable, length, used_by=zone)
    return supply, panel, zone, output


# ---- supply-overload, spare-too-small ----


def most_of(site, supply):
    return power.most(site, supply)[("inside",)]


def rerate(supply, rated):
    part = supply.part
    part.rated = rated
    part.put(f"gives {part.low:g} V to {part.high:g} V {part.supply_kind}, at most {rated:.6f} A")


@planter("supply-overload")
def more_than_rated(site, rng, how):
    """A supply of the site is rated just below, far below or just above the most that it has to give."""
    supply = pick(site, rng, "supply", lambda one: one.part.supply_kind == "dc" and power.is_plain(site, one)
                  and most_of(site, one) > 0.05)
    if not supply:
        return None
    base.own_part(site, rng, supply)
    rerate(supply, most_of(site, supply) / OVER[how])
    return Fault("supply-overload", supply.name, along={
        "spare-too-small": "nothing of the rated current is left over",
        "recharge-too-slow": "what is left over is all that charges"})


@planter("supply-overload")
def outlet_overload(site, rng, how):
    """What an outlet of a controller gives at most."""
    supply, panel, zone = base.bench(site, rng)
    part = panel.part
    part.drop("outlets")
    part.add("outlets aux8 at most 0.5 A")
    panel.part.outlets = ("aux8",)
    total = 0.5 * OVER[how]
    count = rng.choice((1, 3))
    sensor = sheets.sensor(site, rng, "beam")
    base.place_part(site, sensor)
    sensor.draw = network.Draw(round(total / count, 6), "A", 8.5, 16, "current")
    sensor.put("draws " + sensor.draw.text())
    site.touch(sensor)
    if len(panel.inputs) < 2 * count:
        return None
    for _ in range(count):
        eye = base.new_zone(site, rng, panel, "beam")
        eye.head = eye.head.replace(f" is {eye.part.name}", f" is {sensor.name}")
        site.items.remove(eye.part)
        eye.part = sensor
        eye.feed = Feed((panel, "aux8"))
        eye.put(eye.feed.text())
        eye.drop("tamper")
    return Fault("supply-overload", panel.name, eye.name)


@planter("spare-too-small")
def little_spare(site, rng, how):
    if "spare" not in site.limits:
        return None
    supply = pick(site, rng, "supply", lambda one: one.part.supply_kind == "dc" and power.is_plain(site, one)
                  and most_of(site, one) > 0.05)
    if not supply:
        return None
    base.own_part(site, rng, supply)
    most, spare = most_of(site, supply), site.limits["spare"] / 100
    # What is left over is just below, far below, or just above the share that the policy wants.
    left = {"near": spare - 0.004, "far": 0.01, "miss": spare + 0.004}[how]
    rerate(supply, most / (1 - left))
    return Fault("spare-too-small", supply.name, along={"recharge-too-slow": "what is left over is all that charges"})


# ---- voltages ----


@planter("undervoltage")
def low_at_the_end(site, rng, how):
    """One load of constant current: U = E - I (R + Ri), E at the end of discharge, R at its hottest."""
    inside = rng.choice((None, 0.05))
    amps, low = rng.choice((0.3, 0.8, 1.5)), rng.choice((8.0, 9.0, 9.5))
    cable = base.new_cable(site, rng)
    supply = base.new_supply(site, rng, inside=inside)
    volts = power.lowest(supply)
    # The length at which the voltage is just what the load works from.
    per_m = 2 * network.hot(cable.ohm_km, site.ambient[1]) / 1000
    exact = ((volts - low) / amps - (inside or 0)) / per_m
    share = {"near": 1.004, "far": rng.choice((1.3, 2.0)), "miss": 0.996}[how]
    cores = rng.choice((None, 2))
    length = exact * share * (cores or 1)
    load = base.new_load(site, rng, amps, low=low)
    made = alone(site, rng, load, supply, round(length, 3), cable)
    if not made:
        return None
    output = made[3]
    output.feed.cores = cores
    cable.cores = 4
    cable.put("cores 4")
    output.put(output.feed.text())
    along = {"voltage-collapse": "so far out there is hardly a voltage left"} if how == "far" else {}
    return Fault("undervoltage", output.name, along=along, say=f"{length:g} m")


@planter("undervoltage")
def long_run(site, rng, how):
    """A run of the site grows until its load no longer has its voltage, by the whole network."""
    output = pick(site, rng, "output", lambda one: one.feed.cable and one.used and one.supply.part.supply_kind == "dc"
                  and one.feed.place[0].kind == "supply")
    if not output or not base.take_supply(site, output):
        return None
    feed, supply = output.feed, output.supply
    if not power.is_plain(site, supply):
        return None
    least, great = feed.length, feed.length
    low = power.load_low(output)[0]

    def volts(length):
        feed.length = length
        tree = power.worst(site, supply)
        return tree.volts(output) if tree else None
    while (now := volts(great)) is not None and now > low:
        great *= 1.5
        if great > 1e5:
            return None
    while great - least > 0.001:
        middle = (least + great) / 2
        now = volts(middle)
        least, great = (middle, great) if now is not None and now > low else (least, middle)
    feed.length = round(least * {"near": 1.003, "far": 1.15, "miss": 0.997}[how], 3)
    output.put(feed.text())
    others = {"reading-out-of-window": "a reading was taken on the shorter run"}
    if how != "miss":
        others["voltage-collapse"] = "a load of constant power draws more, the less it gets"
    return Fault("undervoltage", output.name, along=others, say=output.name) \
        if all(load.draw.law != "power" for _, load in output.loads) else None


@planter("undervoltage")
def tap_too_far(site, rng, how):
    """Two loads on one cable with taps share its drop: each segment carries what hangs behind it."""
    cable = base.new_cable(site, rng)
    supply, panel, zone = base.bench(site, rng)
    box = base.new_supply(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    panel.part.drop("relay")
    panel.part.add("relay 200 A at 125 V dc resistive")
    one, two = rng.choice((0.3, 0.7)), rng.choice((0.2, 0.9))
    low = 9.0
    per_m = 2 * network.hot(cable.ohm_km, site.ambient[1]) / 1000
    volts = power.lowest(box)
    first = round(0.4 * (volts - low) / ((one + two) * per_m), 3)
    drop = first * per_m * (one + two)
    rest = (volts - low - drop) / (two * per_m)
    second = round(rest * OVER[how] if how != "far" else rest * 1.5, 3)
    name = base.new_name(site, rng, "run")
    run = site.add(Item("cable", name, f"cable {name} is {cable.name}", part=cable, start=(box,), cores=None, fuse=None,
                        taps=[("near", "start", first), ("far", "near", second)], feed=None))
    run.lines = [f"from {box.name}", f"tap near at {first} m from start", f"tap far at {second} m from near"]
    site.touch(run)
    outs = []
    for tap, amps, floor in (("near", one, 6.0), ("far", two, low)):
        load = base.new_load(site, rng, amps, low=floor)
        output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, box, used_by=zone)
        output.feed = Feed((run, tap))
        output.put(output.feed.text())
        outs.append(output.name)
    return Fault("undervoltage", *reversed(outs), name)


@planter("overvoltage")
def too_high(site, rng, how):
    """The highest voltage of the supply, nothing else on, the conductor cold: U = E - I R."""
    amps = rng.choice((0.1, 0.4))
    supply = base.new_supply(site, rng)
    cable = base.new_cable(site, rng)
    length = rng.choice((0, 15.0))
    drop = amps * 2 * length / 1000 * network.hot(cable.ohm_km, site.ambient[0])
    if not length:
        site.items.remove(cable)
    volts = supply.part.high - drop
    top = {"near": volts - 0.02, "far": volts - 3, "miss": volts + 0.02}[how]
    load = base.new_load(site, rng, amps, low=7, high=round(top, 6))
    load.draw.high = top
    load.put(f"draws {amps:g} A at 7 V to {top:.6f} V dc, constant current")
    made = alone(site, rng, load, supply, length, cable if length else None)
    if not made:
        return None
    return Fault("overvoltage", made[3].name)


@planter("overvoltage")
def part_too_weak(site, rng, how):
    """A controller of the site that stands less than its supply gives."""
    panel = pick(site, rng, "controller", lambda one: one.feed.cable is None and one.feed.place[0].kind == "supply"
                 and not one.feed.place[0].part.inside)
    if not panel:
        return None
    part = base.own_part(site, rng, panel)
    top = panel.feed.place[0].part.high + {"near": -0.02, "far": -2.5, "miss": 0.02}[how]
    if top < part.draw.low:
        return None
    part.put(part.get("draws").replace(f"{part.draw.high:g} V", f"{top:g} V"))
    return Fault("overvoltage", panel.name) if part.draw.law != "resistive" else None


@planter("voltage-collapse")
def too_much_power(site, rng, how):
    """One load of constant power on one cable: P = E^2 / 4R is the most that gets through."""
    cable = base.new_cable(site, rng)
    inside = rng.choice((None, 0.2))
    supply = base.new_supply(site, rng, inside=inside)
    length = rng.choice((30.0, 80.0))
    ohms = 2 * length / 1000 * network.hot(cable.ohm_km, site.ambient[1]) + (inside or 0)
    watts = power.lowest(supply) ** 2 / 4 / ohms * {"near": 1.005, "far": 4, "miss": 0.995}[how]
    load = base.new_load(site, rng, watts, unit="W", law="power", low=4, high=16)
    load.put(f"draws {watts:.6f} W at 4 V to 16 V dc, constant power")
    made = alone(site, rng, load, supply, length, cable)
    if not made:
        return None
    return Fault("voltage-collapse", made[3].name, along={"undervoltage": "with less power it still has too little"})


# ---- conductors and fuses ----


@planter("conductor-overcurrent")
def hot_core(site, rng, how):
    """The current against what a core carries, times the cores in parallel."""
    amps = rng.choice((1.0, 2.5))
    cores = rng.choice((None, 2))
    carries = amps / OVER[how] / (cores or 1)
    cable = base.new_cable(site, rng, ohm_km=7.0, cores=4)
    cable.put(f"carries at most {carries:.6f} A")
    load = base.new_load(site, rng, amps)
    made = alone(site, rng, load, None, 2, cable)
    if not made:
        return None
    output = made[3]
    output.feed.cores = cores
    output.put(output.feed.text())
    return Fault("conductor-overcurrent", output.name, cable.name)


@planter("conductor-overcurrent", miss=False)
def existing_core(site, rng, how):
    """A cable of the site whose sheet says less than what flows."""
    output = pick(site, rng, "output", lambda one: one.feed.cable and one.used and one.supply.part.supply_kind == "dc")
    if not output or not base.take_supply(site, output):
        return None
    amps = power.most(site, power.source(output.feed.place))[("feed", output.name)]
    cable = base.own_cable(site, rng, output)
    cable.put(f"carries at most {amps / OVER[how] / (output.feed.cores or 1):.6f} A")
    return Fault("conductor-overcurrent", output.name, along={"fuse-mismatch": "its fuse protects no such cable"})


@planter("fuse-mismatch")
def fuse_too_small(site, rng, how):
    amps = rng.choice((0.7, 2.0))
    load = base.new_load(site, rng, amps)
    cable = base.new_cable(site, rng, ohm_km=7.0)
    made = alone(site, rng, load, None, 3, cable)
    if not made:
        return None
    made[3].add(f"fuse {amps / OVER[how]:.6f} A")
    made[3].feed.fuse = amps
    return Fault("fuse-mismatch", made[3].name)


@planter("fuse-mismatch")
def fuse_too_large(site, rng, how):
    """Larger than what the thinnest cable behind it carries, with no other fuse in between."""
    amps = 0.7
    load = base.new_load(site, rng, amps)
    cable = base.new_cable(site, rng, ohm_km=7.0, carries=2.0)
    made = alone(site, rng, load, None, 3, cable)
    if not made:
        return None
    supply, panel, zone, output = made
    size = f"fuse {2.0 * OVER[how]:.6f} A"
    if rng.random() < 0.5:
        output.add(size)
    else:
        supply.add(size)  # the supply's own fuse, and the run has none
    return Fault("fuse-mismatch", output.name, supply.name)


@planter("fuse-mismatch", miss=False)
def fuse_of_the_site(site, rng, how):
    output = pick(site, rng, "output", lambda one: one.feed.fuse and one.supply.part.supply_kind == "dc" and one.used)
    if not output or not base.take_supply(site, output):
        return None
    if rng.random() < 0.5:
        value = output.feed.carries() * OVER[how]
    else:
        amps = power.most(site, power.source(output.feed.place))[("feed", output.name)]
        value = amps / OVER[how]
    output.put(f"fuse {value:.6f} A")
    return Fault("fuse-mismatch", output.name)


# ---- batteries ----


def battery_bench(site, rng, charge, kinetic, charges=None, rated=80, exponent=None):
    """A controller that draws half an ampere at every voltage, on a battery of its own."""
    supply, panel, zone = base.bench(site, rng)
    part = supply.part
    battery = sheets.part(site, "battery", "bench-battery", kinetic=kinetic, charge=charge)
    base.place_part(site, battery)
    more = f", {charge * 0.9245:.6f} Ah over 10 h, {charge * 0.645:.6f} Ah over 1 h" if kinetic else ""
    battery.lines = [f"holds {charge:.6f} Ah over 20 h{more}", "voltage 12 V"]
    if not kinetic:
        battery.add(f"peukert {exponent}")
    if supply.battery:
        site.items.remove(supply.battery)
    supply.put(f"battery {battery.name}")
    supply.battery = battery
    site.touch(battery)
    if charges:
        part.add(f"charges at most {charges:.6f} A")
    rerate(supply, rated)
    panel.part.put("draws 0.5 A at 8 V to 16 V dc, constant current")
    panel.part.draw = network.Draw(0.5, "A", 8, 16, "current")
    for one in site.all("zone"):
        if one.controller is panel and one.feed:
            return None
    return supply, panel, zone


# IEEE 485 table 1 (from memory, checked in the reference): at 25 degC a battery has its capacity.
def peukert_hours(charge, amps, exponent):
    """The rated form: t = 20 h (C / (I 20 h))^k, never more than the rated capacity below that rate."""
    ideal = charge / amps
    return min(20 * (charge / (amps * 20)) ** exponent, ideal) if amps * 20 < charge else 20 * (charge / (amps * 20)) ** exponent


@planter("standby-too-short")
def flat_battery(site, rng, how):
    """One load, one stage: T = 20 h (C / ageing / (I 20 h))^k where the site is never colder than 25 degC."""
    if site.ambient[0] < 25 or not site.limits.get("standby") or "alarm-time" in site.limits:
        return None
    exponent, amps, hours_of = 1.2, 0.5, site.limits["standby"]
    ageing = site.limits.get("ageing", 1.25)
    wanted = hours_of / OVER[how] if how != "far" else hours_of * 0.4
    # Turned round: the capacity that lasts just so long. Above 20 h no more than C / I is credited.
    charge = amps * 20 * (wanted / 20) ** (1 / exponent) if wanted < 20 else amps * wanted
    made = battery_bench(site, rng, charge * ageing, False, charges=5, exponent=exponent)
    if not made:
        return None
    return Fault("standby-too-short", made[0].name, say=f"{charge} Ah for {hours_of} h")


@planter("standby-too-short")
def far_from_enough(site, rng, how):
    """By any law of discharge: less than the ampere-hours drawn is too little, twice as much with all
    that age and cold take is enough."""
    if not site.limits.get("standby"):
        return None
    hours_of = site.limits["standby"]
    drawn = 0.5 * hours_of
    charge = {"near": drawn * 0.98, "far": drawn * 0.3, "miss": drawn * 2 * 1.25 * 2.4 + 20}[how]
    made = battery_bench(site, rng, charge, rng.random() < 0.7, charges=charge, exponent=1.2)
    if not made:
        return None
    return Fault("standby-too-short", made[0].name)


@planter("standby-too-short", miss=False)
def battery_of_the_site(site, rng, how):
    supply = pick(site, rng, "supply", lambda one: one.battery and one.battery_count == 1)
    if not supply or not site.limits.get("standby"):
        return None
    resting = power.Tree(site, supply, site.ambient[1])
    resting.solve(12 * supply.part.volts / 12, False)
    drawn = resting.root.amps * site.limits["standby"] * {"near": 0.8, "far": 0.2}[how]
    if drawn < 0.1:
        return None
    part = own_battery(site, rng, supply)
    more = f", {drawn * 0.9245:.6f} Ah over 10 h, {drawn * 0.645:.6f} Ah over 1 h" if part.kinetic else ""
    part.put(f"holds {drawn:.6f} Ah over 20 h{more}")
    return Fault("standby-too-short", supply.name)


@planter("standby-too-short", miss=False)
def no_battery(site, rng, how):
    """What watches hangs on a supply that has none."""
    if not fitted.wants_standby(site):
        return None
    supply, _, _ = base.bench(site, rng)
    site.items.remove(supply.battery)
    supply.drop("battery")
    supply.battery = None
    return Fault("standby-too-short", supply.name)


def own_battery(site, rng, supply):
    part = sheets.part(site, "battery", "own-battery", kinetic=supply.battery.kinetic)
    base.place_part(site, part)
    part.lines = list(supply.battery.lines)
    old = supply.battery
    supply.put(supply.get("battery").replace(old.name, part.name))
    supply.battery = part
    if not any(one.battery is old for one in site.all("supply")):
        site.items.remove(old)
    site.touch(part)
    return part


@planter("recharge-too-slow")
def slow_charger(site, rng, how):
    """1.2 times the capacity has to be put back; by the charger, or by what the rating leaves at rest."""
    if "recharge" not in site.limits:
        return None
    limit, charge = site.limits["recharge"], 200.0
    amps = 1.2 * charge / limit / OVER[how]
    if rng.random() < 0.5:
        made = battery_bench(site, rng, charge, True, charges=amps)
    else:
        made = battery_bench(site, rng, charge, True, charges=50, rated=amps + 0.5)
    if not made:
        return None
    along = {"spare-too-small": "what charges is what is left over", "standby-too-short": "the site may be too cold for it"}
    return Fault("recharge-too-slow", made[0].name, along={**along} if how != "miss" else along)
