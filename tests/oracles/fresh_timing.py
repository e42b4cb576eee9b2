#!/usr/bin/env python3
"""Fresh scenarios for the event engine, played by the SimPy simulator beside this file.

usage: fresh_timing.py COUNT SEED OUT.json
The file has the form of tests/fixtures/timing.json; the test `timing` of the events crate plays it.
"""
import json
import random
import sys

import sim_simpy


def scenario(rng):
    inputs = []
    for number in range(rng.randint(1, 4)):
        time, level = 0, int(rng.random() < 0.15)
        first, events = level, []
        for _ in range(rng.randint(0, 14)):
            time += rng.choice([1, 2, 3, 5, 10, rng.randint(1, 80)])
            level = 1 - level
            events.append([time, level])
        inputs.append({
            "id": f"i{number}", "init": first, "events": events,
            "don": rng.choice([0, 0, 1, 3, 10]), "doff": rng.choice([0, 0, 1, 3, 10]),
        })
    rules = []
    for number in range(rng.randint(1, 4)):
        rule = {
            "id": f"r{number}", "input": f"i{rng.randrange(len(inputs))}",
            "trigger": rng.choice(["edge", "level"]), "lockout": rng.choice([0, 1, 5, 10, 50]),
            "hold": rng.choice([1, 5, 10, 30]), "compose": rng.choice(["sum", "hold", "max"]),
            "extend": rng.random() < 0.5, "rearm": rng.choice(["output", "output", "lockout"]),
            "gap": rng.choice([0, 0, 1, 4]), "end": rng.choice(["accept", "accept", "reject"]),
            "lock_restart": rng.random() < 0.2,
        }
        # A level that may register again in the same instant for ever is no scenario.
        if rule["trigger"] == "level" and rule["lockout"] == 0 and rule["rearm"] == "lockout":
            rule["lockout"] = 1
        rules.append(rule)
    outputs = [
        {"id": f"o{number}",
         "rules": [rule["id"] for rule in rules if rng.random() < 0.5] or [rules[0]["id"]]}
        for number in range(rng.randint(1, 3))
    ]
    out = {"until": 400, "inputs": inputs, "rules": rules, "outputs": outputs}
    if rng.random() < 0.5:
        out["feedback"] = [
            {"output": rng.choice(outputs)["id"], "input": rng.choice(inputs)["id"],
             "delay": rng.choice([1, 2, 7]), "invert": rng.random() < 0.3}
            for _ in range(rng.randint(1, 2))
        ]
    if rng.random() < 0.4:
        out["partition"] = {
            "exit": rng.choice([0, 10, 30]), "entry": rng.choice([1, 10, 30]),
            "zones": {one["id"]: rng.choice(["instant", "delayed"]) for one in inputs},
            "commands": sorted(
                [rng.randint(0, 350), rng.choice(["arm", "disarm"])]
                for _ in range(rng.randint(1, 4))
            ),
        }
    return out


def main():
    count, seed, path = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    rng = random.Random(seed)
    cases = []
    for number in range(count):
        one = scenario(rng)
        cases.append({"id": f"seed{seed}-{number}", "scenario": one,
                      "events": sim_simpy.run(one)["events"]})
    with open(path, "w") as file:
        json.dump(cases, file)
    print(f"{count} scenarios from seed {seed}, {sum(len(c['events']) for c in cases)} events")


main()
