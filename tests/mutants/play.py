"""Lets the tests judge every woven mutant.

    play.py MAP RESULTS [NUMBER...]

First every test runs on the sound program, which tells how long it takes and which functions it
calls. Then every mutant meets the tests that call its function, the quick ones of all crates before
the slow ones of its own, until one fails (killed), takes five times the processor time that it
should and a second more (timeout), or none is left (survived; `open` after the quick ones). RESULTS
gets one line a mutant, of lines about the same the last counts; what is known is not played again.
With NUMBERs only those are played. MUTANTS_JOBS says how many at a time.
"""

import collections
import concurrent.futures
import json
import math
import os
import pathlib
import resource
import signal
import subprocess
import sys
import tempfile
import threading
import time

JOBS = int(os.environ.get("MUTANTS_JOBS", "2"))
# Processor seconds that a quick test takes at most.
QUICK = 0.5
# Those that take no longer share a process.
SMALL = 0.02
MEMORY = 3 << 30
# The same cases for every mutant, and none written down.
FIXED = {"PROPTEST_RNG_SEED": "8", "PROPTEST_DISABLE_FAILURE_PERSISTENCE": "true"}


def run(program, names, seconds, **more):
    """`ok`, `fails` or `timeout`, and the seconds of processor time that it took."""

    def limits():
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(seconds), math.ceil(seconds)))

    process = subprocess.Popen(
        [program["path"], "--exact", *names, "--test-threads=1"], cwd=program["folder"],
        env={**os.environ, **FIXED, **more}, preexec_fn=limits, stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    # A test that sleeps for ever uses no processor.
    sleeper = threading.Timer(60 + 20 * seconds, process.kill)
    sleeper.start()
    _, status, used = os.wait4(process.pid, 0)
    sleeper.cancel()
    process.returncode = os.waitstatus_to_exitcode(status)
    took = used.ru_utime + used.ru_stime
    if process.returncode == -signal.SIGKILL or process.returncode == -signal.SIGXCPU:
        return "timeout", took
    return ("ok" if process.returncode == 0 else "fails"), took


def tests_of(program):
    listed = subprocess.run([program["path"], "--list", "--format", "terse"], cwd=program["folder"],
                            capture_output=True, text=True, check=True).stdout
    return [line[:-6] for line in listed.splitlines() if line.endswith(": test")]


def baseline(program, test):
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder, "reached")
        result, seconds = run(program, [test], 600, MUTANT_REACHED=str(path))
        reached = path.read_text().splitlines() if path.exists() else []
    told = {"result": result, "seconds": seconds, "reached": sorted(set(reached))}
    return {"package": program["package"], "program": program["name"], "test": test, **told}


def baselines(pool, programs):
    """Of every test; kept beside the map."""
    kept = pathlib.Path(sys.argv[1]).with_name("tests.json")
    told = json.loads(kept.read_text()) if kept.exists() else []
    had = {(test["package"], test["program"]) for test in told}
    jobs = [
        (program, test) for key, program in programs.items() if key not in had
        for test in tests_of(program)
    ]
    told += pool.map(lambda job: baseline(*job), jobs)
    kept.write_text(json.dumps(told))
    for test in told:
        test["reached"] = set(test["reached"])
        if test["result"] != "ok":
            print(f"left out, it {test['result']} on the sound program: {test['test']}")
    return told


def groups(tests):
    """Tests of one program that take next to nothing share a process."""
    out, small = [], collections.defaultdict(list)
    for test in tests:
        if test["seconds"] > SMALL:
            out.append([test])
        else:
            small[test["package"], test["program"]].append(test)
    return out + list(small.values())


def play(mutant, number, tests, programs, quick, kills):
    """What the tests that call its function say: the quick ones, or the slow ones of its crate."""
    mine = [
        test for test in tests
        if mutant["function"] in test["reached"] and (test["seconds"] <= QUICK) == quick
        and (quick or test["package"] == mutant["crate"])
    ]

    def seconds(group):
        return sum(test["seconds"] for test in group)

    def key(group):
        return mutant["crate"], group[0]["package"], group[0]["program"], len(group) > 1

    begin = time.monotonic()
    # What is quick and has killed others of the crate comes first.
    for group in sorted(groups(mine), key=lambda g: (0.01 + seconds(g)) / (1 + kills[key(g)])):
        program = programs[group[0]["package"], group[0]["program"]]
        names = [test["test"] for test in group]
        result, _ = run(program, names, 1 + 5 * seconds(group), MUTANT=str(number))
        if result != "ok":
            kills[key(group)] += 1
            killer = f"{program['package']}/{program['name']}: {', '.join(names[:3])}"
            return {"result": "killed" if result == "fails" else "timeout", "by": killer,
                    "seconds": round(time.monotonic() - begin, 1)}
    return {"result": "open" if quick else "survived", "met": len(mine),
            "seconds": round(time.monotonic() - begin, 1)}


def known(results):
    """What came of each number; of lines about the same mutant the last counts."""
    lines = results.read_text().splitlines() if results.exists() else []
    return {told["number"]: told["result"] for told in map(json.loads, lines)}


def rounds(found, results, tests, programs, pool, asked):
    """The quick tests meet every mutant before the slow ones meet what they left."""
    kills = collections.Counter()
    for quick in [True, False]:
        came = known(results)
        left = [
            number for number, mutant in enumerate(found["mutants"])
            if mutant["state"] == "woven" and (not asked or number in asked)
            and (number not in came if quick else came.get(number) == "open")
        ]
        # Spread over all crates, so that a run that is cut off has seen some of each.
        left.sort(key=lambda number: number * 2654435761 % 2**32)
        with results.open("a") as out:
            futures = {
                pool.submit(play, found["mutants"][number], number, tests, programs, quick, kills): number
                for number in left
            }
            for count, future in enumerate(concurrent.futures.as_completed(futures), 1):
                number = futures[future]
                name = found["mutants"][number]["name"]
                line = {"number": number, "name": name, **future.result()}
                print(json.dumps(line), file=out, flush=True)
                if count % 50 == 0:
                    print(f"{count} of {len(left)}", flush=True)


def main():
    found = json.loads(pathlib.Path(sys.argv[1]).read_text())
    asked = {int(number) for number in sys.argv[3:]}
    programs = {(program["package"], program["name"]): program for program in found["programs"]}
    with concurrent.futures.ThreadPoolExecutor(JOBS) as pool:
        tests = [test for test in baselines(pool, programs) if test["result"] == "ok"]
        for test in sorted(tests, key=lambda test: -test["seconds"])[:12]:
            print(f"{test['seconds']:7.2f} s {test['package']}/{test['program']}: {test['test']}")
        print(f"{len(tests)} tests, {sum(test['seconds'] for test in tests):.0f} s", flush=True)
        rounds(found, pathlib.Path(sys.argv[2]), tests, programs, pool, asked)


main()
