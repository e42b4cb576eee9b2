"""Random data sheets: parts with their figures kept beside the text. Every part is invented."""
from network import COPPER, FLEXIBLE, SOLID, Draw, gauge_area
from site_data import Item

E24 = [1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
       3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1]
HAND, DOOR = "while held", "until restored"


def part(site, kind, wish, title=None, **facts):
    name = site.fresh(wish)
    head = f'part {name} "{title}" is {kind}' if title else f"part {name} is {kind}"
    return site.add(Item("part", name, head, part_kind=kind, **facts))


def ohm(value):
    if value >= 1e6:
        return f"{value / 1e6:.6g} Mohm"
    if value >= 1000:
        return f"{value / 1000:.6g} kohm"
    return f"{value:.6g} ohm" if value >= 1 else f"{value * 1000:.6g} mohm"


def ms(value):
    for unit, size in (("d", 86_400_000), ("h", 3_600_000), ("min", 60_000), ("s", 1000)):
        if value and value % size == 0:
            return f"{value // size} {unit}"
    if value > 1000:
        return f"{value // 1000} s {value % 1000} ms"
    return f"{value} ms"


# stem, rests, active (shortest, longest in ms, or a word), tamper, draws, disturbed by
SENSORS = {
    "reed": ("closed", DOOR, None, None),
    "cover-reed": ("closed", DOOR, "closed", None),
    "shutter-reed": ("closed", DOOR, "open", None),
    "button": ("open", HAND, None, None),
    "rail": ("closed", HAND, "closed", None),
    "latch-button": ("closed", DOOR, "closed", None),
    "strip": ("open", (700, 1300), None, None),
    "eye": ("closed", (2000, 4000), "closed", ("light", "heat")),
    "beam": ("closed", (900, 900), "closed", ("motion",)),
    "listener": ("closed", (3000, 5000), "closed", ("sound",)),
    "shock": ("closed", (500, 800), None, ("motion",)),
    "water": ("open", DOOR, None, None),
    "heat": ("open", DOOR, None, ("heat",)),
    "mains": ("closed", DOOR, None, None),
    "covers": ("closed", DOOR, None, None),
    "key": ("open", DOOR, None, None),
    "push": ("open", HAND, None, None),
    "echo": ("open", DOOR, None, None),
}


def sensor(site, rng, stem, kind="dc"):
    rests, active, tamper, disturbed = SENSORS[stem]
    one = part(site, "sensor", f"{stem}-sheet", rng.choice((None, stem.title())),
               stem=stem, rests=rests, active=active, tamper=tamper, disturbed=disturbed or (), draw=None)
    one.closed_ohm = rng.choice((0.05, 0.1, 0.15, 0.3, 0.5, 1.2))
    one.add(f"rests {rests}")
    if active == DOOR:
        one.add("active until restored")
        one.shortest = one.longest = None
    elif active == HAND:
        one.shortest = rng.choice((None, 400, 500))
        one.longest = None
        one.add("active while held" + (f", at least {ms(one.shortest)}" if one.shortest else ""))
    else:
        one.shortest, one.longest = active
        more = f" to {ms(one.longest)}" if one.longest != one.shortest else ""
        one.add(f"active for {ms(one.shortest)}{more}")
    volts = "125 V ac" if stem == "key" else f"{rng.choice((24, 30, 48))} V dc"
    one.add(f"contact {rng.choice((0.1, 0.2, 0.5, 1))} A at {volts}"
            f"{rng.choice((' resistive', ''))}, {ohm(one.closed_ohm)}")
    if tamper:
        one.add(f"tamper rests {tamper}")
    if stem in ("eye", "beam", "listener"):
        one.draw = Draw(rng.choice((12, 15, 25, 60)) / 1000, "A", *volts_of(kind, 8.5, 16), "current")
        one.add("draws " + one.draw.text(kind).replace(f"{one.draw.amount:g} A", f"{one.draw.amount * 1000:g} mA"))
    if disturbed:
        one.add("disturbed by " + ", ".join(disturbed))
    return one


def volts_of(kind, low, high):
    """What works on alternating current works on the 24 V of the one supply that gives it."""
    return (20, 30) if kind == "ac" else (low, high)


