"""Writes the tables of docs/performance.md from the figures, each between its two markers."""
import re

import batch
import faults
from portfolio import ROOT

PAGE = ROOT / "docs/performance.md"
SERDE, EMPTY, OURS = "serde_json::Value", "an empty process", "curtilage check"
# The programs that are shown one file of 100,000 lines.
LARGE = {EMPTY, SERDE, OURS, "curtilage check, before", "jsonschema + regorus (Rust)", "ruff check", "tombi lint",
         "ty check", "tsc 7 (native)", "check-jsonschema, JSON"}
MIB = 1 << 20


def short(value):
    """Three figures that count, and no more digits than that."""
    if value is None:
        return "-"
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2 if abs(value) >= 1 else 3
    return f"{value:,.{digits}f}"


def three(values, factor=1):
    return " / ".join(short(value * factor) for value in values)


def table(head, rows):
    numbers = ["---"] + ["---:"] * (len(head) - 1)
    return "\n".join("| " + " | ".join(str(cell) for cell in row) + " |" for row in [head, numbers, *rows])


def shown(results, name):
    """A name in the table: ours stand out."""
    groups = {peer: group for peer, group, _ in results["peers"]}
    return f"**{name}**" if groups.get(name) == "ours" or name.startswith("curtilage serve") else name


def against_goals(results, check, serve):
    """What is wanted and what was measured of one build: (what, at most, measured or None, unit)."""
    out = []

    def get(*path):
        value = results
        for key in path:
            value = value[key] if isinstance(value, list | tuple) else value.get(key)
            if value is None or isinstance(value, str) or (isinstance(value, dict) and "why" in value):
                return None
        return value

    def row(what, goal, value, unit, factor=1):
        out.append((what, goal, None if value is None else value * factor, unit))

    def ratio(above, below):
        return None if above is None or below is None else above / below

    for part, goal, where in (("cpu", 1.2, "CPU time"), ("wall", 0.7, "wall time on two cores")):
        row(f"1,000 sites: {where}, as a multiple of `serde_json`", goal,
            ratio(get("sizes", check, "1000", part, 0), get("sizes", SERDE, "1000", part, 0)), "x")
    row("1,000 sites: peak memory a source byte", 5,
        ratio(get("sizes", check, "1000", "memory", 1), results["bytes"]["sites"]), "bytes")
    row("one file of 100,000 lines: peak memory a source byte", 5,
        ratio(get("large", check, "memory", 1), get("large", check, "bytes")), "bytes")
    one, empty = get("cold", check, "wall", 0), get("cold", EMPTY, "wall", 0)
    row("one site: longer than an empty process", 1.5, None if one is None or empty is None else one - empty, "ms", 1e3)
    row("one site: memory", 6, get("cold", check, "memory", 1), "MiB", 1 / MIB)
    row("growth from 10 to 1,000 sites, exponent", 1.02,
        batch.exponent(get("sizes", check) or {}, get("sizes", EMPTY) or {}), "")
    for lines, p50, p99 in ((5_000, 0.3, 1.0), (100_000, 1.0, 3.0)):
        for part, goal in (("p50", p50), ("p99", p99)):
            row(f"keystroke to findings at {lines:,} lines, {part}", goal,
                get("latencies", serve, str(lines), "keystroke", part), "ms", 1e3)
    row("completion at 5,000 lines, p50", 1.0, get("latencies", serve, "5000", "completion", "p50"), "ms", 1e3)
    row("edit of a part that 1,000 sites use: the open file, p50", 5, get("everybody", serve, "open", "p50"), "ms", 1e3)
    row("edit of a part that 1,000 sites use: all files, p50", 300, get("everybody", serve, "all", "p50"), "ms", 1e3)
    row("first scan of 1,000 files", 300, get("everybody", serve, "scan"), "ms", 1e3)
    row("memory of an idle server, an empty folder", 10, get("idle", serve, "empty", 0), "MiB", 1 / MIB)
    return out


