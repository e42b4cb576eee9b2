#!/usr/bin/env python3
"""A portfolio of clean random sites, each in our language and as JSON with the same facts.

usage: portfolio.py SITES OUT [--scale K] [--seed S] [--notations json,yaml,..]

Writes OUT/sites/site_00001.site ... beside OUT/sites/parts.site (the example parts), and
OUT/json/site_00001.json ...; with --notations also YAML, TOML, Python, TypeScript and JavaScript,
each in a folder of its own. A site has 64 zones on four controllers, 16 outputs, 12 schedules,
48 responses and 8 cameras; --scale multiplies them. Site i depends on the seed and on i alone. All
of it is invented.
"""
import argparse
import pathlib
import random
import shutil

from twins import NOTATIONS

ROOT = pathlib.Path(__file__).resolve().parents[2]
AREAS = ["front", "rear", "loading-bay", "office", "store", "lobby", "yard", "corridor"]
DAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
ENDS = "across 2.2 kohm +-1 %, in 2.2 kohm +-1 %"
ENDS_TAMPER = "across 2.2 kohm +-1 %, in (tamper across 4.7 kohm +-1 %), in 2.2 kohm +-1 %"
SENSORS = [("door-reed", ENDS), ("window-reed", ENDS_TAMPER), ("shock-sensor", ENDS),
           ("panic-button-latching", ENDS_TAMPER), ("tamper-loop", ENDS)]
MOST = 50  # schedules in one line
LOADS = [("horn-12v", "0.75", 3), ("sounder-12v", "1.0", 3), ("strobe-12v", "1.0", 5)]


