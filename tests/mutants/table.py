"""Prints what came of the mutants, and the survivors that docs/mutants.md does not explain.

    table.py MAP RESULTS EXPLAINED
"""

import collections
import json
import math
import pathlib
import re
import sys


def interval(part, whole):
    """Wilson's 95 % interval, in percent."""
    z, share = 1.96, part / whole
    middle = share + z * z / (2 * whole)
    half = z * math.sqrt(share * (1 - share) / whole + z * z / (4 * whole * whole))
    return tuple(100 * (middle + sign * half) / (1 + z * z / whole) for sign in (-1, 1))


def main():
    found = json.loads(pathlib.Path(sys.argv[1]).read_text())["mutants"]
    explained = pathlib.Path(sys.argv[3]).read_text()
    results = {}
    for line in pathlib.Path(sys.argv[2]).read_text().splitlines():
        told = json.loads(line)
        results[told["number"]] = told
    survivors = collections.Counter()
    print("| crate | mutants | unviable | apart | judged | killed | timeouts | survived | killed, % |")
    print("|---|---|---|---|---|---|---|---|---|")
    for crate in sorted({mutant["crate"] for mutant in found}):
        mine = {n: mutant for n, mutant in enumerate(found) if mutant["crate"] == crate}
        state = collections.Counter(mutant["state"] for mutant in mine.values())
        told = [results[number] for number in mine if number in results]
        came = collections.Counter(one["result"].replace("open", "survived") for one in told)
        good = came["killed"] + came["timeout"]
        share = f"{100 * good / len(told):.1f}" if told else "-"
        if told and len(told) < state["woven"]:
            low, high = interval(good, len(told))
            share += f" ({low:.1f} to {high:.1f})"
        print(f"| {crate} | {len(mine)} | {state['unviable']} | {state['apart']} | {len(told)} of "
              f"{state['woven']} | {came['killed']} | {came['timeout']} | {came['survived']} | {share} |")
        for one in told:
            if one["result"] in ("survived", "open"):
                survivors[re.sub(r":\d+:\d+:", ":", one["name"])] += 1
    print()
    for name, count in sorted(survivors.items()):
        known = f"`{name}`" in explained
        times = f" ({count} times)" if count > 1 else ""
        if not known:
            print(f"not explained: {name}{times}")


main()