def cable(site, rng, wish):
    """A cable by a word: thin (for loops), or a cross-section in mm2."""
    if wish == "thin":
        if rng.random() < 0.4:
            gauge = rng.choice((22, 24))
            one = part(site, "cable", f"cores-{gauge}awg", cores=rng.choice((6, 8)), carries=1.0)
            one.ohm_km = COPPER / gauge_area(gauge)
            one.lines = [f"cores {one.cores}", f"conductor {gauge} AWG"]
        else:
            one = part(site, "cable", "six-core-0.22", "Alarm cable", cores=6, carries=1.0)
            one.ohm_km = rng.choice((88.0, 92.0, 95.0))
            one.lines = ["cores 6", "conductor 0.22 mm2", f"resistance {one.ohm_km:g} ohm/km"]
        one.add("carries at most 1 A")
        return one
    one = part(site, "cable", f"pair-{wish}", cores=2)
    one.area = float(wish)
    number = rng.choice((None, 1, 2, 5, 6))
    one.ohm_km = (SOLID if number in (1, 2) else FLEXIBLE)[one.area if one.area != 1 else 1]
    one.carries = {0.75: 6, 1: 10, 1.5: 14, 2.5: 20, 4: 28, 6: 36}[one.area] * 1.0
    one.lines = ["cores 2", f"conductor {one.area:g} mm2" + (f" class {number}" if number else ""),
                 f"carries at most {one.carries:g} A"]
    return one


# stem: amps or watts, law, low, high (for 12 V), kind, gives, loud, inrush factor, idles
LOADS = {
    "horn": (0.45, "A", "current", "inductive", ("sound",), 112, 1, 0),
    "siren": (4.0, "A", "current", "inductive", ("sound",), 124, 1.4, 0),
    "sounder": (0.12, "A", "current", "resistive", ("sound",), 98, 1, 0),
    "strobe": (0.2, "A", "current", "resistive", ("light",), None, 2.5, 0.002),
    "lock": (0.5, "A", "resistive", "inductive", (), None, 1, 0),
    "flood": (20, "W", "power", "resistive", ("light", "heat"), None, 3, 0),
    "lamp": (5, "W", "resistive", "lamp", ("light", "heat"), None, 8, 0),
    "chime": (0.25, "A", "resistive", "bare", ("sound",), None, 1, 0),
    "motor": (1.2, "A", "current", "bare", ("motion",), None, 1, 0),
    "plain": (0.3, "A", "current", None, (), None, 1, 0),
    "strike": (0.25, "A", "current", "bare", (), None, 1, 0),
}
RANGES = {12: (8.4, 15.2), 24: (17.0, 30.0), 48: (36.0, 58.0)}


def load(site, rng, stem, volts, kind="dc"):
    amount, unit, law, nature, gives, loud, inrush, idles = LOADS[stem]
    amount = round(amount * rng.choice((0.8, 1, 1.2)), 3)
    low, high = RANGES[volts]
    one = part(site, "load", f"{stem}-{volts}v", rng.choice((None, f"{stem.title()} {volts} V")),
               stem=stem, gives=gives, loud=bool(loud), nature=nature, volts=volts, idles=idles, supply_kind=kind)
    one.draw = Draw(amount, unit, low, high, law)
    one.add("draws " + one.draw.text(kind))
    if idles:
        one.add(f"idles at {idles * 1000:g} mA")
    one.inrush = 0.0
    if inrush > 1:
        top = max(one.draw.amps(high), one.draw.amps(low))
        one.inrush = round(top * inrush, 2)
        one.add(f"inrush {one.inrush:g} A" + rng.choice(("", " for 5 ms")))
    words = {"inductive": "inductive suppressed", "bare": "inductive", None: None}
    word = words.get(nature, nature)
    if word:
        one.add(word)
    if loud:
        one.add(f"loudness {loud} dB at {rng.choice((1, 3))} m")
    if gives:
        one.add("gives " + ", ".join(gives))
    return one


def relay(site, rng, volts, bare=False, contacts=None, kind="dc"):
    one = part(site, "relay", f"relay-{volts}v", volts=volts, bare=bare)
    amount = {12: 0.075, 24: 0.04, 48: 0.02}[volts]
    low, high = volts_of(kind, *RANGES[volts])
    one.draw = Draw(amount, "A", low, high, "resistive")
    one.contacts = contacts or rng.choice(("make", "changeover", "break"))
    one.ratings = {("dc", "resistive"): (16, 60), ("dc", "inductive"): (8, 60), ("dc", "lamp"): (12, 60),
                   ("ac", "resistive"): (10, 250), ("ac", "inductive"): (3, 250)}
    one.lines = [f"coil {one.draw.text(kind)}", "bare" if bare else "suppressed", f"contacts {one.contacts}",
                 "contact " + ratings_text(rng, one.ratings),
                 f"pulls in at {low * 0.95:g} V", f"drops out at {low * 0.15:g} V"]
    return one


