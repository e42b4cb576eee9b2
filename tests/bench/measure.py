#!/usr/bin/env python3
"""Measures step by step, keeps the figures in results.json, and writes the tables of docs/performance.md.

`run` beside this file installs what this needs and starts it.
"""
import argparse
import json
import os
import pathlib
import platform
import re
import shutil
import subprocess
import sys
import time

import batch
import page
import servers
from clocks import Timer, rounds, summary
from peers import peers

HERE = batch.HERE
RESULTS = HERE / "results.json"
COUNTED = 20


def say(words):
    print(f"   {time.strftime('%H:%M:%S')} {words}", flush=True)


def machine(asked):
    """What stands below the tables: the machine and the versions."""
    with open("/proc/cpuinfo") as file:
        names = re.findall(r"model name\s*: (.*)", file.read())
    lock = (HERE / "bounds/Cargo.lock").read_text()
    versions = dict(line.strip().split("==") for line in (HERE / "requirements.txt").open())
    versions |= dict(line.strip().rsplit("@", 1) for line in (HERE / "npm.txt").open())
    for crate in ("serde_json", "simd-json", "sonic-rs", "jsonschema", "regorus"):
        versions[f"{crate} (crate)"] = re.search(f'name = "{crate}"\nversion = "(.*)"', lock)[1]
    say_commit = subprocess.run(["git", "-C", str(HERE), "log", "-1", "--format=%h"], capture_output=True, text=True)
    return {"cpu": names[0] if names else platform.processor(), "cores": os.cpu_count(), "system": platform.release().split("-")[0],
            "date": time.strftime("%Y-%m-%d"), "commit": say_commit.stdout.strip(), "versions": versions,
            "load": os.getloadavg()[0]}


def instructions(cache, ours, before):
    """Instructions of whole processes, by callgrind: the same however busy the machine is."""
    valgrind = shutil.which("valgrind")
    if not valgrind:
        return {"why": "valgrind is not installed"}
    parse = [cache / "bounds/release/parse", ".", "serde", "1"]
    check = lambda program: [program, "check"]
    rules = [cache / "bounds/release/rules", ".", "site.schema.json", "policy.rego", "1"]
    asked = {"an empty process": ("json", [cache / "bounds/release/empty"]), "serde_json::Value": ("json", parse),
             "curtilage check": ("sites", check(ours)), "jsonschema + regorus (Rust)": ("json", rules)}
    if before:
        asked["curtilage check, before"] = ("sites", check(before))
    out = {}
    for name, (notation, command) in asked.items():
        out[name] = {}
        for size in (1, COUNTED):
            folder = cache / "portfolio" / ("1" if size == 1 else "counted") / notation
            words = [valgrind, "--tool=callgrind", "--callgrind-out-file=/dev/null", *map(str, command)]
            try:
                run = subprocess.run(words, cwd=folder, capture_output=True, text=True, timeout=120)
            except subprocess.TimeoutExpired:
                continue
            found = re.search(r"Collected\s*: (\d+)", run.stderr)
            if run.returncode == 0 and found:
                out[name][str(size)] = int(found[1])
    return out


def read_anew(programs):
    """Has the system read the programs from the disk, as those that were installed a while ago. What was just
    written lies in its memory in larger pieces, and whoever runs it is counted as holding all of a piece."""
    for path in {need for program in programs for need in program.needs}:
        with open(path, "rb") as file:
            os.fsync(file.fileno())
            os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def counted(cache):
    """The folders of the sites whose instructions are counted."""
    for notation in ("sites", "json"):
        folder = cache / "portfolio" / "counted" / notation
        if folder.exists():
            continue
        folder.mkdir(parents=True)
        whole = cache / "portfolio" / str(batch.SIZES[-1]) / notation
        names = batch.files(whole)[:COUNTED]
        beside = ["parts.site", "workspace.site"] if notation == "sites" else ["site.schema.json", "policy.rego"]
        for name in names + beside:
            os.link(whole / name, folder / name)


