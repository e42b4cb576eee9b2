#!/usr/bin/env python3
"""Kills each command that writes, and looks at what is left.

    python tests/robust/crash.py BINARY [--most N] [--random N] [--only NAME]

A first run under strace lists the calls by which a command changes files: opening to write, write,
fsync, rename, link, unlink, mkdir, chmod, truncate. Then it is run once for each of them, and killed
(SIGKILL) as it enters that call, so before it happens and after the one before; and some times more at
a random moment. Afterwards

* every file is the old one or the new one, to the byte, and no other file was touched;
* a folder of papers is all old or all new, or a note in it says that it is not;
* what is left over has the one name that `docs/limits.md` tells of;
* the command, run again, gives what it gives when nobody kills it.

`--most` takes so many calls of each command, by chance, instead of all. Before anything else two
programs that do it wrong are run in the same way, and have to be found out.
"""

import argparse
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from calls import faults, left_over, traced
from commands import commands, run, tree, workspace


class Case:
    """One command, with what it makes of its folder when nobody kills it."""

    def __init__(self, name, prepare, command):
        self.name, self.prepare, self.command = name, prepare, command
        with tempfile.TemporaryDirectory() as place:
            folder = self.folder(place)
            self.old = tree(folder)
            begin = time.monotonic()
            self.done = run(command, folder)
            self.takes = time.monotonic() - begin
            self.new = tree(folder)
        assert self.old != self.new, f"{name} writes nothing: {self.done.stderr}"
        assert not any(map(left_over, self.new)), f"{name} leaves something over"
        with tempfile.TemporaryDirectory() as place:
            _, calls = traced(command, self.folder(place))
        self.points = [(call, nth) for call, nth, changes in calls if changes]
        self.found = []
        self.at_place = self.states = None

    def folder(self, place):
        folder = Path(place) / "workspace"
        workspace(folder)
        self.prepare(folder)
        return folder

    def look(self, folder, where):
        found = tree(folder)
        for fault in faults(found, self.old, self.new):
            self.found.append(f"{self.name}, killed {where}: {fault}")
        kept = {name: text for name, text in found.items() if not left_over(name)}
        self.states["old" if kept == self.old else "new" if kept == self.new else "between"] += 1
        run(self.command, folder)
        again = {name: text for name, text in tree(folder).items() if not left_over(name)}
        if again != self.new:
            names = sorted(name for name in again.keys() | self.new.keys() if again.get(name) != self.new.get(name))
            self.found.append(f"{self.name}, killed {where} and run again: {names} not as they should be")

    def killed(self, rng, most, at_random):
        self.at_place, self.states = 0, Counter()
        points = self.points if most is None else sorted(rng.sample(self.points, min(most, len(self.points))))
        for call, nth in points:
            with tempfile.TemporaryDirectory() as place:
                folder = self.folder(place)
                done, calls = traced(self.command, folder, "-e", f"inject={call}:signal=KILL:when={nth}")
                assert done.returncode in (-9, 137), f"{self.name} was not killed at {call} {nth}: {done}"
                last = [(name, n) for name, n, changes in calls if changes][-1:]
                self.at_place += last == [(call, nth)]
                self.look(folder, f"at {call} {nth}")
        for _ in range(at_random):
            with tempfile.TemporaryDirectory() as place:
                folder = self.folder(place)
                child = subprocess.Popen(self.command, cwd=folder, stdin=subprocess.DEVNULL,
                                         stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                wait = rng.random() * self.takes
                time.sleep(wait)
                child.kill()
                child.wait()
                self.look(folder, f"after {wait:.4f} s")
        assert self.at_place == len(points), f"{self.name}: only {self.at_place} of {len(points)} at their place"
        return len(points)


def careless():
    """Programs that do it wrong."""
    def two(folder):
        for side in ["papers", "next"]:
            (folder / side).mkdir()
            for name in ["a", "b"]:
                (folder / side / name).write_text(f"{side} {name}")

    move = "import os\nfor name in 'ab': os.replace('next/' + name, 'papers/' + name)"
    yield Case("half a file", lambda folder: None, ["sh", "-c", "printf half >out.txt; printf whole >>out.txt"])
    yield Case("half a folder", two, [sys.executable, "-S", "-c", move])


def main():
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("binary", type=Path)
    parse.add_argument("--most", type=int)
    parse.add_argument("--random", type=int, default=5)
    parse.add_argument("--seed", type=int, default=int(time.time()))
    parse.add_argument("--only")
    asked = parse.parse_args()
    binary = str(asked.binary.resolve())
    rng = random.Random(asked.seed)
    print(f"seed {asked.seed}")

    for case in careless():
        case.killed(rng, None, 0)
        assert any("neither" in fault or "some papers" in fault for fault in case.found), f"{case.name} was not found out"

    wrong, whole = [], 0
    for name, prepare, arguments in commands(binary):
        if asked.only and asked.only != name:
            continue
        case = Case(name, prepare, [binary, *arguments])
        count = case.killed(rng, asked.most, asked.random)
        whole += count + asked.random
        states = ", ".join(f"{count} {state}" for state, count in sorted(case.states.items()))
        print(f"{name}: killed at {count} of {len(case.points)} calls and {asked.random} times at random: {states}")
        wrong += case.found
    for fault in wrong[:40]:
        print(fault)
    assert not wrong, f"{len(wrong)} faults"
    print(f"{whole} kills: always the old or the new file, and a folder of papers that says when it is neither")


main()
