"""Prints a table of coverage a crate, from what `llvm-cov export -summary-only` writes.

Files of tests and of dependencies are left out; a module of tests inside a file of the crate is
not, because LLVM counts by file.
"""

import collections
import json
import pathlib
import sys


def main():
    root = pathlib.Path(__file__).resolve().parents[2] / "crates"
    found = json.loads(pathlib.Path(sys.argv[1]).read_text())
    counts = collections.defaultdict(lambda: collections.Counter())
    for file in found["data"][0]["files"]:
        path = pathlib.Path(file["filename"])
        if not path.is_relative_to(root):
            continue
        crate, folder, *rest = path.relative_to(root).parts
        if folder != "src" or "tests" in rest[:1] or rest[-1] in ("tests.rs", "testing.rs"):
            continue
        for kind in ("lines", "functions", "regions"):
            counts[crate][kind] += file["summary"][kind]["count"]
            counts[crate][kind, "met"] += file["summary"][kind]["covered"]
    total = sum(counts.values(), collections.Counter())
    print("| crate | lines | of them reached | functions reached | regions reached |")
    print("|---|---:|---:|---:|---:|")
    for crate, count in [*sorted(counts.items()), ("all", total)]:
        share = [f"{100 * count[kind, 'met'] / max(count[kind], 1):.1f} %"
                 for kind in ("lines", "functions", "regions")]
        print(f"| {crate} | {count['lines']:,} | {' | '.join(share)} |")


if __name__ == "__main__":
    main()
