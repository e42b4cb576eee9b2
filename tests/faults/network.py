"""Voltages and currents of a tree of conductors, by sweeps to and fro; windows of loops by corners.

Written from the definitions of the product, not from its code: conductor resistance from IEC 60228
(confirmed) or the geometry of copper (calculated), R(T) = R20 (1 + 0.00393 (T - 20)), out and back.
"""
COPPER = 17.241  # ohm mm2/km: IACS, a hundredth of 1.7241e-8 ohm m
SOLID = {0.5: 36.0, 0.75: 24.5, 1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08}
FLEXIBLE = {0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30}


def gauge_area(number):
    """mm2 of a wire gauge, ASTM B258."""
    return 3.141592653589793 / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2


def hot(ohm_km, celsius):
    return ohm_km * (1 + 0.00393 * (celsius - 20))


class Draw:
    """What something draws. `law` is current, power or resistive; `amount` in A or W."""

    def __init__(self, amount, unit, low, high, law):
        self.amount, self.unit, self.low, self.high, self.law = amount, unit, low, high, law

    def amps(self, volts):
        if self.law == "current":
            return self.amount
        if self.law == "power":
            return self.amount / volts
        full = self.amount if self.unit == "A" else self.amount / self.high
        return full * volts / self.high

    def text(self, kind="dc"):
        law = {"current": ", constant current", "power": ", constant power", "resistive": ", resistive"}[self.law]
        return f"{self.amount:g} {self.unit} at {self.low:g} V to {self.high:g} V {kind}{law}"


class Branch:
    """A conductor of some ohm from its parent to a place, and what hangs there."""

    def __init__(self, name, parent, ohm):
        self.name, self.parent, self.ohm, self.draws = name, parent, ohm, []
        self.volts = self.amps = 0.0


def solve(volts, branches):
    """Sets the voltage and current of each branch; parents come first. False when it collapses."""
    for branch in branches:
        branch.volts = volts
    for _ in range(400):
        worst = 0.0
        for branch in branches:
            branch.amps = sum(draw.amps(branch.volts) for draw in branch.draws)
        for branch in reversed(branches):
            if branch.parent:
                branch.parent.amps += branch.amps
        for branch in branches:
            now = (branch.parent.volts if branch.parent else volts) - branch.amps * branch.ohm
            if now <= 0.02 * volts:
                return False
            worst = max(worst, abs(now - branch.volts))
            branch.volts = now
        if worst < 1e-9:
            return True
    return False


# ---- Loops: an interval of ohm for each state ----

INF = float("inf")


def series(a, b):
    return a[0] + b[0], a[1] + b[1]


def parallel(a, b):
    def one(x, y):
        return 0.0 if x == 0 or y == 0 else y if x == INF else x if y == INF else x * y / (x + y)
    return one(a[0], b[0]), one(a[1], b[1])


def resistor(value, percent):
    return value * (1 - percent / 100), value * (1 + percent / 100)


def loop(steps, is_open, closed_ohm, tamper_open, tamper_ohm, wire):
    """The window of a loop whose contact is open or closed; `wire` is the most that the cable has.

    Steps are ("in"|"across", value, percent) or ("in", "tamper", value, percent): the tamper contact
    with a resistor across it.
    """
    so_far = (INF, INF) if is_open else (0.0, closed_ohm)
    for step in steps:
        if step[1] == "tamper":
            contact = (INF, INF) if tamper_open else (0.0, tamper_ohm)
            part = parallel(contact, resistor(step[2], step[3]))
        else:
            part = resistor(step[1], step[2])
        so_far = series(so_far, part) if step[0] == "in" else parallel(so_far, part)
    return series(so_far, (0.0, wire))