def large(cache, timer, everyone):
    """One file of 100,000 lines."""
    server = lambda notation: servers.Server("", [], notation, "", "")
    wanted = [peer for peer in everyone if peer.name in page.LARGE]
    for notation in {peer.notation for peer in wanted}:
        folder = cache / "portfolio" / "large" / notation
        if not folder.exists():
            folder.mkdir(parents=True)
            for name in batch.BESIDE[notation] or ["workspace.site", "parts.site"]:
                shutil.copy(cache / "portfolio" / "1" / notation / name, folder)
            name = batch.files(cache / "portfolio" / "1" / notation)[0]
            (folder / name).write_text(servers.text_of(server(notation), 100_000))
    found = rounds(timer, batch.programs(cache, wanted, "large"), 7, 4.0, batch.PATIENCE)
    bytes_of = {peer.name: batch.bytes_of(cache / "portfolio" / "large" / peer.notation) for peer in wanted}
    return {name: {"why": runs} if isinstance(runs, str) else summary(runs) | {"bytes": bytes_of[name]}
            for name, runs in found.items()}


def main():
    parse = argparse.ArgumentParser(description=__doc__)
    parse.add_argument("--cache", type=pathlib.Path, required=True)
    parse.add_argument("--ours", type=pathlib.Path, required=True)
    parse.add_argument("--before", type=pathlib.Path)
    parse.add_argument("--only", type=lambda words: words.split(","), help="measure these steps, keep the other figures")
    parse.add_argument("--resume", action="store_true", help="measure the steps that have no figures")
    asked = parse.parse_args()
    cache, ours = asked.cache, asked.ours.resolve()
    before = asked.before.resolve() if asked.before else None
    results = json.loads(RESULTS.read_text()) if RESULTS.exists() and (asked.only or asked.resume) else {}

    say("writing the sites and their twins")
    batch.prepare(cache)
    counted(cache)
    all_peers = peers(cache, ours, before)
    gone = {peer.name: why for peer in all_peers if (why := batch.missing(peer))}
    able = [peer for peer in all_peers if peer.name not in gone]
    read_anew(able)
    timer = Timer(cache / "bounds/release/timer")
    editors = servers.servers(cache, ours, before)
    own = [server for server in editors if server.notation == "sites"]
    rules = HERE / "rules"

    def latencies():
        out = {}
        for server in editors:
            for lines in servers.LINES:
                say(f"{server.name}, {lines:,} lines")
                out.setdefault(server.name, {})[str(lines)] = servers.keystrokes(cache, server, rules, lines)
        return out

    steps = {
        "notices": lambda: batch.notices(cache, timer, able),
        "cold": lambda: batch.cold(cache, timer, able, say),
        "sizes": lambda: batch.sizes(cache, timer, able, say),
        "large": lambda: large(cache, timer, able),
        "instructions": lambda: instructions(cache, ours, before),
        "wire": servers.wire,
        "latencies": latencies,
        "idle": lambda: {server.name: servers.idle(cache, server) for server in own},
        "everybody": lambda: {server.name: servers.everybody(cache, server) for server in own},
    }
    for name, step in steps.items():
        if (asked.only and name not in asked.only) or (asked.resume and name in results):
            continue
        print(f"== {name}", flush=True)
        results[name] = step()
        results["peers"] = [[peer.name, peer.group, peer.notation] for peer in all_peers]
        results["gone"] = gone
        results["bytes"] = {notation: batch.bytes_of(cache / "portfolio" / str(batch.SIZES[-1]) / notation)
                            for notation in batch.BESIDE}
        results["machine"] = machine(asked)
        lines = (f"{json.dumps(step)}: {json.dumps(figures)}" for step, figures in results.items())
        RESULTS.write_text("{\n" + ",\n".join(lines) + "\n}\n")
        page.write(results)
    return 0


if __name__ == "__main__":
    sys.exit(main())
