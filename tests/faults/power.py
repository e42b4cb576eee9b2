"""What feeds what, and the figures that follow: the tree of a supply, and making all of it fit."""
from network import Branch, Draw, hot, solve
from sheets import ohm

FUSES = [0.25, 0.5, 0.63, 0.8, 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8, 10, 12.5, 16, 20, 25]


class Feed:
    """Where something is fed from. A place is (supply,), (cable, tap) or (controller, outlet)."""

    def __init__(self, place, length=None, cable=None, cores=None, joints=None, joint=None):
        self.place, self.length, self.cable = place, length, cable
        self.cores, self.joints, self.joint, self.fuse = cores, joints, joint, None

    def where(self):
        return ".".join([self.place[0].name, *self.place[1:]])

    def text(self):
        out = f"fed from {self.where()}"
        if self.cable is None:
            return out
        out += f" over {self.length:g} m of {self.cable.name}"
        if self.cores:
            out += f", {self.cores} cores each way"
        if self.joints:
            out += f", {self.joints} joints" + (f" of {ohm(self.joint)}" if self.joint_said else "")
        return out

    joint_said = True

    def ohm(self, celsius):
        if self.cable is None:
            return 0.0
        wire = 2 * self.length / 1000 * hot(self.cable.ohm_km, celsius) / (self.cores or 1)
        return wire + (self.joints or 0) * (self.joint or 0.0)

    def carries(self):
        return None if self.cable is None else self.cable.carries * (self.cores or 1)


def consumers(site):
    """Everything that is fed: (item, its feed)."""
    for item in site.items:
        if getattr(item, "feed", None):
            yield item, item.feed


def source(place):
    """The supply that a place hangs on in the end."""
    first = place[0]
    if first.kind == "supply":
        return first
    return source(first.feed.place if first.kind == "controller" else first.start)


def draws(item, on):
    if item.kind == "controller":
        return [item.part.draw]
    if item.kind in ("zone", "camera"):
        return [item.part.draw] if item.part.draw else []
    if item.kind == "relay":
        return [item.part.draw] if coil_on(item, on) else []
    out = []
    for count, load in item.loads:
        if item.mode == "forced on" or (item.mode != "forced off" and ((on and item.used) or item.side == "opening")):
            out += [load.draw] * count
        elif load.idles:
            out += [Draw(load.idles, "A", 0, 99, "current")] * count
    return out


def coil_on(relay, on):
    """Whether a coil has current, at rest or with everything on that can be."""
    output, turned = getattr(relay, "drives", None), relay.side == "opening"
    if output and output.mode in ("forced off", "forced on"):
        # The contact that it hangs on stays where the load is so.
        moved = (output.mode == "forced on") != (output.side == "opening")
        return moved != turned
    return turned or (on and (output is None or output.used))


