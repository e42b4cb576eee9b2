#!/usr/bin/env python3
"""Fresh verdicts for the explorer: does a relay re-operate for ever, by Spin and by Z3?

usage: fresh_verdicts.py COUNT SEED OUT.json
Each row is a small installation (contacts, lockout, hold, on-time, level or edge, feedback) and
whether an endless run exists while contact 0 is held and after it was released. Spin checks the
model beside this file; where there is one contact and no inverted feedback, Z3 looks for a lasso up
to the recurrence bound and has to say the same. The test `explorer_spin` of the events crate asks
the explorer.
"""
import json
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import z3

MODEL = Path(__file__).with_name("reoperates.pml").read_text()


def spin(row, formula):
    """Whether Spin finds a run that breaks the formula, that is, an endless one."""
    names = {"contacts": "NZ", "lockout": "L", "hold": "H", "sum": "SUM", "level": "TRIG",
             "feedback": "FB"}
    defines = [f"-D{name}={int(row[key])}" for key, name in names.items()]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "m.pml").write_text(MODEL)

        def run(*command):
            return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)

        run("spin", "-a", *defines, "m.pml")
        run("gcc", "-O2", "-w", "-DCOLLAPSE", "-DNOREDUCE", "-DMEMLIM=2000", "-o", "pan", "pan.c")
        told = run("./pan", "-a", "-m2000000", "-N", formula).stdout
    if "acceptance cycle" in told or "assertion violated" in told:
        return True
    assert "errors: 0" in told, told
    return False


def lasso(row, held):
    """Whether Z3 finds an endless run of one contact with no inverted feedback."""
    lockout, hold = row["lockout"], row["hold"]
    length = lockout + hold if row["sum"] else hold
    depth = 2 * (lockout + length) + 3
    flag = lambda name, at: z3.Bool(f"{name}{at}")
    number = lambda name, at: z3.Int(f"{name}{at}")
    solver = z3.Solver()
    solver.add(z3.Not(flag("before", 0)), number("lock", 0) == 0, number("off", 0) == 0)
    down = lambda value: z3.If(value > 0, value - 1, 0)
    for at in range(depth):
        back = z3.And(z3.BoolVal(row["feedback"] == 1), number("off", at) > 0)
        active = z3.Or(flag("outside", at + 1), back)
        lock, off = down(number("lock", at)), down(number("off", at))
        edge = z3.And(active, z3.Not(flag("before", at)))
        again = z3.And(z3.BoolVal(bool(row["level"])), active, off == 0)
        registers = z3.And(lock == 0, z3.Or(edge, again))
        solver.add(
            flag("registers", at + 1) == registers,
            number("lock", at + 1) == z3.If(registers, lockout, lock),
            number("off", at + 1) == z3.If(registers, length, off),
            flag("before", at + 1) == active,
        )
    start = z3.Int("start")
    solver.add(start >= 0, start < depth)
    for at in range(depth):
        same = [flag("before", at) == flag("before", depth),
                number("lock", at) == number("lock", depth),
                number("off", at) == number("off", depth)]
        rest = range(at + 1, depth + 1)
        solver.add(z3.Implies(start == at, z3.And(
            *same, *[flag("outside", i) == held for i in rest],
            z3.Or(*[flag("registers", i) for i in rest]))))
    return solver.check() == z3.sat


def main():
    count, seed, path = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    rng = random.Random(seed)
    rows, by_z3 = [], 0
    while len(rows) < count:
        row = {
            "contacts": rng.choice([1, 1, 2]), "lockout": rng.randint(1, 4),
            "hold": rng.randint(1, 4), "sum": rng.random() < 0.6, "level": rng.random() < 0.5,
            "feedback": rng.randrange(3),
        }
        row["held"], row["released"] = spin(row, "held"), spin(row, "released")
        if row["contacts"] == 1 and row["feedback"] != 2:
            by_z3 += 2
            for name, held in (("held", True), ("released", False)):
                found = lasso(row, held)
                assert found == row[name], f"Spin and Z3 differ on {name}: {row}"
        rows.append(row)
    with open(path, "w") as file:
        json.dump(rows, file)
    print(f"{2 * count} verdicts by Spin, {by_z3} of them by Z3 too, from seed {seed}")


main()
