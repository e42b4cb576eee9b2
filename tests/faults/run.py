#!/usr/bin/env python3
"""Plants faults into clean random sites, and counts what `curtilage check` finds of them.

usage: run.py BINARY [--sites N] [--faults N] [--combinations N] [--seed S] [--reworded] [--page FILE] [--keep FOLDER]

Exit code 1 when a fault is missed, when a near miss is told, when anything else is found, when something else is
told of a site that says the same another way, when a rule has no planter, or when a hundred clean sites or more leave
a statement of the language unsaid, be they three times as many as asked for.
"""
import argparse
import collections
import datetime
import json
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
import clean
import hides
import page
import plant
import power
import reworded
import vocabulary
from plant import PLANTERS
from site_data import Item

HOWS = ("near", "far", "miss")
# So many clean sites are to say everything that the language can say.
ENOUGH = 100


class Case:
    """One folder: what was planted in it, and where the items stand."""

    def __init__(self, name, faults, misses, places):
        self.name, self.faults, self.misses, self.places = name, faults, misses, places


class Table:
    """What is counted a rule."""

    def __init__(self):
        self.planted, self.found = collections.Counter(), collections.Counter()
        self.misses, self.silent = collections.Counter(), collections.Counter()
        self.combined, self.combined_found = collections.Counter(), collections.Counter()
        self.alarms = collections.Counter()
        self.along = collections.defaultdict(dict)
        self.hidden = collections.Counter()
        self.wrong = []
        self.clean_alarms = 0


def plant_one(site, rng, make, how):
    """Plants one fault; nothing when the site has no place for it, and is then not to be used."""
    if how == "miss" and not make.has_miss:
        return None
    fault = make(site, rng, how)
    if fault:
        power_lines(site)
        fault.kinds = {item.kind for item in site.items if item.name in fault.where}
    return fault


def power_lines(site):
    for item, feed in power.consumers(site):
        if item.get("fed") and not getattr(item, "raw", False):
            item.put(feed.text())


def found_at(fault, findings, places):
    """The findings of the fault's rule that speak of the items it was planted in."""
    spots = [spot for name in fault.where for spot in places.get(name, ())]
    out = []
    for finding in findings:
        if finding["rule"] != fault.rule:
            continue
        at = [finding["at"], *finding["others"]]
        inside = any(one["path"].endswith(path) and first <= one["line"] <= last
                     for one in at for path, first, last in spots)
        if not fault.where or inside or set(fault.where) & set(finding.get("about", ())):
            out.append(finding)
    return out


def judge(case, findings, table):
    """Holds what was found against what was planted."""
    known = set()
    for fault in case.faults:
        mine = found_at(fault, findings, case.places)
        known |= {fault.rule, *fault.along}
        many = len(case.faults) > 1
        (table.combined if many else table.planted)[fault.rule] += 1
        if not mine and hides.hidden(fault, [one for one in case.faults if one is not fault]):
            table.combined[fault.rule] -= 1
            table.hidden[fault.rule] += 1
        elif mine:
            (table.combined_found if many else table.found)[fault.rule] += 1
        else:
            planted = ", ".join(one.rule for one in case.faults)
            table.wrong.append((case.name, "missed", fault.rule, f"{fault.say} [{planted}]"))
        for finding in findings:
            if finding["rule"] in fault.along and finding["rule"] != fault.rule:
                table.along[fault.rule][finding["rule"]] = fault.along[finding["rule"]]
    for fault in case.misses:
        table.misses[fault.rule] += 1
        known |= set(fault.along)
        if any(finding["rule"] == fault.rule for finding in findings):
            table.wrong.append((case.name, "near miss told", fault.rule, fault.say))
        else:
            table.silent[fault.rule] += 1
    for finding in findings:
        if finding["rule"] not in known:
            table.alarms[finding["rule"]] += 1
            table.clean_alarms += not (case.faults or case.misses)
            planted = ", ".join(fault.rule for fault in case.faults + case.misses) or "nothing"
            table.wrong.append((case.name, f"false alarm (planted: {planted})", finding["rule"],
                                f'{finding["at"]["path"]}:{finding["at"]["line"]}: {finding["headline"]}'))


def check(binary, folder, date):
    done = subprocess.run([binary, "check", "--date", str(date), "--format", "json", str(folder)],
                          capture_output=True, text=True)
    if done.returncode not in (0, 1, 3):
        raise SystemExit(f"check ended with {done.returncode}: {done.stderr[:2000]}")
    told = json.loads(done.stdout)
    by_case = collections.defaultdict(list)
    for finding in told["findings"]:
        by_case[case_of(finding["at"]["path"])].append(finding)
    return by_case


def case_of(path):
    return next((part for part in pathlib.PurePath(path).parts if part.startswith("case-")), "")


def write(root, name, site, faults, misses, cover):
    folder = root / name
    places, _ = site.write(folder)
    if cover is not None:
        cover.count(site)
    return Case(name, faults, misses, places)


# What a site may except: faults that are told of one thing and bring nothing else along.
EXCUSED = ("silent-zone", "idle-output", "inductive-unsuppressed", "endless-retrigger", "disarmed-tamper-zone",
           "unsupervised-panic", "counted-twice", "undervoltage", "contact-over-voltage", "schedule-overlap")


