"""The page that tells what came of a run."""
from hides import BY_THE_LINE, ELSEWHERE, FROM_ABSENCE, HIDES, UNCLEAR, WARM
from plant import PLANTERS


def page(table, cover, asked, cases, sites):
    command = (f"tests/faults/run.py BINARY --sites {asked.sites} --faults {asked.faults} "
               f"--combinations {asked.combinations} --seed {asked.seed} --page docs/faults.md")
    out = [f"<!-- Made by `{command}`; do not edit. -->", "# Planted faults, and what is found of them", "",
           "Clean random sites are made of everything that the language can say. Then one fault is planted: just",
           "beyond a limit or far beyond it, and, as a twin, just within it, where nothing may be told. Which is",
           "which is worked out beside the planter, from the definitions and not from the code.", "",
           f"- seed {asked.seed}, date {asked.date}: {sites} clean sites, {cases} folders in all",
           f"- statements of the language that no clean site says: {', '.join(cover.missing()) or 'none'}",
           f"- findings on clean sites: {table.clean_alarms}", ""]
    out += ["| rule | planted | found | near misses | silent | in combinations | found | hidden | told and not planted | may come along |",
            "|---|---|---|---|---|---|---|---|---|---|"]
    for rule in sorted(PLANTERS):
        along = "; ".join(f"`{name}`: {why}" for name, why in sorted(table.along[rule].items()))
        out.append(f"| `{rule}` | {table.planted[rule]} | {table.found[rule]} | {table.misses[rule]} | {table.silent[rule]} "
                   f"| {table.combined[rule]} | {table.combined_found[rule]} | {table.hidden[rule]} | {table.alarms[rule]} | {along} |")
    total = [sum(one.values()) for one in (table.planted, table.found, table.misses, table.silent, table.combined,
                                           table.combined_found, table.hidden, table.alarms)]
    out.append(f"| **all** | {' | '.join(map(str, total))} | |")
    out += ["", "Hidden are faults that another one of the same site hides by its nature:", ""]
    groups = {}
    for rule, (by, why) in sorted(HIDES.items()):
        groups.setdefault((tuple(sorted(by)), why), []).append(rule)
    for (by, why), rules in groups.items():
        out.append(f"- {', '.join(f'`{one}`' for one in rules)}, by {', '.join(f'`{one}`' for one in by)}: {why}.")
    out.append(f"- {', '.join(f'`{one}`' for one in sorted(FROM_ABSENCE))}, by {', '.join(f'`{one}`' for one in sorted(UNCLEAR))} "
               "in the same item, or in a line that names it: what is not there may be what that line was to say.")
    out.append(f"- {', '.join(f'`{one}`' for one in sorted(BY_THE_LINE))}, by the same in a line that says the name, or names "
               "the thing: what is written there may be meant otherwise.")
    for rule, kinds in sorted(ELSEWHERE.items()):
        out.append(f"- `{rule}`, by the same in any item of these kinds: {', '.join(sorted(kinds))}.")
    out.append(f"- {', '.join(f'`{one}`' for one in sorted(WARM))}, by a site whose `ambient` is not known: without "
               "it no resistance of a cable and no capacity of a battery is known.")
    lacking = missing_rules(asked.rules)
    out += ["", f"Rules without a planter: {', '.join(lacking) or 'none'}."]
    return "\n".join(out) + "\n"


def missing_rules(rules):
    return sorted({one["rule"] for one in rules} - set(PLANTERS))