def site(number, seed, scale):
    rng = random.Random(f"{seed}:{number}")
    zones, outputs, cameras, responses, controllers, schedules = [], [], [], [], [], []
    for k in range(1, 12 * scale):
        first, last = sorted((rng.randrange(7), rng.randrange(7)))
        start = rng.randrange(6, 12)
        schedules.append({"name": f"hours-{k}", "days": [DAYS[first], DAYS[last]],
                          "from": f"{start:02d}:{rng.choice((0, 15, 30, 45)):02d}",
                          "to": f"{rng.randrange(start + 1, 23):02d}:00"})
    for k in range(1, 4 * scale + 1):
        controllers.append({"name": f"panel-{k}", "part": "panel-16-in-6-out", "cable": "pair-2.5",
                            "length": rng.randrange(2, 12)})
    for k in range(1, 64 * scale + 1):
        sensor, ends = SENSORS[3] if k == 7 else rng.choices(SENSORS, (40, 30, 15, 5, 10))[0]
        purpose = {"panic-button-latching": "panic", "tamper-loop": "tamper"}.get(sensor, "intrusion")
        zones.append({"name": f"zone-{k}", "title": f"{rng.choice(AREAS)} {k}", "part": sensor,
                      "purpose": purpose, "area": rng.choice(AREAS),
                      "input": f"panel-{(k - 1) // 16 + 1}.in{(k - 1) % 16 + 1}",
                      "length": rng.randrange(30, 600) / 10, "ends": ends,
                      "armed": "shut" if purpose == "intrusion" else "always",
                      "lockout": rng.choice((2, 5, 10))})
    for k in range(1, 16 * scale + 1):
        load, cable, most = rng.choice(LOADS)
        outputs.append({"name": f"output-{k}", "title": f"{rng.choice(AREAS)} output {k}", "part": load,
                        "count": rng.randrange(1, most), "area": rng.choice(AREAS),
                        "relay": f"panel-{(k - 1) // 4 + 1}.relay{(k - 1) % 4 + 1}",
                        "length": rng.randrange(50, 250) / 10})
    for k in range(1, 8 * scale + 1):
        cameras.append({"name": f"cam-{k}", "part": "camera-fixed", "area": rng.choice(AREAS),
                        "channel": f"recorder-{(k - 1) // 16 + 1}.channel{(k - 1) % 16 + 1}"})
    # Every zone and every output is used, each zone by one response or more.
    for k in range(1, 48 * scale + 1):
        of = [zones[k - 1]["name"]] + ([zones[47 * scale + k]["name"]] if k <= 16 * scale else [])
        responses.append({"name": f"response-{k}", "to": of,
                          "close": [outputs[(k - 1) % len(outputs)]["name"]],
                          "for": rng.randrange(10, 240),
                          "record": sorted({rng.choice(cameras)["name"] for _ in range(2)})})
    for k, zone in enumerate(zones[48 * scale:], 1):
        if all(zone["name"] not in response["to"] for response in responses):
            responses[k % len(responses)]["to"].append(zone["name"])
    return {"name": f"site-{number}", "title": f"Site {number}", "timezone": "Europe/Vienna",
            "areas": AREAS, "schedules": schedules, "controllers": controllers, "zones": zones,
            "outputs": outputs, "cameras": cameras, "responses": responses,
            "recorders": (len(cameras) + 15) // 16}


def text(facts, scale):
    out = []
    line = out.append
    line('use "parts.site"\n')
    line(f'site {facts["name"]} "{facts["title"]}" {{')
    line(f'    timezone  {facts["timezone"]}')
    line("    ambient   10 to 30 degC")
    for area in facts["areas"]:
        line(f"    area      {area}")
    line("    people    keyholder\n    occupied  open\n}\n")
    for schedule in facts["schedules"]:
        days = " to ".join(dict.fromkeys(schedule["days"]))
        line(f'schedule {schedule["name"]} {{')
        line(f'    {days.ljust(10)}  {schedule["from"]} to {schedule["to"]}\n}}\n')
    names = [one["name"] for one in facts["schedules"]]
    if len(names) > MOST:
        groups = [names[first:first + MOST] for first in range(0, len(names), MOST)]
        for k, group in enumerate(groups, 1):
            line(f"schedule open-{k} is {' plus '.join(group)}")
        names = [f"open-{k}" for k in range(1, len(groups) + 1)]
    line(f"schedule open is {' plus '.join(names)}")
    line("schedule shut is not open\n")
    for k in range(1, 4 * scale + 1):
        line(f"supply supply-{k} is boxed-supply-12v-10a {{\n    battery  sealed-65ah\n    fuse     8 A\n}}\n")
    for k, one in enumerate(facts["controllers"], 1):
        line(f'controller {one["name"]} is {one["part"]} {{')
        line(f'    fed   from supply-{k} over {one["length"]} m of {one["cable"]}\n    fuse  6 A\n}}\n')
    for k in range(1, facts["recorders"] + 1):
        line(f"supply video-{k} is boxed-supply-12v-10a {{\n    battery  sealed-65ah\n    fuse     8 A\n}}\n")
        line(f"controller recorder-{k} is recorder-16-in-4-out {{\n    fed   from video-{k} over 3 m of pair-1.5\n}}\n")
    for zone in facts["zones"]:
        line(f'zone {zone["name"]} "{zone["title"]}" is {zone["part"]} {{')
        line(f'    purpose    {zone["purpose"]}\n    area       {zone["area"]}')
        line(f'    wired      to {zone["input"]} over {zone["length"]} m of six-core-0.22')
        line(f'    ends       {zone["ends"]}\n    armed      {zone["armed"]}')
        line(f'    registers  once an activation\n    lockout    {zone["lockout"]} s\n}}\n')
    for k, output in enumerate(facts["outputs"]):
        many = f'{output["count"]} of ' if output["count"] > 1 else ""
        line(f'output {output["name"]} "{output["title"]}" drives {many}{output["part"]} {{')
        line(f'    through  {output["relay"]} closing')
        line(f'    fed      from supply-{k // 4 + 1} over {output["length"]} m of pair-2.5')
        line(f'    fuse     4 A\n    reaches  {output["area"]}\n    area     {output["area"]}\n}}\n')
    for camera in facts["cameras"]:
        line(f'camera {camera["name"]} is {camera["part"]} on {camera["channel"]} {{')
        line(f'    area      {camera["area"]}\n}}\n')
    for k in range(facts["recorders"]):
        of = ", ".join(one["name"] for one in facts["cameras"][16 * k:16 * k + 16])
        line(f"recording recorder-{k + 1} {{\n    keep   events of {of} during always")
        line("    store  disk-set-32tb, at least 14 d\n}\n")
    for response in facts["responses"]:
        line(f'response {response["name"]} to {", ".join(response["to"])} {{')
        for output in response["close"]:
            line(f'    close   {output} for {response["for"]} s')
        line(f'    record  {", ".join(response["record"])} from 10 s before to 1 min after')
        line("    tell    keyholder\n}\n")
    return "\n".join(out)


def write(out, sites, notations=("json",), scale=1, seed=1):
    """Writes the sites with these numbers, in our language and in some notations."""
    for folder in ("sites", *notations):
        (out / folder).mkdir(parents=True, exist_ok=True)
    (out / "sites" / "workspace.site").write_text("")
    shutil.copy(ROOT / "examples/parts/general.site", out / "sites" / "parts.site")
    for number in sites:
        facts = site(number, seed, scale)
        (out / "sites" / f"site_{number:05d}.site").write_text(text(facts, scale))
        for notation in notations:
            ending, twin = NOTATIONS[notation]
            (out / notation / f"site_{number:05d}.{ending}").write_text(twin(facts))


def main():
    parse = argparse.ArgumentParser(description=__doc__)
    parse.add_argument("sites", type=int)
    parse.add_argument("out", type=pathlib.Path)
    parse.add_argument("--scale", type=int, default=1)
    parse.add_argument("--seed", type=int, default=1)
    parse.add_argument("--notations", type=lambda words: words.split(","), default=["json"])
    asked = parse.parse_args()
    write(asked.out, range(1, asked.sites + 1), asked.notations, asked.scale, asked.seed)


if __name__ == "__main__":
    main()
