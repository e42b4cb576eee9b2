#!/usr/bin/env python3
"""Fresh dc trees, solved by ngspice.

usage: ngspice_trees.py COUNT SEED OUT.json
The file has the form of tests/fixtures/circuit_trees.json; the test `fresh_trees` of the facts crate
writes each network as a site file and solves it by way of its facts.

Both wires of every cable are drawn. A constant power is found by continuation: its current is
lambda * P / V, and ngspice sweeps lambda from 0 to 1, each point beginning at the last one, so the
high voltage is followed down. A collapse is: no convergence before 1, a voltage of zero or less, a
voltage that rises with lambda, or an answer that does not obey Ohm's and Kirchhoff's laws. The sweep
goes on to 1.04: a network that collapses between 0.96 and 1.04 is marked `near`.
"""
import json
import os
import random
import subprocess
import sys
import tempfile

STEP = 0.01
FAR = 1.04
NEAR = 0.96
# A current through a milliohm is known to some 1e-11 A: a tighter tolerance never settles.
OPTIONS = ".options reltol=1e-9 abstol=1e-10 vntol=1e-12 gmin=1e-18 itl1=500 itl2=500 noopiter=0"


def network(rng, number):
    volts = rng.choice([12.0, 13.8, 24.0, 27.6, 48.0])
    nodes, edges, loads = ["S"], [], []
    for index in range(rng.randint(1, 24)):
        # Long chains and bushy trees.
        start = nodes[-1] if rng.random() < 0.5 else rng.choice(nodes)
        ohm = round(10 ** rng.uniform(-3, 0.3), 6)
        nodes.append(f"n{index}")
        edges.append({"from": start, "to": nodes[-1], "r": ohm})
    kinds = rng.choice(["I", "P", "R", "IPR", "IPR", "PP"])
    heavy = 10 ** rng.uniform(-1.5, 1.6)
    for node in nodes[1:]:
        if rng.random() < 0.3 and loads:
            continue
        kind = rng.choice(kinds)
        share = rng.uniform(0.1, 1.0) * heavy / len(nodes)
        value = {"I": share, "P": share * volts, "R": volts / share}[kind]
        loads.append({"node": node, "kind": kind, "value": float(f"{value:.6g}")})
    source = {"v": volts, "r": round(10 ** rng.uniform(-3, -0.5), 6)}
    return {"id": f"fresh-{number}", "source": source, "root": "S", "edges": edges, "loads": loads}


def netlist(net, nodes, out):
    at = {name: index for index, name in enumerate(nodes)}
    lines = ["* tree", f"V0 s 0 DC {net['source']['v']!r}", f"Rs s p0 {net['source']['r']!r}",
             "Vn n0 0 DC 0", "Vlam lam 0 DC 1"]
    for number, edge in enumerate(net["edges"]):
        a, b = at[edge["from"]], at[edge["to"]]
        lines.append(f"Rp{number} p{a} p{b} {edge['r']!r}")
        lines.append(f"Rn{number} n{a} n{b} {edge['r']!r}")
    for number, load in enumerate(net["loads"]):
        p, n = f"p{at[load['node']]}", f"n{at[load['node']]}"
        value = load["value"]
        lines.append({
            "I": f"Il{number} {p} {n} DC {value!r}",
            "R": f"Rl{number} {p} {n} {value!r}",
            "P": f"Bl{number} {p} {n} I=V(lam)*{value!r}/V({p},{n})",
        }[load["kind"]])
    for index in at.values():
        lines.append(f".nodeset v(p{index})={net['source']['v']!r} v(n{index})=0")
    vectors = " ".join(f"v(p{index},n{index})" for index in at.values())
    lines += [OPTIONS, ".control", "set numdgt=16", "set width=400",
              f"dc Vlam 0 {FAR!r} {STEP!r}", "set wr_singlescale",
              f"wrdata {out} {vectors}", "quit 0", ".endc", ".end"]
    return "\n".join(lines) + "\n"


def kirchhoff(net, volts, share):
    """The worst error of Ohm's law on a cable that carries what is behind it, as a share of the supply."""
    amps = {name: 0.0 for name in volts}
    for load in net["loads"]:
        v = volts[load["node"]]
        kind, value = load["kind"], load["value"]
        amps[load["node"]] += value if kind == "I" else v / value if kind == "R" else share * value / v
    worst = 0.0
    for edge in reversed(net["edges"]):
        below = amps[edge["to"]]
        amps[edge["from"]] += below
        drop = volts[edge["from"]] - volts[edge["to"]]
        worst = max(worst, abs(drop - below * 2 * edge["r"]) / net["source"]["v"])
    return worst


def solve(net):
    nodes = [net["root"]] + [edge["to"] for edge in net["edges"]]
    with tempfile.TemporaryDirectory() as folder:
        out, deck = os.path.join(folder, "out.txt"), os.path.join(folder, "net.cir")
        with open(deck, "w", encoding="ascii") as file:
            file.write(netlist(net, nodes, out))
        subprocess.run(["ngspice", "-b", deck], capture_output=True, cwd=folder, timeout=60, check=False)
        rows = []
        if os.path.exists(out):
            with open(out, encoding="ascii") as file:
                rows = [[float(word) for word in line.split()] for line in file if line.strip()]
    # How far the high voltage can be followed.
    good, before = 0.0, None
    answer = None
    for row in rows:
        share, volts = row[0], row[1:]
        rose = before is not None and any(b > a * (1 + 1e-9) for a, b in zip(before, volts))
        named = dict(zip(nodes, volts))
        if min(volts) <= 0 or rose or kirchhoff(net, named, share) > 1e-7:
            break
        good, before = share, volts
        if abs(share - 1.0) < STEP / 2:
            answer = named
    near = NEAR <= good < FAR - STEP / 2
    if answer is None:
        return {"status": "collapse", "near": near}
    return {"status": "ok", "v": answer, "near": near}


def main():
    count, seed, out = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    rng = random.Random(seed)
    nets = []
    for number in range(count):
        net = network(rng, number)
        net["expect"] = solve(net)
        nets.append(net)
    with open(out, "w", encoding="ascii") as file:
        json.dump(nets, file)
    collapsed = sum(net["expect"]["status"] == "collapse" for net in nets)
    near = sum(net["expect"]["near"] for net in nets)
    print(f"{count} trees, seed {seed}: {collapsed} collapse, {near} near the limit")


if __name__ == "__main__":
    main()