WORDS = {("dc", "resistive"): ("resistive", "", "DC-12"), ("dc", "inductive"): ("inductive", "DC-13"),
         ("dc", "lamp"): ("lamp",), ("ac", "resistive"): ("resistive", "AC-12"),
         ("ac", "inductive"): ("inductive", "AC-15")}


def ratings_text(rng, ratings):
    out = []
    for (kind, nature), (amps, volts) in ratings.items():
        word = rng.choice(WORDS[kind, nature])
        out.append(f"{amps:g} A at {volts:g} V {kind}" + (f" {word}" if word else ""))
    return ", ".join(out)


def controller(site, rng, family, settle=None, repeats=None, kind="dc"):
    """A controller part. The family says what its inputs tell apart: plain, five or four."""
    one = part(site, "controller", f"panel-{family}", rng.choice((None, f"Controller, {family}")), family=family)
    prefix = rng.choice(("in", "z", "e"))
    groups, start = [], 1
    for k in range(rng.choice((1, 1, 2, 3))):
        size = rng.randrange(3, 9)
        names = [f"{prefix}{n}" for n in range(start, start + size)]
        common = f"c{k + 2}" if family != "plain" or k < 2 else None
        groups.append((names, common))
        one.add(f"inputs {names[0]} to {names[-1]}" + (f" common {common}" if common else ""))
        start += size
    one.extra = []
    if rng.random() < 0.4 or any(common is None for _, common in groups):
        one.extra = ["gnd", "gnd-b"]
        one.add("commons gnd, gnd-b")
    one.groups = groups
    inputs(one, rng)
    one.setting = rng.choice((None, "open", "closed"))
    if one.setting:
        one.add(f"input rests {one.setting}")
    one.settle = settle if settle is not None else rng.choice((20, 50, 100, 200, 300))
    one.add(f"settles in {ms(one.settle)}")
    one.repeats = repeats or rng.choice(("once an activation", "while active", "as the zone says"))
    one.add(f"repeats {one.repeats}")
    one.relays = {}
    for k, side in enumerate(rng.sample(("changeover", "make", "break"), rng.choice((1, 2)))):
        names = [f"relay{n}" for n in range(4 * k + 1, 4 * k + 5)]
        one.relays.update(dict.fromkeys(names, side))
        one.add(f"relays {', '.join(names)} {side}" if rng.random() < 0.3
                else f"relays {names[0]} to {names[-1]} {side}")
    one.ratings = {("dc", "resistive"): (rng.choice((2, 3)), 60), ("dc", "inductive"): (rng.choice((1, 1.5)), 60)}
    if rng.random() < 0.6:
        one.ratings["dc", "lamp"] = (6, 60)
    if rng.random() < 0.6:
        one.ratings["ac", "resistive"] = (2, 125)
        one.ratings["ac", "inductive"] = (1, 125)
    one.add("relay " + ratings_text(rng, one.ratings))
    one.outlets = rng.choice(((), ("aux",), ("aux2", "aux3")))
    one.outlet_most = rng.choice((None, 1.0, 1.5))
    if one.outlets:
        one.add("outlets " + ", ".join(one.outlets) + (f" at most {one.outlet_most:g} A" if one.outlet_most else ""))
    one.on_time = rng.choice(("lockout then hold", "hold from registration", "longer of lockout and hold",
                              "hold retriggered"))
    one.add(f"on-time {one.on_time}")
    one.channels = [f"channel{n}" for n in range(1, rng.choice((0, 4, 8)) + 1)]
    if one.channels:
        one.add(f"channels channel1 to {one.channels[-1]}")
    law = rng.choice((("A", "current", 0.18), ("W", "power", 3.0), ("A", "resistive", 0.2)))
    one.draw = Draw(law[2], law[0], *volts_of(kind, 8.8, 15.5), law[1])
    one.add("draws " + one.draw.text(kind))
    return one


