"""Whether the clean sites say everything that the language can say, by the tables of its reference."""
import collections
import pathlib
import re

REFERENCE = pathlib.Path(__file__).resolve().parents[2] / "docs/language.md"
BLOCKS = {"recording": "a recording plan", "measured": "readings", "output": "an output"}


class Cover:
    """Counts statements, and the words of each statement's notation."""

    def __init__(self):
        self.rows = {}
        text = REFERENCE.read_text()
        for block, table in re.findall(r"<!-- vocabulary:(.*?) -->\n(.*?)<!-- /vocabulary -->", text, re.S):
            for notation in re.findall(r"^\| `(.*?)` \|", table, re.M):
                bare = re.sub(r'"[^"]*"', "", notation.replace("\\|", "|"))
                first = bare.split()[0]
                key = block, first if first.islower() else "*"
                words = set(re.findall(r"(?<![\w-])[a-z][a-z-]*", bare))
                self.rows.setdefault(key, set()).update(words)
        self.said = collections.Counter()
        self.words = collections.defaultdict(set)

    def count(self, site):
        for path in site.uses:
            self.see("a file", f'use "{path}"')
        for item in site.items:
            self.see("a file", item.head)
            block = BLOCKS.get(item.kind, f"a {item.kind}")
            if item.kind == "part":
                block = f"a {item.part_kind} part"
            if item.kind == "schedule" and not item.lines:
                self.words["a file", "schedule"].add("is")
            for line in item.lines:
                self.see(block, line)

    def see(self, block, line):
        first = line.split()[0]
        key = (block, first) if (block, first) in self.rows else (block, "*")
        self.said[key] += 1
        bare = re.sub(r'"(\\.|[^"])*"', "", line)
        self.words[key] |= set(re.findall(r"(?<![\w-])[a-z][a-z-]*(?![\w-])", bare))

    def missing(self):
        out = [f"{block}: {first}" for block, first in self.rows if not self.said[block, first]]
        for key, words in self.rows.items():
            if self.said[key]:
                out += [f"{key[0]}: {key[1]} ... {word}" for word in sorted(words - self.words[key])]
        return out