def goals(results):
    now = against_goals(results, OURS, "curtilage serve")
    before = against_goals(results, OURS + ", before", "curtilage serve, before")
    rows = []
    for (what, goal, value, unit), (_, _, old, _) in zip(now, before):
        told = lambda figure: "not measured" if figure is None else f"{short(figure)} {unit}".strip()
        reached = "" if value is None else "yes" if value <= goal else "no"
        rows.append([what, f"at most {goal} {unit}".strip(), told(value), reached, told(old)])
    return table(["goal", "wanted", "measured", "reached", "before"], rows)


def sites(results):
    rows = []
    of_sizes = results.get("sizes", {})
    for name, _, notation in results["peers"]:
        if name in results["gone"]:
            rows.append([shown(results, name), results["gone"][name]] + [""] * 6)
            continue
        entry = of_sizes.get(name, {})
        done = [size for size in map(str, batch.SIZES) if "cpu" in entry.get(size, {})]
        if not done:
            why = next((one["why"] for one in entry.values() if "why" in one), "not measured")
            rows.append([shown(results, name), why] + [""] * 6)
            continue
        size = done[-1]
        figures, serde = entry[size], of_sizes[SERDE][size]
        source = results["bytes"][notation] * int(size) / batch.SIZES[-1]
        note = "" if size == str(batch.SIZES[-1]) else f" ({size} sites)"
        rows.append([shown(results, name) + note, short(int(size) / figures["wall"][0]), three(figures["cpu"]),
                     three(figures["wall"]), short(figures["cpu"][0] / serde["cpu"][0]),
                     short(figures["wall"][0] / serde["wall"][0]), short(figures["memory"][1] / MIB),
                     short(figures["memory"][1] / source)])
    head = ["1,000 sites", "sites a second", "CPU s, min / median / max", "wall s, min / median / max",
            "CPU, times `serde_json`", "wall, times `serde_json`", "peak MiB", "peak bytes a source byte"]
    return table(head, rows)


def one(results):
    rows = []
    cold, of_sizes = results.get("cold", {}), results.get("sizes", {})
    empty = cold.get(EMPTY, {}).get("wall", [0])[0]
    for name, _, _ in results["peers"]:
        entry = cold.get(name, {})
        if "wall" not in entry:
            rows.append([shown(results, name), results["gone"].get(name) or entry.get("why", "not measured"), "", "", ""])
            continue
        slope = None if name == EMPTY else batch.exponent(of_sizes.get(name, {}), of_sizes.get(EMPTY, {}))
        rows.append([shown(results, name), three(entry["wall"], 1e3), short(1e3 * (entry["wall"][0] - empty)),
                     short(entry["memory"][1] / MIB), short(slope)])
    head = ["one site", "wall ms, min / median / max", "ms more than an empty process", "peak MiB",
            "exponent, 10 to 1,000 sites"]
    return table(head, rows)


def notices(results):
    kinds = ["syntax", *faults.FAULTS]
    rows = []
    for name, found in results.get("notices", {}).items():
        if "two threads" in name or "one core" in name:
            continue
        if not found["clean"]:
            rows.append([shown(results, name), "refuses the clean site"] + [""] * (len(kinds) - 1))
            continue
        rows.append([shown(results, name)] + ["yes" if found[kind] else "-" for kind in kinds])
    return table(["notices", *kinds], rows)


def large(results):
    rows = []
    for name, entry in results.get("large", {}).items():
        if "why" in entry:
            rows.append([shown(results, name), entry["why"], "", "", ""])
            continue
        rows.append([shown(results, name), short(entry["bytes"] / 1e6), three(entry["cpu"]), three(entry["wall"]),
                     short(entry["memory"][1] / entry["bytes"])])
    head = ["one file of 100,000 lines", "megabytes", "CPU s, min / median / max", "wall s, min / median / max",
            "peak bytes a source byte"]
    return table(head, rows)