def excuse(site, rng, date):
    """Plants a fault and an exception for it: the site is clean again."""
    rule = rng.choice(EXCUSED)
    trial = site.copy()
    fault = plant_one(trial, rng, rng.choice(PLANTERS[rule]), rng.choice(("near", "far")))
    if not fault or fault.along:
        return site
    thing = "" if rng.random() < 0.2 else f" on {fault.where[0]}"
    until = date + datetime.timedelta(rng.choice((0, 1, 500)))
    trial.add(Item("allow", f"allow-{rule}", f'allow {rule}{thing} until {until} because "it is on the list"'))
    return trial


def clean_cases(root, asked, year, cover):
    """As many as are asked for. A hundred or more are to say everything that the language can say: where chance
    has left something out, up to twice as many more."""
    for number in range(asked.sites if asked.sites < ENOUGH else 3 * asked.sites):
        if number >= asked.sites and not cover.missing():
            return
        seed = f"{asked.seed}:clean:{number}"
        site = clean.make(seed, year)
        if number % 3 == 0:
            site = excuse(site, random.Random(seed), asked.date)
        yield write(root, f"case-clean-{number}", site, [], [], cover)


def single_cases(root, asked, year):
    for rule in [asked.rule] if asked.rule else sorted(PLANTERS):
        # Which planter begins is another one with every seed.
        first = random.Random(f"{asked.seed}:{rule}").randrange(len(PLANTERS[rule]))
        for number in range(first, first + asked.faults):
            for how in HOWS:
                if how == "miss" and not any(make.has_miss for make in PLANTERS[rule]):
                    continue
                for attempt in range(60):
                    seed = f"{asked.seed}:{rule}:{number}:{how}:{attempt}"
                    site, makers = clean.make(seed, year), PLANTERS[rule]
                    fault = plant_one(site, random.Random(seed), makers[(number + attempt) % len(makers)], how)
                    if fault:
                        faults, misses = ([], [fault]) if how == "miss" else ([fault], [])
                        yield write(root, f"case-{rule}-{number}-{how}", site, faults, misses, None)
                        break
                else:
                    raise SystemExit(f"no place for {rule} ({how}) in 60 sites")


def combined_cases(root, asked, year):
    for number in range(asked.combinations):
        seed = f"{asked.seed}:combined:{number}"
        rng = random.Random(seed)
        site = clean.make(seed, year)
        faults = []
        rules = [rule for rule in PLANTERS if not all(make.alone for make in PLANTERS[rule])]
        for rule in rng.sample(rules, rng.randrange(2, 6)):
            trial = site.copy()
            fault = plant_one(trial, rng, rng.choice([one for one in PLANTERS[rule] if not one.alone]),
                              rng.choice(("near", "far")))
            if fault:
                site = trial
                faults.append(fault)
        if len(faults) > 1:
            yield write(root, f"case-combined-{number}", site, faults, [], None)


def said_another_way(root, asked, findings):
    """What is told otherwise of the same sites in other words."""
    wrong = []
    for way in reworded.WAYS:
        with tempfile.TemporaryDirectory() as temporary:
            other = pathlib.Path(temporary) / "cases"
            shutil.copytree(root, other)
            tables = reworded.write(other, way, asked.seed)
            differ = reworded.differences(findings, check(asked.binary, other, asked.date), tables, way)
            wrong += [(case, "told otherwise", way, why) for case, why in differ]
    return wrong


def main():
    parse = argparse.ArgumentParser(description=__doc__)
    parse.add_argument("binary")
    parse.add_argument("--sites", type=int, default=300)
    parse.add_argument("--faults", type=int, default=6)
    parse.add_argument("--combinations", type=int, default=300)
    parse.add_argument("--seed", default="1")
    parse.add_argument("--rule")
    parse.add_argument("--page", type=pathlib.Path)
    parse.add_argument("--reworded", action="store_true")
    parse.add_argument("--keep", type=pathlib.Path)
    parse.add_argument("--date", type=datetime.date.fromisoformat, default=datetime.date(2026, 11, 25))
    asked = parse.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        root = asked.keep or pathlib.Path(temporary)
        root.mkdir(parents=True, exist_ok=True)
        (root / "workspace.site").write_text("")
        plant.base.TODAY = asked.date
        cover, table, year = vocabulary.Cover(), Table(), asked.date.year
        cases = list(clean_cases(root, asked, year, cover))
        clean_sites = len(cases)
        cases += single_cases(root, asked, year)
        if not asked.rule:
            cases += combined_cases(root, asked, year)
        findings = check(asked.binary, root, asked.date)
        for case in cases:
            judge(case, findings.get(case.name, []), table)
        if asked.reworded:
            table.wrong += said_another_way(root, asked, findings)
    asked.rules = json.loads(subprocess.run([asked.binary, "rules", "--format", "json"], capture_output=True,
                                             text=True, check=True).stdout)
    text = page.page(table, cover, asked, len(cases), clean_sites)
    print(text)
    if asked.page:
        asked.page.write_text(text)
    for line in table.wrong:
        print("  ".join(line), file=sys.stderr)
    unsaid = asked.sites >= ENOUGH and cover.missing()
    raise SystemExit(1 if table.wrong or unsaid or page.missing_rules(asked.rules) else 0)


if __name__ == "__main__":
    main()