class Tree:
    """The network of one supply: solved with everything on, or at rest."""

    def __init__(self, site, supply, celsius, extra=0.0):
        self.supply, self.branches, self.of = supply, [], {}
        inside = (supply.part.inside or 0.0) + extra
        self.root = self.branch(("inside",), None, inside)
        self.celsius = celsius
        self.items = []
        for item, feed in consumers(site):
            if source(feed.place) is supply:
                parent = self.at(feed.place)
                self.of[item.name] = self.branch(("feed", item), parent, feed.ohm(celsius))
                self.items.append(item)

    def branch(self, name, parent, value):
        one = Branch(name, parent, value)
        self.branches.append(one)
        return one

    def at(self, place):
        first = place[0]
        if first.kind == "supply":
            return self.root
        key = (first.name, *place[1:])
        if key in self.of:
            return self.of[key]
        if first.kind == "controller":
            if first.name not in self.of:
                parent = self.at(first.feed.place)
                self.of[first.name] = self.branch(("feed", first), parent, first.feed.ohm(self.celsius))
                self.items.append(first)
            self.of[key] = self.branch(("outlet", first, place[1]), self.of[first.name], 0.0)
            return self.of[key]
        if (first.name,) not in self.of:
            self.of[first.name,] = self.branch(("start", first), self.at(first.start), 0.0)
        tap, length = next((before, length) for name, before, length in first.taps if name == place[1])
        parent = self.of[first.name,] if tap == "start" else self.at((first, tap))
        value = 2 * length / 1000 * hot(first.part.ohm_km, self.celsius) / (first.cores or 1)
        self.of[key] = self.branch(("tap", first, place[1]), parent, value)
        return self.of[key]

    def solve(self, volts, on):
        seen = set()
        for branch in self.branches:
            branch.draws = []
        for item in self.items:
            if item.name not in seen:
                seen.add(item.name)
                self.of[item.name].draws = draws(item, on)
        ordered, done = [], set()

        def visit(branch):
            if id(branch) not in done:
                if branch.parent:
                    visit(branch.parent)
                done.add(id(branch))
                ordered.append(branch)
        for branch in self.branches:
            visit(branch)
        return solve(volts, ordered)

    def volts(self, item):
        return self.of[item.name].volts


def lowest(supply):
    """The end of discharge when it has a battery, and otherwise the lower end of what it gives."""
    return supply.part.empty if supply.battery and supply.part.empty else supply.part.low


def worst(site, supply, extra=0.0):
    """The tree with everything on, hot, at the end of discharge; nothing when it collapses."""
    tree = Tree(site, supply, site.ambient[1], extra)
    return tree if tree.solve(lowest(supply), True) else None


def is_plain(site, supply):
    """Whether everything on a supply can be on together: nothing is on the break side of a contact."""
    for item, feed in consumers(site):
        if source(feed.place) is supply:
            of = [one for one in site.all("output") if one is item or one.relay is item]
            if getattr(item, "side", "closing") == "opening" or any(one.side == "opening" for one in of):
                return False
    return True


def most(site, supply):
    """The most current of each branch over mains and end of discharge: by name of the branch."""
    out = {}
    for volts in (lowest(supply), supply.part.high):
        for celsius in site.ambient:
            tree = Tree(site, supply, celsius)
            if tree.solve(volts, True):
                for branch in tree.branches:
                    key = tuple(getattr(one, "name", one) for one in branch.name)
                    out[key] = max(out.get(key, 0.0), branch.amps)
    return out


def load_low(item):
    """The voltage that everything in an item still works at, and the one that it stands."""
    if item.kind == "output":
        return max(load.draw.low for _, load in item.loads), min(load.draw.high for _, load in item.loads)
    draw = item.part.draw
    return (draw.low, draw.high) if draw else (0.0, 1e9)


def shorten(site):
    """Shortens runs until every load has its voltage with some to spare."""
    for supply in site.all("supply"):
        if supply.part.supply_kind == "ac":
            continue
        for _ in range(60):
            tree = worst(site, supply, extra=0.03)
            # With less than this in hand, the length is cut down.
            bad = [item for item in tree.items if tree.volts(item) < load_low(item)[0] * 1.04] if tree else None
            if bad == []:
                break
            for item, feed in list(consumers(site)):
                if source(feed.place) is supply and (bad is None or item in bad):
                    shorten_way(feed)
        else:
            supply.part.inside = None


def shorter(length):
    return max(1, round(length * 0.6))


def shorten_way(feed):
    """Shortens a run and everything between it and its supply."""
    if feed.cable:
        feed.length = shorter(feed.length)
    first = feed.place[0]
    if first.kind == "controller":
        shorten_way(first.feed)
    while first.kind == "cable":
        first.taps = [(name, before, shorter(length)) for name, before, length in first.taps]
        first = first.start[0]


def fuse_between(amps, carries):
    """A fuse that carries the current with some in hand, and still protects the cable."""
    return next((size for size in FUSES if size >= amps * 1.2 and (carries is None or size <= carries * 0.95)), None)