def instructions(results):
    found = results.get("instructions", {})
    if "why" in found:
        return found["why"]
    serde = found.get(SERDE, {}).get("20")
    rows = []
    for name, entry in found.items():
        first, twenty = entry.get("1"), entry.get("20")
        ratio = short(twenty / serde) if twenty and serde else "-"
        rows.append([shown(results, name), short(first and first / 1e6), short(twenty and twenty / 1e6), ratio])
    return table(["millions of instructions", "one site", "20 sites", "20 sites, times `serde_json`"], rows)


def editors(results):
    rows = []
    for name, of_lines in results.get("latencies", {}).items():
        for lines, entry in of_lines.items():
            if "keystroke" not in entry:
                rows.append([shown(results, name), f"{int(lines):,}", entry.get("why", "")] + [""] * 6)
                continue
            keys, words = entry["keystroke"], entry.get("completion")
            rows.append([shown(results, name), f"{entry['lines']:,}", short(1e3 * entry["open"]),
                         short(1e3 * keys["p50"]), short(1e3 * keys["p99"]), short(1e3 * entry["cpu"]),
                         f"{short(1e3 * words['p50'])} / {short(1e3 * words['p99'])}" if words else "-",
                         f"{entry['wrong']} of {keys['count']}",
                         short(entry["memory"][0] / MIB) if "memory" in entry else entry.get("why", "-")])
    floor = results.get("wire", {})
    head = ["server", "lines", "open ms", "keystroke p50 ms", "keystroke p99 ms", "CPU ms a keystroke",
            "completion p50 / p99 ms", "told wrong", "memory MiB"]
    note = f"\n\nBytes sent to a process that only sends them back: p50 {short(1e3 * floor['p50'])} ms." if floor else ""
    return table(head, rows) + note


def workspace(results):
    rows = []
    names = list(results.get("everybody", {})) or list(results.get("idle", {}))
    memory = lambda pair: f"{short(pair[0] / MIB)} / {short(pair[1] / MIB)}" if isinstance(pair, (list, tuple)) else str(pair)
    for name in names:
        idle, every = results.get("idle", {}).get(name, {}), results.get("everybody", {}).get(name, {})
        milli = lambda value: short(1e3 * value) if value is not None else every.get("why", "-")
        pair = lambda what: f"{milli(every[what]['p50'])} / {milli(every[what]['max'])}" if what in every else "-"
        rows.append([shown(results, name), memory(idle.get("empty")), memory(idle.get("one")), memory(idle.get("many")),
                     milli(every.get("scan")), pair("open"), pair("all")])
    head = ["server", "idle, empty folder: MiB resident / private", "one site open", "1,000 sites scanned",
            "first scan of 1,000 files ms", "shared part, open file p50 / max ms", "shared part, all files p50 / max ms"]
    return table(head, rows)


def machine(results):
    about = results["machine"]
    versions = ", ".join(f"{name} {version}" for name, version in about["versions"].items())
    return (f"Measured {about['date']} at commit `{about['commit']}` on {about['cores']} cores of {about['cpu']}, Linux "
            f"{about['system']}; load before the last step {about['load']:.1f}.\n\nVersions: {versions}.")


def planted(_):
    lines = [f"- *syntax*: {faults.SYNTAX}."]
    return "\n".join(lines + [f"- *{kind}*: {words}." for kind, (words, _) in faults.FAULTS.items()])


TABLES = {"goals": goals, "sites": sites, "one": one, "notices": notices, "planted": planted, "large": large,
          "instructions": instructions, "editors": editors, "workspace": workspace, "machine": machine}


def write(results):
    text = PAGE.read_text()
    for name, made in TABLES.items():
        between = re.compile(f"(<!-- {name} -->\n).*?(<!-- end -->)", re.DOTALL)
        if not between.search(text):
            raise SystemExit(f"{PAGE}: the markers of `{name}` are missing")
        text = between.sub(lambda found: found[1] + made(results) + "\n" + found[2], text)
    PAGE.write_text(text)
