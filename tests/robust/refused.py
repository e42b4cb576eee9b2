#!/usr/bin/env python3
"""Refuses what commands ask of the disk, and closes what they print to.

    python tests/robust/refused.py BINARY [--most N]

* Each call by which a command changes a file is refused once by strace: no space, over quota, input
  or output error, read-only, not allowed. The command has to say so and name the file, end with 3,
  and leave the old or the new files and nothing of its own beside them. A refusal that changes nothing
  of the outcome (such as of a message) may also end as if nothing had happened.
* A disk that is really full, and one that is really read-only, where this machine lets us mount.
* Standard output full, closed, and read by nobody; standard error too.

First a program that does not look at what it is told is run in the same way and has to be found out.
"""

import argparse
import os
import random
import subprocess
import tempfile
import time
from pathlib import Path

from calls import faults, left_over, traced
from commands import DAY, ROOT, commands, run, tree, workspace

REFUSALS = ["ENOSPC", "EDQUOT", "EIO", "EROFS", "EACCES"]


def panicked(done):
    return done.returncode < 0 or done.returncode > 3 or b"panicked" in done.stderr


def refused(name, prepare, command, rng, most, out):
    """Refuses the calls of one command, one at a time; gives how many."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "workspace"
        workspace(folder)
        prepare(folder)
        old = tree(folder)
        usual = run(command, folder)
        new = tree(folder)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "workspace"
        workspace(folder)
        prepare(folder)
        _, calls = traced(command, folder)
    points = [(call, nth) for call, nth, changes in calls if changes]
    targets = {Path(file).name for file in new if new[file] != old.get(file)}
    targets |= {file.split("/")[0] for file in new if new[file] != old.get(file)}
    for call, nth in points if most is None else rng.sample(points, min(most, len(points))):
        why = rng.choice(REFUSALS)
        where = f"{name}, {why} at {call} {nth}"
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "workspace"
            workspace(folder)
            prepare(folder)
            done, _ = traced(command, folder, "-e", f"inject={call}:error={why}:when={nth}")
            found = tree(folder)
            out += [f"{where}: {fault}" for fault in faults(found, old, new)]
            said = done.stderr.decode(errors="replace")
            if panicked(done):
                out.append(f"{where}: it breaks off with {done.returncode}: {said[-300:]}")
            if not call.startswith("unlink") and any(map(left_over, found)):
                out.append(f"{where}: {sorted(filter(left_over, found))} is left over")
            whole = {file: text for file, text in found.items() if not left_over(file)} == new
            if done.returncode == 3:
                if not said.startswith("curtilage: "):
                    out.append(f"{where}: it ends with 3 and says nothing of it: {said!r}")
                elif "standard output" not in said and not any(target in said for target in targets):
                    out.append(f"{where}: it does not say where: {said!r}")
            elif not whole or done.returncode != usual.returncode:
                out.append(f"{where}: it ends with {done.returncode}, and the files are "
                           f"{'new' if whole else 'not the new ones'}: {said!r}")
    return len(points) if most is None else min(most, len(points))


def on_a_disk(kind, source, back, command, place):
    """Runs a command on a disk of its own, which holds a copy of a folder and ends with the command; what
    is on it in the end is copied back."""
    spoil = {
        "full": "dd if=/dev/zero of=.filling bs=4k 2>&-",
        "nearly full": "dd if=/dev/zero of=.filling bs=4k 2>&-; truncate -s -24K .filling",
        "read-only": 'mount -o remount,ro "$disk"',
        "sound": "true",
    }[kind]
    script = ('source=$1; back=$2; disk=$3; shift 3; mount -t tmpfs -o size=1m none "$disk" || exit 99; '
              f'cp -a "$source"/. "$disk"/; cd "$disk"; {spoil}; "$@"; code=$?; cp -a "$disk"/. "$back"/; exit $code')
    disk = Path(place) / "disk"
    disk.mkdir()
    return run(["unshare", "-m", "sh", "-c", script, "sh", source, back, disk, *command], place)


def may_mount():
    with tempfile.TemporaryDirectory() as place:
        back = Path(place) / "back"
        back.mkdir()
        try:
            return on_a_disk("sound", back, back, ["true"], place).returncode == 0
        except FileNotFoundError:
            return False


def disks(binary, out):
    """Full and read-only disks, by mounts that end with the command."""
    count = 0
    for name, prepare, arguments in commands(binary):
        for kind in ["full", "nearly full", "read-only"]:
            with tempfile.TemporaryDirectory() as place:
                folder, back = Path(place) / "workspace", Path(place) / "back"
                workspace(folder)
                prepare(folder)
                old = tree(folder)
                back.mkdir()
                done = on_a_disk(kind, folder, back, [binary, *arguments], place)
                new = run([binary, *arguments], folder) and tree(folder)
                found = tree(back)
                found.pop(".filling", None)
                said = done.stderr.decode(errors="replace")
                where = f"{name} on a {kind} disk"
                fits = kind == "nearly full" and done.returncode in (0, 1)
                if not fits and (done.returncode != 3 or panicked(done) or not said.startswith("curtilage: ")):
                    out.append(f"{where}: it ends with {done.returncode}: {said!r}")
                wanted = new if fits else old
                # A site that was formatted before the disk was full stays formatted.
                names = sorted(file for file in found.keys() | wanted.keys() if found.get(file) != wanted.get(file)
                               and not (name in ("format", "manual") and found.get(file) == new.get(file)))
                if names:
                    out.append(f"{where}: changed: {names}")
                count += 1
    return count


def printing(binary, out):
    """What cannot be printed."""
    site, faulty = "sites/shop.site", "sites/contact-overload.site"
    forms = ["human", "json", "lines", "sarif", "junit", "quality", "workflow", "section"]
    asked = [["check", DAY, "--format", form, faulty] for form in forms]
    asked += [["compare", DAY, site, "sites/one.site", "--format", form] for form in ["text", "markdown", "json", "html"]]
    asked += [["figures", DAY, "--format", form, site] for form in ["human", "json"]]
    asked += [["rehearse", DAY, site], ["rules"], ["rules", "--format", "json"], ["explain", "feedback"], ["--help"],
              ["check", "--help"], ["--version"], ["completions", "bash"], ["format", "--check", "sites"],
              ["import", "zones.csv", "--out", "-"], ["handover", DAY, site, "--out", "papers"],
              ["new", "first.site", "--no-questions"], ["record", DAY, "readings.csv", "--site", site]]
    prepared = {name: prepare for name, prepare, _ in commands(binary)}
    with tempfile.TemporaryDirectory() as place:
        for at, arguments in enumerate(asked):
            folder = Path(place) / f"workspace{at}"
            workspace(folder)
            if arguments[0] in ("import", "record"):
                prepared[arguments[0]](folder)
            command = [binary, *arguments]
            where = " ".join(arguments)
            with open("/dev/full", "wb") as full:
                done = subprocess.run(command, cwd=folder, stdout=full, stderr=subprocess.PIPE, timeout=60,
                                      stdin=subprocess.DEVNULL, check=False)
            if done.returncode != 3 or b"standard output: No space left" not in done.stderr or panicked(done):
                out.append(f"{where}, output full: {done.returncode} {done.stderr}")
            reader, writer = os.pipe()
            os.close(reader)
            done = subprocess.run(command, cwd=folder, stdout=writer, stderr=subprocess.PIPE, timeout=60,
                                  stdin=subprocess.DEVNULL, check=False)
            os.close(writer)
            # A second run of some finds what the first has written.
            if done.returncode not in (0, 2) or panicked(done) or (done.returncode == 0 and done.stderr):
                out.append(f"{where}, nobody reads: {done.returncode} {done.stderr}")
            done = run(["sh", "-c", 'exec "$@" >&- 2>&-', "sh", *command], folder)
            if panicked(done):
                out.append(f"{where}, output closed: {done.returncode}")
        folder = Path(place) / "workspace0"
        usual = run([binary, "check", DAY, "sites", "no-such"], folder)
        with open("/dev/full", "wb") as full:
            done = subprocess.run([binary, "check", DAY, "sites", "no-such"], cwd=folder, stdout=subprocess.PIPE,
                                  stderr=full, timeout=60, stdin=subprocess.DEVNULL, check=False)
        if (done.returncode, done.stdout) != (usual.returncode, usual.stdout):
            out.append(f"standard error full: {done.returncode}")
        for target, mode in [("/dev/full", "wb"), (None, None)]:
            output = open(target, mode) if target else subprocess.DEVNULL
            begin = b'{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}'
            if not target:
                reader, output = os.pipe()
                os.close(reader)
            child = subprocess.Popen([binary, "serve"], cwd=folder, stdin=subprocess.PIPE, stdout=output,
                                     stderr=subprocess.PIPE)
            child.stdin.write(b"Content-Length: %d\r\n\r\n" % len(begin) + begin)
            child.stdin.flush()
            try:
                code = child.wait(timeout=20)
                said = child.stderr.read()
                if code != 1 or b"the client does not listen" not in said or b"panicked" in said:
                    out.append(f"serve, output {'full' if target else 'read by nobody'}: {code} {said}")
            except subprocess.TimeoutExpired:
                child.kill()
                child.wait()
                out.append("serve goes on though nobody can be told")
    return 3 * len(asked) + 3


def main():
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("binary", type=Path)
    parse.add_argument("--most", type=int)
    parse.add_argument("--seed", type=int, default=int(time.time()))
    asked = parse.parse_args()
    binary = str(asked.binary.resolve())
    rng = random.Random(asked.seed)
    print(f"seed {asked.seed}")

    found_out = []
    refused("deaf", lambda folder: None, ["sh", "-c", "printf text >out.txt; true"], rng, None, found_out)
    assert found_out, "a program that does not look at what it is told was not found out"

    wrong = []
    count = sum(refused(name, prepare, [binary, *arguments], rng, asked.most, wrong)
                for name, prepare, arguments in commands(binary))
    print(f"{count} calls refused")
    if may_mount():
        print(f"{disks(binary, wrong)} runs on full and read-only disks")
    else:
        print("this machine does not let us mount: real full and read-only disks are left out of this run")
    print(f"{printing(binary, wrong)} runs whose output goes nowhere")
    for fault in wrong[:60]:
        print(fault)
    assert not wrong, f"{len(wrong)} faults"


main()
