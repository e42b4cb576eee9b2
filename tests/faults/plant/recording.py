"""Footage: what is kept, and how long it lasts."""
import plant.base as base
from hours import DAYS, clock
from plant.arming import schedule
from plant.base import Fault, planter
from site_data import Item

BIT = {"near": 1.004, "far": 3, "miss": 0.996}


def recorder(site, rng, **wish):
    """A bench whose controller has channels, with one camera."""
    supply, panel, zone = base.bench(site, rng, **wish)
    panel.part.drop("channels")
    panel.part.add("channels channel1 to channel4")
    name = base.new_name(site, rng, "cam")
    rate = rng.choice((2.0, 4.0, 6.0))
    camera = site.add(Item("camera", name, f"camera {name} on {panel.name}.channel1", f"bit-rate {rate:g} Mbit/s", part=None,
                           controller=panel, channel="channel1", feed=None, presets=[], rate=rate))
    plan = site.add(Item("recording", f"recording {panel.name}", f"recording {panel.name}"))
    site.touch(camera, plan)
    return panel, zone, camera, plan


def asks(site, zone, camera, after=30):
    zone.answer.add(f"record {camera.name} from 5 s before to {after} s after")


@planter("recording-not-kept")
def class_not_kept(site, rng, how):
    panel, zone, camera, plan = recorder(site, rng)
    asks(site, zone, camera)
    if how == "miss":
        plan.lines = [f"keep events of {camera.name}", "store 40 TB"]
    elif rng.random() < 0.3:
        site.items.remove(plan)
        return Fault("recording-not-kept", camera.name, zone.answer.name)
    else:
        plan.lines = [f"keep {rng.choice(('motion', 'continuous'))} of {camera.name} during always", "store 40 TB"]
        if plan.lines[0].startswith("keep continuous"):
            plan.lines[0] = plan.lines[0].replace("continuous", "motion")
    return Fault("recording-not-kept", camera.name, zone.answer.name)


@planter("recording-not-kept")
def hours_not_kept(site, rng, how):
    """The plan keeps events up to a minute, and the response can ask a minute longer."""
    panel, zone, camera, plan = recorder(site, rng, stem="push")
    day, start = rng.randrange(7), rng.randrange(9 * 60, 18 * 60, 15)
    end = start + 120
    armed = schedule(site, rng, f"{DAYS[day]} {clock(start)} to {clock(end)}")
    less = {"near": 1, "far": 60, "miss": 0}[how]
    kept = schedule(site, rng, f"{DAYS[day]} {clock(start)} to {clock(end - less)}")
    zone.put(f"armed {armed.name}")
    asks(site, zone, camera)
    plan.lines = [f"keep events of {camera.name} during {kept.name}", "store 40 TB"]
    return Fault("recording-not-kept", camera.name, zone.answer.name)


def footage(site, camera, share=1.0, minutes=10080):
    return camera.rate * 1e6 / 8 * 86400 * share * minutes / 10080


@planter("retention-too-short")
def full_too_soon(site, rng, how):
    """Bytes a day from the rate, the hours of a week and the share; days = store / bytes a day."""
    panel, zone, camera, plan = recorder(site, rng)
    kind = rng.choice(("continuous", "motion"))
    share = rng.choice((10, 25, 100)) if kind == "motion" else 100
    minutes, during = 10080, ""
    if rng.random() < 0.5:
        start = rng.randrange(9 * 60, 15 * 60, 15)
        kept = schedule(site, rng, f"Mon to Fri {clock(start)} to {clock(start + 300)}")
        minutes, during = 5 * 300, f" during {kept.name}"
    days = rng.choice((20, 30, 60))
    if site.limits.get("retention", 0) > days:
        return None
    day = footage(site, camera, share / 100, minutes)
    plan.lines = [f"keep {kind} of {camera.name}{during}", f"store {day * days / BIT[how] / 1e9:.9f} GB, at least {days} d"]
    if share != 100:
        plan.add(f"motion {share} % of the time")
    return Fault("retention-too-short", panel.name, f"recording {panel.name}")


@planter("retention-too-short")
def policy_asks_more(site, rng, how):
    """The plan says nothing, or less, and the policy says how long."""
    if "retention" not in site.limits:
        return None
    panel, zone, camera, plan = recorder(site, rng)
    store = footage(site, camera) * site.limits["retention"] / BIT[how] / 1e9
    plan.lines = [f"keep continuous of {camera.name}", f"store {store:.9f} GB" + rng.choice(("", ", at least 2 d"))]
    return Fault("retention-too-short", panel.name, f"recording {panel.name}")


@planter("held-open-fills-store")
def held_open(site, rng, how):
    """A door held open registers again and again, and records each time.

    The store lasts twice as long as it has to without that door. What the door adds, once a cycle of at
    most a minute with half a minute of footage, is at least half of the time; a share of a tenth is let be.
    """
    panel, zone, camera, plan = recorder(site, rng, stem="reed", repeats="while active")
    zone.drop("repeats")
    zone.put("lockout 30 s")
    zone.answer.lines = [line for line in zone.answer.lines if not line.startswith("sound")]
    zone.answer.add("tell " + site.people[0]) if site.people else zone.answer.add(f"show {camera.name}")
    asks(site, zone, camera, 25)
    days = 30
    if site.limits.get("retention", 0) > days:
        return None
    name = base.new_name(site, rng, "cam")
    other = site.add(Item("camera", name, f"camera {name} on {panel.name}.channel2", "bit-rate 1 Mbit/s", part=None,
                          controller=panel, channel="channel2", feed=None, presets=[], rate=1.0))
    site.touch(other)
    # The other camera is kept all the time; the door's camera only when it is asked.
    base_day, door_day = footage(site, other), footage(site, camera)
    if how == "miss":
        store = (base_day + door_day) * days * 1.05
    else:
        store = base_day * days * {"near": 1.02, "far": 1.002}[how]
    plan.lines = [f"keep events of {camera.name}", f"keep continuous of {other.name}",
                  f"store {store / 1e9:.6f} GB, at least {days} d"]
    return Fault("held-open-fills-store", zone.name, f"recording {panel.name}",
                 along={"endless-retrigger": "a contact that stays active registers without an end"})