def unguarded(site, item):
    """What the cables carry that stand behind a supply or a cable with no other fuse in between."""
    out = []
    for _, feed in consumers(site):
        if feed.place[0] is item and feed.cable and not feed.fuse:
            out.append(feed.carries())
    for cable in site.all("cable"):
        if cable.start[0] is item and cable is not item and not cable.fuse:
            out += [cable.part.carries * (cable.cores or 1), *unguarded(site, cable)]
    return out


def refresh(site):
    """Writes the lines of feeds, taps and fuses anew from the figures."""
    for item, feed in consumers(site):
        item.put(feed.text())
        item.drop("fuse")
        if feed.fuse:
            item.add(f"fuse {feed.fuse:g} A")
    for cable in site.all("cable"):
        cable.lines = ["from " + ".".join([cable.start[0].name, *cable.start[1:]])]
        if cable.fuse:
            cable.add(f"fuse {cable.fuse:g} A")
        if cable.cores:
            cable.add(f"cores {cable.cores} each way")
        for name, before, length in cable.taps:
            cable.add(f"tap {name} at {length:g} m from {before}")


def fit(site):
    """Fuses, rated currents, batteries and chargers that suit what hangs on them."""
    rng = site.rng
    shorten(site)
    limits = site.limits
    for supply in site.all("supply"):
        amps = most(site, supply)
        for item, feed in consumers(site):
            if source(feed.place) is supply and feed.cable:
                size = fuse_between(amps.get(("feed", item.name), 0.0), feed.carries())
                feed.fuse = size if size and feed.place[0].kind != "controller" and rng.random() < 0.7 else None
        for cable in site.all("cable"):
            if source(cable.start) is supply:
                carries = min([cable.part.carries * (cable.cores or 1), *unguarded(site, cable)])
                cable.fuse = fuse_between(amps.get(("start", cable.name), 0.0), carries)
        total = amps[("inside",)]
        spare = limits.get("spare", 0) / 100
        need = total / (1 - spare) * rng.choice((1.1, 1.4, 2))
        carries = min(unguarded(site, supply), default=None)
        supply.fuse = fuse_between(total, carries) if rng.random() < 0.5 else None
        part = supply.part
        part.charges = None
        if supply.battery:
            rest = Tree(site, supply, site.ambient[1])
            rest.solve(supply.part.low * 0.88, False)
            resting = rest.root.amps
            hours = limits.get("standby", 12), limits.get("alarm-time", 0.5)
            # The plain sum, aged, cold, and again as much: no law of discharge wants more.
            charge = (resting * hours[0] + total * 2 * hours[1]) * 1.25 * 1.6 * limits.get("ageing", 1.25) + total
            count = supply.battery_count
            charge = max(1.2, round(charge * 1.3 / count, 1))
            supply.battery.charge = charge
            supply.battery.put(f"holds {charge:g} Ah over 20 h" + (
                f", {charge * 0.9245:.4f} Ah over 10 h, {charge * 0.645:.4f} Ah over 1 h" if supply.battery.kinetic else ""))
            part.charges = round(1.2 * charge * count / limits.get("recharge", 48) * 1.2 + 0.05, 2)
            supply.resting = resting
            need = max(need, resting + part.charges * 1.1)
        part.rated = round(need + 0.05, 1) + 0.1
        part.put(f"gives {part.low:g} V to {part.high:g} V {part.supply_kind}, at most {part.rated:g} A")
        if part.empty:
            part.put(f"empty at {part.empty:g} V")
        if part.inside:
            part.put(f"inside {ohm(part.inside)}")
        if part.charges:
            part.put(f"charges at most {part.charges:g} A")
        supply.drop("fuse")
        if supply.fuse:
            supply.put(f"fuse {supply.fuse:g} A")
    refresh(site)