def inputs(one, rng):
    """Bands, and resistors that fit them; `steps` by whether a tamper contact is in the loop."""
    one.pull = (rng.choice((5, 12)), 2, rng.choice((4700, 10000)), 1)
    pull = f"pull-up {one.pull[0]} V +-2 % {ohm(one.pull[2])} +-1 %"
    tolerance = rng.choice((1, 2))
    if one.family == "plain":
        below, above = rng.choice((500, 1000)), rng.choice((12000, 20000, 50000))
        one.bands = {"closed": (0, below), "open": (above, float("inf"))}
        one.in_volts = rng.random() < 0.4
        one.steps = {}
    elif one.family == "five":
        base, across = rng.choice((1000, 2000, 2200, 2700)), rng.choice((1.0, 1.2))
        across *= base if base != 2700 else 2700 / 1.2 * 1.2
        across = nearest(across)
        tamper = nearest(across * 2.4)
        one.bands = {"shorted": (0, base * 0.3), "resting": (base * 0.8, base * 1.2),
                     "active": ((base + across) * 0.85, (base + across) * 1.15),
                     "tamper": ((base + tamper) * 0.9, (base + across + tamper) * 1.2),
                     "cut": ((base + across + tamper) * 2, float("inf"))}
        one.in_volts = False
        one.steps = {False: [("across", across, tolerance), ("in", base, tolerance)],
                     True: [("across", across, tolerance), ("in", "tamper", tamper, tolerance),
                            ("in", base, tolerance)]}
    else:
        series, across = rng.choice(((2200, 4700), (1000, 3300), (3300, 6800), (1500, 5600)))
        closed = series * across / (series + across)
        one.bands = {"shorted": (0, closed * 0.4), "closed": (closed * 0.8, closed * 1.2),
                     "open": (across * 0.85, across * 1.2), "cut": (across * 3, float("inf"))}
        one.in_volts = False
        one.steps = {False: [("in", series, tolerance), ("across", across, tolerance)]}
    one.add("input " + ", ".join([pull] + [band(one, word, *limits) for word, limits in one.bands.items()]))


def band(one, word, low, high):
    def said(value):
        if one.in_volts:
            return f"{one.pull[0] * value / (value + one.pull[2]):.3f} V"
        return ohm(value)
    if low == 0:
        return f"{word} below {said(high)}"
    if high == float("inf"):
        return f"{word} above {said(low)}"
    return f"{word} {said(low)} to {said(high)}"


def nearest(value):
    import math
    decade = 10 ** math.floor(math.log10(value))
    return round(min(E24, key=lambda one: abs(one - value / decade)) * decade)


def supply(site, rng, volts, kind="dc", battery=True):
    """The rated current, and what it charges with, are set when all loads are known."""
    one = part(site, "supply", f"box-{volts}v-{kind}", volts=volts, supply_kind=kind)
    scale = volts / 12
    if kind == "ac":
        one.low, one.high, one.empty, one.inside = 24.0, 26.0, None, 0.1
    else:
        one.low, one.high = round(13.4 * scale, 2), round(rng.choice((13.6, 13.8)) * scale, 2)
        one.empty = round(10.5 * scale, 2) if battery else None
        one.inside = rng.choice((None, 0.02, 0.04))
    return one


def battery(site, rng, volts, kinetic, charge):
    one = part(site, "battery", f"sealed-{volts}v", volts=volts, kinetic=kinetic, charge=charge)
    scale = rng.choice((1.0, 1.5))
    if kinetic:
        one.add(f"holds {charge:g} Ah over 20 h, {charge * 0.9245:.4g} Ah over 10 h, {charge * 0.645:.4g} Ah over 1 h")
    else:
        one.add(f"holds {charge:g} Ah over 20 h")
        one.add("peukert 1.2")
    one.add(f"voltage {volts} V")
    one.inside = 0.01 * scale
    one.add(f"inside {ohm(one.inside)}")
    return one


def camera(site, rng, kind="dc"):
    one = part(site, "camera", "cam-sheet", rate=rng.choice((2.0, 4.0, 6.0)))
    low, high = volts_of(kind, 8.8, 16)
    one.draw = Draw(*rng.choice(((4.0, "W", low, high, "power"), (0.35, "A", low, high, "current"))))
    one.lines = [f"bit-rate {one.rate:g} Mbit/s", "draws " + one.draw.text(kind)]
    return one
