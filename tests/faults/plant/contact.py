"""What a contact carries: currents, voltages, kinds of load, suppression."""
import plant.base as base
import sheets
from plant.base import Fault, pick, planter
from site_data import Item

# The share of the limit that is planted: just beyond it, far beyond it, just within it.
SHARE = {"near": 1.01, "far": 2.5, "miss": 0.99}


def rated_panel(site, rng, rating):
    """A bench whose controller's relays are rated with these words."""
    supply, panel, zone = base.bench(site, rng, rated=80)
    panel.part.drop("relay")
    if rating:
        panel.part.add(f"relay {rating}")
    terminal = base.make_side(panel)
    return (supply, panel, zone, terminal) if terminal else None


@planter("contact-overload")
def too_much_current(site, rng, how):
    """The sum of the loads at the highest voltage, against the rating for that kind of load."""
    rating = rng.choice((1.0, 2.0, 3.0))
    # A coil with its diode is resistive to a contact; a larger figure for a milder kind of load says
    # nothing about a harder one.
    nature, words = rng.choice((("resistive", "{x} A at 30 V dc resistive, {less} A at 30 V dc inductive"),
                                ("resistive", "{x} A at 30 V dc DC-12"),
                                ("inductive suppressed", "{x} A at 30 V dc resistive, {less} A at 30 V dc DC-13"),
                                ("inductive", "{more} A at 30 V dc resistive, {x} A at 30 V dc inductive"),
                                ("inductive", "{more} A at 30 V dc DC-12, {x} A at 60 V dc DC-13"),
                                ("lamp", "{more} A at 30 V dc resistive, {x} A at 30 V dc lamp")))
    made = rated_panel(site, rng, words.format(x=rating, more=rating * 9, less=rating / 4))
    if not made:
        return None
    supply, panel, zone, terminal = made
    count, total = rng.choice((1, 2, 5)), rating * SHARE[how]
    high = supply.part.high
    law = rng.choice(("current", "power", "resistive"))
    unit, amount = ("W", total * high / count) if law == "power" else ("A", total / count)
    top = 15.2
    if law == "resistive":
        amount = total / count * top / high  # the figure holds at the upper voltage
    if law == "power":
        # The lower the voltage, the more it draws: without a battery the lower end of what is given.
        amount = total * supply.part.low / count
    load = base.new_load(site, rng, round(amount, 6), law=law, unit=unit, nature=nature, high=top)
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, count, used_by=zone)
    along = {"inductive-unsuppressed": "the coil has no diode"} if nature == "inductive" else {}
    return Fault("contact-overload", output.name, along=along, say=f"{law} {nature}")


@planter("contact-overload")
def too_much_inrush(site, rng, how):
    rating = rng.choice((1.0, 2.0))
    made = rated_panel(site, rng, f"{rating:g} A at 30 V dc resistive")
    if not made:
        return None
    supply, panel, zone, terminal = made
    load = base.new_load(site, rng, 0.1, inrush=round(rating * SHARE[how], 4))
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, used_by=zone)
    return Fault("contact-overload", output.name)


