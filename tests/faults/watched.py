"""Cameras and what is kept of them."""
import sheets
from fitted import alternating, low_place, run
from names import pick, title
from site_data import Item


def cameras(site, rng):
    site.camera_part = None
    for controller in site.all("controller"):
        if not controller.free_channels or (site.small and rng.random() < 0.5):
            continue
        for channel in controller.free_channels[:rng.randrange(1, len(controller.free_channels) + 1)]:
            controller.free_channels.remove(channel)
            name = pick(site, rng, "cam")
            bare = rng.random() < 0.3
            ac = alternating(site, rng, 0.2) if not bare else None
            if not bare and (site.camera_part is None or rng.random() < 0.1):
                site.camera_part = sheets.camera(site, rng)
            part = None if bare else sheets.camera(site, rng, "ac") if ac else site.camera_part
            words = "" if bare else f" is {part.name}"
            item = site.add(Item("camera", name, f"camera {name}{title(rng, 'cam')}{words} on {controller.name}.{channel}",
                                 part=part, controller=controller, channel=channel, feed=None, presets=[], rate=None))
            item.rate = part.rate if part else None
            if bare or rng.random() < 0.3:
                item.rate = rng.choice((1.0, 3.0, 5.0))
                item.add(f"bit-rate {item.rate:g} Mbit/s")
            if rng.random() < 0.5:
                item.add(f"area {rng.choice(site.areas)}")
            if rng.random() < 0.4:
                item.presets = ["gate", "ramp"]
                item.lines += ["preset gate", "preset ramp"]
            if ac:
                item.feed = run(site, rng, (ac,), "1.5")
            elif part and rng.random() < 0.5:
                item.feed = run(site, rng, low_place(site, rng), "1.5")


def recordings(site, rng):
    site.footage = {}
    for controller in site.all("controller"):
        own = [one for one in site.all("camera") if one.controller is controller]
        if not own:
            continue
        lines, day, keeps = [], 0.0, []
        share = rng.choice((100, 10, 20))
        for camera in own:
            asked = camera.name in site.asked
            if asked or rng.random() < 0.3:
                lines.append(f"keep events of {camera.name}" + rng.choice(("", " during always")))
                keeps.append(("events", camera, site.always))
            if not asked or rng.random() < 0.5:
                kind, hours_of = rng.choice(("motion", "continuous")), rng.choice((site.always, site.shut, site.night))
                lines.append(f"keep {kind} of {camera.name}" + ("" if hours_of is site.always and rng.random() < 0.5
                                                               else f" during {hours_of.name}"))
                week = sum(bits.bit_count() for bits in hours_of.hours.week)
                day += camera.rate * 1e6 / 8 * 86400 * week / 10080 * (share / 100 if kind == "motion" else 1)
                keeps.append((kind, camera, hours_of))
        wanted = rng.choice((None, 14, 30))
        need = max(wanted or 0, site.limits.get("retention", 0), 5) * day
        # Some cameras in one line, as people write it.
        always_events = [camera.name for kind, camera, _ in keeps if kind == "events"]
        if len(always_events) > 1 and rng.random() < 0.5:
            lines = [line for line in lines if not line.startswith("keep events")]
            lines.append(f"keep events of {', '.join(always_events)}")
        size = max(1, int(need * rng.choice((1.1, 1.5)) / 1e12) + 1)
        store = f"{size} TB"
        if rng.random() < 0.4:
            part = sheets.part(site, "store", f"disk-{size}tb")
            part.add(f"holds {size} TB")
            store = part.name
        plan = site.add(Item("recording", f"recording {controller.name}", f"recording {controller.name}", *lines,
                             controller=controller, keeps=keeps, day=day, size=size, wanted=wanted, share=share))
        plan.add(f"store {store}" + (f", at least {wanted} d" if wanted else ""))
        if share != 100:
            plan.add(f"motion {share} % of the time")
