"""Whole processes over many sites: what each program notices, costs at each size, and costs for one site."""
import ast
import json
import math
import os
import pathlib
import shutil
import tomllib

import faults
import portfolio
from clocks import rounds, summary
from peers import BESIDE, HERE
from twins import NOTATIONS

SIZES = [10, 30, 100, 300, 1000]
# The goal of the largest size is held against what a program did there, so it gets most of the time.
SECONDS = {10: 1.0, 30: 1.0, 100: 1.5, 300: 2.0, 1000: 6.0}
PATIENCE = 60


def prepare(cache):
    """The portfolio in every notation, one folder a size, and the folders with planted mistakes."""
    whole = cache / "portfolio" / str(SIZES[-1])
    done = cache / "portfolio" / "done"
    stamp = str(max(path.stat().st_mtime for path in [*HERE.glob("*.py"), *(HERE / "rules").iterdir()]
                    if path.name in ("portfolio.py", "twins.py", "faults.py") or path.parent.name == "rules"))
    if done.exists() and done.read_text() == stamp:
        return
    shutil.rmtree(cache / "portfolio", ignore_errors=True)
    portfolio.write(whole, range(1, SIZES[-1] + 1), list(NOTATIONS))
    same_facts(whole)
    for notation, names in BESIDE.items():
        for name in names:
            shutil.copy(HERE / "rules" / name, whole / notation / name)
    for size in [1, *SIZES[:-1]]:
        for notation, names in BESIDE.items():
            folder = cache / "portfolio" / str(size) / notation
            folder.mkdir(parents=True)
            beside = ["parts.site", "workspace.site"] if notation == "sites" else names
            sites = files(whole / notation)[:size]
            for name in [*beside, *sites]:
                os.link(whole / notation / name, folder / name)
    for kind in ["syntax", *faults.FAULTS]:
        plant(cache / "portfolio" / "faults" / kind, kind)
    done.write_text(stamp)


def same_facts(whole):
    """Stops when a twin does not say what the JSON says."""
    import yaml  # one of the programs that are installed brings it
    text = lambda notation: (whole / notation / files(whole / notation)[0]).read_text()
    facts = json.loads(text("json"))
    assert yaml.safe_load(text("yaml")) == facts, "yaml"
    assert tomllib.loads(text("toml")) == facts, "toml"
    assert ast.literal_eval(text("python").partition("Site = ")[2]) == facts, "python"
    for notation, before in (("typescript", "Site = "), ("javascript", "site = ")):
        assert json.loads(text(notation).partition(before)[2].rstrip(";\n")) == facts, notation


def plant(folder, kind):
    """One site with one mistake, in every notation."""
    portfolio.write(folder, [1], list(NOTATIONS))
    facts = portfolio.site(1, 1, 1)
    if kind != "syntax":
        faults.FAULTS[kind][1](facts)
    writers = {"sites": lambda facts: portfolio.text(facts, 1)} | {key: twin for key, (_, twin) in NOTATIONS.items()}
    for notation, writer in writers.items():
        text = writer(facts)
        path = folder / notation / files(folder / notation)[0]
        path.write_text(text[:len(text) * 6 // 10] if kind == "syntax" else text)
        for name in BESIDE[notation]:
            shutil.copy(HERE / "rules" / name, folder / notation / name)


def files(folder):
    return sorted(path.name for path in folder.glob("site_0*"))


def bytes_of(folder):
    return sum((folder / name).stat().st_size for name in files(folder))


def missing(peer):
    """Why a program cannot run, or nothing."""
    for need in peer.needs:
        if not pathlib.Path(need or "").exists():
            return "not installed"
    return None


def programs(cache, peers, where):
    out = {}
    for peer in peers:
        folder = cache / "portfolio" / where / peer.notation
        out[peer.name] = (peer.command(files(folder)), folder, peer.codes)
    return out


def notices(cache, timer, peers):
    """Which of the planted mistakes each program notices. One that refuses the clean site notices nothing."""
    out = {}
    clean = programs(cache, peers, "1")
    kinds = {kind: programs(cache, peers, f"faults/{kind}") for kind in ["syntax", *faults.FAULTS]}
    for peer in peers:
        if peer.group == "bounds":
            continue
        command, folder, right = clean[peer.name]
        first = timer.run(command, folder, PATIENCE)
        if first is None or first["code"] not in right:
            out[peer.name] = {"clean": False}
            continue
        out[peer.name] = {"clean": True}
        for kind, of_kind in kinds.items():
            command, folder, right = of_kind[peer.name]
            run = timer.run(command, folder, PATIENCE)
            out[peer.name][kind] = run is not None and run["code"] not in right
    return out


def sizes(cache, timer, peers, say):
    """The costs at every size. A program that would take too long at a size is left out there."""
    out = {}
    slow = set()
    for size in SIZES:
        able = [peer for peer in peers if peer.name not in slow]
        say(f"{size} sites, {len(able)} programs")
        found = rounds(timer, programs(cache, able, str(size)), 40, SECONDS[size], PATIENCE)
        for name, runs in found.items():
            entry = out.setdefault(name, {})
            if isinstance(runs, str):
                entry[str(size)] = {"why": runs}
                slow.add(name)
                continue
            entry[str(size)] = summary(runs)
            following = SIZES[min(SIZES.index(size) + 1, len(SIZES) - 1)]
            if entry[str(size)]["wall"][0] * following / size > 25:
                slow.add(name)
    return out


def cold(cache, timer, peers, say):
    """The costs of one site."""
    say("one site")
    found = rounds(timer, programs(cache, peers, "1"), 60, 1.5, PATIENCE, least=5)
    return {name: {"why": runs} if isinstance(runs, str) else summary(runs) for name, runs in found.items()}


def exponent(of_sizes, empty):
    """The slope of log cost over log size: 1 when twice the sites cost twice as much."""
    points = []
    for size, entry in of_sizes.items():
        base = empty.get(size, {}).get("cpu")
        if "cpu" in entry and base:
            net = entry["cpu"][0] - base[0]
            if net > 0:
                points.append((math.log(int(size)), math.log(net)))
    if len(points) < 3:
        return None
    mean = [sum(axis) / len(points) for axis in zip(*points)]
    above = sum((x - mean[0]) * (y - mean[1]) for x, y in points)
    return above / sum((x - mean[0]) ** 2 for x, _ in points)