@planter("contact-overload")
def too_much_for_relay(site, rng, how):
    """The contact of a relay in between carries the load; the controller's carries the coil."""
    supply, panel, zone = base.bench(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    part = sheets.relay(site, rng, 12, contacts="make")
    base.place_part(site, part)
    part.drop("contact")
    coil = rng.random() < 0.3
    total = 5 * SHARE[how]
    part.add("contact 50 A at 30 V dc resistive" if coil else "contact 5 A at 30 V dc resistive")
    if coil:
        panel.part.drop("relay")
        # Its diode makes the coil resistive to the contact; its figure holds at its upper voltage.
        amps = part.draw.amps(supply.part.high)
        panel.part.add(f"relay {amps / SHARE[how]:.6f} A at 30 V dc resistive")
    name = base.new_name(site, rng, "relay")
    relay = site.add(Item("relay", name, f"relay {name} is {part.name}", f"through {panel.name}.{terminal} closing",
                          f"fed from {supply.name}", part=part, side="closing", feed=None))
    site.touch(relay, part)
    load = base.new_load(site, rng, round(total, 4))
    output = base.new_output(site, rng, name, load, supply, used_by=zone)
    return Fault("contact-overload", name if coil else output.name)


@planter("contact-over-voltage")
def too_much_voltage(site, rng, how):
    """The float voltage of the supply, against the highest voltage that a rating allows."""
    supply, panel, zone = base.bench(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    high = supply.part.high
    volts = {"near": high - 0.1, "far": high / 2, "miss": rng.choice((high, high + 0.1))}[how]
    panel.part.drop("relay")
    panel.part.add(f"relay 5 A at {volts:.4g} V dc resistive")
    load = base.new_load(site, rng, 0.3)
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, used_by=zone)
    return Fault("contact-over-voltage", output.name)


@planter("inductive-unsuppressed")
def no_diode(site, rng, how):
    """A direct current through a coil, and nobody says that a diode is fitted."""
    kind = "dc" if how != "miss" else rng.choice(("dc", "ac"))
    supply, panel, zone = base.bench(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    panel.part.drop("relay")
    panel.part.add("relay 5 A at 60 V dc inductive, 5 A at 125 V ac AC-15")
    if kind == "ac":
        supply = base.new_supply(site, rng, 24, kind="ac")
    load = base.new_load(site, rng, 0.3, nature="inductive", low=8 if kind == "dc" else 20, high=15 if kind == "dc" else 30,
                         kind=kind)
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, used_by=zone)
    if how == "miss" and kind == "dc":
        output.add("suppressed")
    return Fault("inductive-unsuppressed", output.name)


@planter("inductive-unsuppressed")
def bare_coil(site, rng, how):
    supply, panel, zone = base.bench(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    part = sheets.relay(site, rng, 12, bare=how != "miss", contacts="make")
    base.place_part(site, part)
    name = base.new_name(site, rng, "relay")
    relay = site.add(Item("relay", name, f"relay {name} is {part.name}", f"through {panel.name}.{terminal} closing",
                          f"fed from {supply.name}", part=part, side="closing", feed=None))
    site.touch(relay, part)
    output = base.new_output(site, rng, name, base.new_load(site, rng, 0.3), supply, used_by=zone)
    return Fault("inductive-unsuppressed", relay.name, output.name)


@planter("inductive-unsuppressed", miss=False)
def diode_taken_off(site, rng, how):
    """An output of the site loses its diode."""
    output = pick(site, rng, "output", lambda one: one.get("suppressed") and one.supply.part.supply_kind == "dc"
                  and one.used)
    if not output:
        return None
    output.drop("suppressed")
    return Fault("inductive-unsuppressed", output.name)


@planter("rating-not-given")
def no_rating(site, rng, how):
    """A rating for one kind of load says nothing about another."""
    nature = rng.choice(("lamp", "inductive"))
    missing = {"lamp": "5 A at 30 V dc resistive, 5 A at 30 V dc inductive", "inductive": rng.choice((
        "5 A at 30 V dc resistive", "5 A at 30 V dc DC-12"))}[nature]
    given = {"lamp": "0.5 A at 30 V dc lamp", "inductive": rng.choice((
        "0.5 A at 30 V dc inductive", "0.5 A at 30 V dc DC-13"))}[nature]
    words = {"near": missing, "far": None, "miss": f"5 A at 30 V dc resistive, {given}"}[how]
    made = rated_panel(site, rng, words)
    if not made:
        return None
    supply, panel, zone, terminal = made
    load = base.new_load(site, rng, 0.4, nature=nature)
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, used_by=zone)
    along = {"inductive-unsuppressed": "the coil has no diode"} if nature == "inductive" else {}
    return Fault("rating-not-given", output.name, along=along, say=nature)


@planter("ac-dc-mismatch")
def wrong_contact(site, rng, how):
    """The contact switches one kind and its sheet rates it for the other only."""
    kind = rng.choice(("ac", "dc"))
    other = {"ac": "dc", "dc": "ac"}[kind]
    words = f"5 A at 125 V {other} resistive" + (f", 5 A at 60 V {kind} resistive" if how == "miss" else "")
    made = rated_panel(site, rng, words)
    if not made:
        return None
    supply, panel, zone, terminal = made
    if kind == "ac":
        supply = base.new_supply(site, rng, 24, kind="ac")
    load = base.new_load(site, rng, 0.4, low=8 if kind == "dc" else 20, high=15 if kind == "dc" else 30, kind=kind)
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, supply, used_by=zone)
    return Fault("ac-dc-mismatch", output.name)


@planter("ac-dc-mismatch")
def wrong_supply(site, rng, how):
    """A load, or a controller, for one kind of current on a supply of the other."""
    supply, panel, zone = base.bench(site, rng)
    terminal = base.make_side(panel)
    if not terminal:
        return None
    panel.part.drop("relay")
    panel.part.add("relay 5 A at 60 V dc resistive, 5 A at 125 V ac resistive")
    ac = base.new_supply(site, rng, 24, kind="ac")
    if how != "miss" and rng.random() < 0.3:
        panel.feed.place = (ac,)
        panel.put(panel.feed.text())
        site.items.remove(supply)
        site.items.remove(supply.part)
        if supply.battery:
            site.items.remove(supply.battery)
        return Fault("ac-dc-mismatch", panel.name, along={"overvoltage": "24 V for a controller of 12 V"})
    kinds = rng.choice((("dc", ac), ("ac", supply)))
    if how == "miss":
        kinds = rng.choice((("ac", ac), ("dc", supply)))
    volts = (20, 30) if kinds[1] is ac else (8, 15)
    load = base.new_load(site, rng, 0.4, low=volts[0], high=volts[1], kind=kinds[0])
    output = base.new_output(site, rng, f"{panel.name}.{terminal}", load, kinds[1], used_by=zone)
    if kinds[1] is not ac:
        site.items.remove(ac)
        site.items.remove(ac.part)
    return Fault("ac-dc-mismatch", output.name)
