#!/usr/bin/env python3
"""Works with the language server for a while, as a person does, and watches its memory.

    python tests/robust/soak.py BINARY --seconds 1800 --csv docs/soak.csv --svg docs/soak.svg
    python tests/robust/soak.py BINARY --rounds 9 --steps 450

One client edits (breaking and repairing), completes, hovers, pulls diagnostics, takes semantic
tokens and their deltas, opens and closes files, edits the shared parts, and changes files on disk.
Once a second the resident and the private memory of the server are read from
`/proc/PID/smaps_rollup`. At the end everything is as it was at the beginning, and the server has to
tell of the workspace what a fresh server tells.

Whether memory is flat: the first quarter is warming up. The rest is cut into twelve blocks. Inside each
the median of the slopes between all pairs of samples (Theil and Sen) is taken, and the median of the
twelve says how much memory grows: over all that is judged at most 4 %, and half a MiB in any case, for
pages come and go. A step in one block is no slope: what an allocator has once needed it keeps. So that
no stairs pass for a level, the last block may besides be 30 % above the first at most (and 4 MiB in any
case), each by its median.

A minute is too short for that: how much memory is in use hangs on what was done last, and on what else
the machine does. `--rounds` does the same work over and over instead, puts everything right after each
round, waits until the server rests, and takes the memory then. The first two rounds are warming up. What
somebody keeps of each round makes the memory rise in most of the others, and from the first of them to the
last; what an allocator keeps of a larger moment makes a stair, which is not in most of them. Memory grows
when the median of the steps from round to round, over all that is judged, and the way from the lowest of
the first half to the lowest of the second are both above 10 % (and 2 MiB in any case).

`--leak` leaves a new unsaved file open at every tenth step: what nobody lets go of. The judge has to
say no.
"""

import argparse
import json
import random
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from lsp import Client, Gone, said

ROOT = Path(__file__).resolve().parents[2]
BLOCKS = 12
MOST_STEPS = 1_000_000


class Workspace:
    """Sites of one workspace, and what an editor holds of them."""

    def __init__(self, folder, sites, seed):
        self.folder = folder
        subprocess.run([sys.executable, ROOT / "tests/bench/portfolio.py", str(sites), folder,
                        "--seed", str(seed)], check=True)
        self.sites = folder / "sites"
        shutil.copytree(ROOT / "examples/faulty", self.sites / "faulty")
        shutil.copytree(ROOT / "examples/parts", self.sites / "parts")
        self.names = sorted(path.relative_to(self.sites).as_posix()
                            for path in self.sites.rglob("*.site") if path.stat().st_size > 200)
        self.disk = {name: (self.sites / name).read_text() for name in self.names}


class Editor:
    """One person at work. Every step is small; what is broken is repaired later."""

    def __init__(self, client, workspace, rng, leak):
        self.client, self.workspace, self.rng, self.leak = client, workspace, rng, leak
        self.open = {}      # name: lines
        self.version = 0
        self.undo = {}      # name: edits that put things right, the last one first
        self.results = {}   # name: id of the last diagnostics
        self.tokens = {}    # name: id of the last tokens
        self.changed = set()
        self.steps = 0
        self.count = {}
        self.scratch = False

    def at(self, name):
        return {"textDocument": {"uri": self.client.uri(name)}}

    def spot(self, name):
        lines = self.open[name]
        line = self.rng.randrange(len(lines))
        return line, self.rng.randrange(len(lines[line]) + 1)

    def position(self, name):
        line, column = self.spot(name)
        return self.at(name) | {"position": {"line": line, "character": column}}

    def some(self):
        if not self.open or (len(self.open) < 6 and self.rng.random() < 0.02):
            there = [name for name in self.workspace.names if (self.workspace.sites / name).exists()]
            self.open_one(self.rng.choice(there))
        return self.rng.choice(sorted(self.open))

    # What a step can be.

    def open_one(self, name):
        if name in self.open:
            return
        text = (self.workspace.sites / name).read_text()
        self.open[name] = text.split("\n")
        self.version += 1
        self.client.tell("textDocument/didOpen", {"textDocument": {
            "uri": self.client.uri(name), "languageId": "curtilage", "version": self.version, "text": text}})

    def close(self):
        name = self.some()
        self.repair(name)
        self.client.tell("textDocument/didClose", self.at(name))
        for known in (self.open, self.undo, self.results, self.tokens):
            known.pop(name, None)

    def replace(self, name, line, start, end, text):
        """Puts text in the place of a piece of one line; gives what puts it right again."""
        lines = self.open[name]
        old = lines[line][start:end]
        lines[line] = lines[line][:start] + text + lines[line][end:]
        self.version += 1
        self.client.tell("textDocument/didChange", {
            "textDocument": {"uri": self.client.uri(name), "version": self.version},
            "contentChanges": [{"range": {"start": {"line": line, "character": start},
                                          "end": {"line": line, "character": end}}, "text": text}]})
        return line, start, start + len(text), old

    def edit(self):
        name = self.some()
        undo = self.undo.setdefault(name, [])
        if len(undo) > 12:
            return self.repair(name)
        line, column = self.spot(name)
        width = len(self.open[name][line])
        kind = self.rng.randrange(4)
        if kind == 0:      # a word, letter by letter
            for letter in self.rng.choice(["zone", " over 2 m", "}", '"', "# so", "{", "12 kohm"]):
                undo.append(self.replace(name, line, column, column, letter))
                column += 1
        elif kind == 1:    # a piece gone
            undo.append(self.replace(name, line, column, min(width, column + 8), ""))
        elif kind == 2:    # a line gone
            undo.append(self.replace(name, line, 0, width, ""))
        else:              # another number
            digits = [at for at, sign in enumerate(self.open[name][line]) if sign.isdigit()]
            for at in digits[:1]:
                undo.append(self.replace(name, line, at, at + 1, str(self.rng.randrange(10))))
        self.diagnostics(name)

    def repair(self, name=None):
        name = name or self.some()
        undo = self.undo.pop(name, [])
        while undo:
            self.replace(name, *undo.pop())
        self.diagnostics(name)

    def diagnostics(self, name=None):
        name = name or self.some()
        told = self.client.ask("textDocument/diagnostic",
                               self.at(name) | {"previousResultId": self.results.get(name)})
        if told.get("resultId"):
            self.results[name] = told["resultId"]

    def all_diagnostics(self):
        self.client.ask("workspace/diagnostic", {"previousResultIds": [
            {"uri": self.client.uri(name), "value": value} for name, value in self.results.items()]})

    def semantic(self):
        name = self.some()
        if name in self.tokens:
            told = self.client.ask("textDocument/semanticTokens/full/delta",
                                   self.at(name) | {"previousResultId": self.tokens[name]})
        else:
            told = self.client.ask("textDocument/semanticTokens/full", self.at(name))
        self.tokens[name] = told["resultId"]

    def reading(self):
        name = self.some()
        whole = {"start": {"line": 0, "character": 0}, "end": {"line": len(self.open[name]), "character": 0}}
        kind = self.rng.randrange(7)
        if kind == 0:
            self.client.ask("textDocument/inlayHint", self.at(name) | {"range": whole})
        elif kind == 1:
            self.client.ask("textDocument/codeLens", self.at(name))
        elif kind == 2:
            self.client.ask("textDocument/documentSymbol", self.at(name))
        elif kind == 3:
            self.client.ask("textDocument/foldingRange", self.at(name))
        elif kind == 4:
            self.client.ask("textDocument/codeAction",
                            self.at(name) | {"range": whole, "context": {"diagnostics": []}})
        elif kind == 5:
            self.client.ask("textDocument/formatting",
                            self.at(name) | {"options": {"tabSize": 4, "insertSpaces": True}})
        else:
            self.client.ask("workspace/symbol", {"query": self.rng.choice(["zone", "siren", "panel"])})

    def pointing(self):
        asked = self.rng.choice(["hover", "definition", "documentHighlight", "signatureHelp", "references",
                                 "prepareRename"])
        params = self.position(self.some())
        if asked == "references":
            params["context"] = {"includeDeclaration": True}
        self.client.ask(f"textDocument/{asked}", params)

    def completion(self):
        self.client.ask("textDocument/completion", self.position(self.some()))

    def taken_back(self):
        """A request that the client no longer wants."""
        params = self.position(self.some())
        self.client.next += 1
        number = self.client.next
        self.client._send({"jsonrpc": "2.0", "id": number, "method": "textDocument/hover", "params": params})
        self.client.tell("$/cancelRequest", {"id": number})
        self.client.answer(number)

    def shared(self):
        """A figure of the shared parts is changed, looked at from a site, and put right."""
        self.open_one("parts.site")
        line = next(at for at, text in enumerate(self.open["parts.site"]) if any(map(str.isdigit, text)))
        column = next(at for at, sign in enumerate(self.open["parts.site"][line]) if sign.isdigit())
        back = self.replace("parts.site", line, column, column + 1, str(self.rng.randrange(10)))
        self.diagnostics()
        self.replace("parts.site", *back)
        self.diagnostics()

    def on_disk(self):
        """A file that is not open changes on disk: other text, gone, back again, or a new one."""
        name = self.rng.choice([name for name in self.workspace.names if name not in self.open])
        path = self.workspace.sites / name
        if name in self.changed:
            kind = 2 if path.exists() else 1
            path.write_text(self.workspace.disk[name])
            self.changed.discard(name)
        else:
            kind = 3 if self.rng.random() < 0.3 and name != "parts.site" else 2
            self.changed.add(name)
            if kind == 3:
                path.unlink()
            else:
                path.write_text(self.workspace.disk[name] + f"\nschedule extra-{self.rng.randrange(9)} {{\n}}\n")
        new = self.workspace.sites / "new.site"
        events = [{"uri": self.client.uri(name), "type": kind}]
        if self.scratch:
            new.unlink()
        else:
            new.write_text('use "parts.site"\nschedule open {\n    Mon  08:00 to 17:00\n}\n')
        events.append({"uri": self.client.uri("new.site"), "type": 3 if self.scratch else 1})
        self.scratch = not self.scratch
        self.client.tell("workspace/didChangeWatchedFiles", {"changes": events})

    def put_right(self):
        """Everything is as it was."""
        for name in sorted(self.open):
            self.repair(name)
            self.client.tell("textDocument/didClose", self.at(name))
        for known in (self.open, self.undo, self.results, self.tokens):
            known.clear()
        events = []
        for name in sorted(self.changed):
            path = self.workspace.sites / name
            events.append({"uri": self.client.uri(name), "type": 2 if path.exists() else 1})
            path.write_text(self.workspace.disk[name])
        self.changed.clear()
        if self.scratch:
            self.scratch = False
            (self.workspace.sites / "new.site").unlink()
            events.append({"uri": self.client.uri("new.site"), "type": 3})
        self.client.tell("workspace/didChangeWatchedFiles", {"changes": events})

    MIX = [(30, edit), (10, repair), (14, completion), (14, pointing), (8, diagnostics), (8, semantic),
           (8, reading), (2, taken_back), (2, shared), (2, on_disk), (2, close), (1, all_diagnostics)]

    def step(self):
        self.steps += 1
        weights, kinds = zip(*self.MIX)
        kind = self.rng.choices(kinds, weights)[0]
        name = kind.__name__
        self.count[name] = self.count.get(name, 0) + 1
        kind(self)
        if self.leak and self.steps % 10 == 0:
            # Nobody ever closes it.
            name = f"unsaved-{self.steps}.site"
            self.version += 1
            self.client.tell("textDocument/didOpen", {"textDocument": {
                "uri": self.client.uri(name), "languageId": "curtilage", "version": self.version,
                "text": self.workspace.disk[self.workspace.names[-1]]}})
            self.client.ask("textDocument/diagnostic", self.at(name))


def memory(pid):
    """Resident and private memory in KiB, threads and open files."""
    rss = private = 0
    for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
        if line.startswith("Rss:"):
            rss = int(line.split()[1])
        elif line.startswith(("Private_Clean:", "Private_Dirty:")):
            private += int(line.split()[1])
    status = Path(f"/proc/{pid}/status").read_text()
    threads = int(next(line for line in status.splitlines() if line.startswith("Threads:")).split()[1])
    return rss, private, threads, len(list(Path(f"/proc/{pid}/fd").iterdir()))


def at_rest(client):
    """The private memory in KiB once nothing is to be done: the same in three readings."""
    findings(client)
    read = []
    while len(read) < 100 and (len(read) < 3 or len(set(read[-3:])) > 1):
        time.sleep(0.1)
        read.append(memory(client.server.pid)[1])
    return read[-1]


def judge_rounds(rests):
    """Whether memory stays, by what was held after each round, in KiB, and what is said of it."""
    part = rests[2:]
    assert len(part) >= 6, f"{len(rests)} rounds are too few to judge by"
    bound = max(0.1 * statistics.median(part), 2048)
    half = len(part) // 2
    growth = statistics.median(b - a for a, b in zip(part, part[1:])) * (len(part) - 1)
    rise = min(part[-half:]) - min(part[:half])
    words = (f"after each round {', '.join(f'{rest / 1024:.1f}' for rest in rests)} MiB; "
             f"the rounds after the second give {growth:+.0f} KiB, their ends {rise:+.0f} KiB (bound {bound:.0f})")
    return growth <= bound or rise <= bound, words


def judge(samples):
    """What the judged part shows, in KiB: growth by the slope, its bound, growth from the first block to
    the last, its bound, and the median."""
    start = samples[-1][0] / 4
    part = [(when, private) for when, _, _, private, *_ in samples if when >= start]
    # A machine that stands still now and then gives fewer samples.
    count = min(BLOCKS, len(part) // 3)
    assert count >= 2, f"{len(part)} samples are too few to judge by"
    size = len(part) / count
    blocks = [part[int(at * size):int((at + 1) * size)] for at in range(count)]
    slopes = []
    for block in blocks:
        pairs = [(b[1] - a[1]) / (b[0] - a[0]) for at, a in enumerate(block) for b in block[at + 1:]
                 if b[0] > a[0]]
        slopes += [statistics.median(pairs)] if pairs else []
    growth = statistics.median(slopes) * (part[-1][0] - part[0][0])
    first, last = (statistics.median(private for _, private in block) for block in (blocks[0], blocks[-1]))
    median = statistics.median(private for _, private in part)
    return growth, max(0.04 * median, 512), last - first, max(0.3 * first, 4096), median


def drawing(samples, words):
    """The graph, in colours that hold on white and on black."""
    width, height, left, right, top, bottom = 860, 330, 62, 20, 58, 44
    last = samples[-1][0]
    most = max(sample[2] for sample in samples) / 1024
    step = next(step for step in (1, 2, 5, 10, 20, 50, 100, 200, 500) if most / step <= 6)
    high = step * (int(most / step) + 1)

    def x(when):
        return left + (width - left - right) * when / last

    def y(mib):
        return height - bottom - (height - top - bottom) * mib / high

    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
           f'aria-label="Memory of the language server over time: {words}" font-family="sans-serif" font-size="13">',
           "<!-- made by tests/robust/soak.py -->",
           f'<rect width="{width}" height="{height}" fill="#fff"/>',
           f'<text x="{left}" y="22" fill="#222" font-size="15">Memory of the language server at work</text>',
           f'<text x="{left}" y="42" fill="#555">{words}</text>']
    for line in range(0, high + 1, step):
        out.append(f'<path d="M{left} {y(line):.1f}H{width - right}" stroke="#ddd"/>'
                   f'<text x="{left - 8}" y="{y(line) + 4:.1f}" fill="#555" text-anchor="end">{line} MiB</text>')
    tick = next(tick for tick in (10, 30, 60, 300, 600, 1800) if last / tick <= 8)
    for when in range(0, int(last) + 1, tick):
        label = f"{when // 60} min" if tick >= 60 else f"{when} s"
        out.append(f'<path d="M{x(when):.1f} {height - bottom}v5" stroke="#555"/>'
                   f'<text x="{x(when):.1f}" y="{height - bottom + 20}" fill="#555" text-anchor="middle">{label}</text>')
    out.append(f'<rect x="{left}" y="{top}" width="{x(last / 4) - left:.1f}" height="{height - top - bottom}" '
               f'fill="#000" fill-opacity="0.05"/>'
               f'<text x="{left + 8}" y="{height - bottom - 8}" fill="#555">warming up</text>')
    for column, colour, name, at in ((2, "#0b6e99", "resident", 0), (3, "#b3541e", "private", 110)):
        every = max(1, len(samples) // 900)
        points = " ".join(f"{x(sample[0]):.1f},{y(sample[column] / 1024):.1f}" for sample in samples[::every])
        out.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="1.5"/>')
        out.append(f'<path d="M{width - 230 + at} 18h18" stroke="{colour}" stroke-width="3"/>'
                   f'<text x="{width - 206 + at}" y="22" fill="#222">{name}</text>')
    return "\n".join([*out, "</svg>", ""])


def findings(client):
    """What a server tells of the whole workspace, by file."""
    told = client.ask("workspace/diagnostic", {"previousResultIds": []})
    return {one["uri"]: said(one["items"]) for one in told["items"]}


def same_as_fresh(client, binary, folder):
    """A server that has worked tells what a fresh one tells, at the latest when it has asked to be
    asked again."""
    fresh = Client([binary, "serve"], folder, patience=300)
    fresh.begin()
    wanted = settled(fresh, lambda told: sum(map(len, told.values())) > 20)
    fresh.finish()
    kept = settled(client, lambda told: told == wanted)
    other = sorted(uri for uri in kept.keys() | wanted.keys() if kept.get(uri) != wanted.get(uri))
    assert not other, (f"after all this the server does not tell what a fresh one tells of {other[0]}:"
                       f" {kept.get(other[0])} instead of {wanted.get(other[0])}")


def settled(client, enough):
    """What is told in the end: it is asked for again only when the server wants it so."""
    while not enough(told := findings(client)):
        try:
            client.note("workspace/diagnostic/refresh", patience=20)
        except Gone:
            break
    return told


HEAD = "seconds,steps,resident_kib,private_kib,threads,files"


def told(samples):
    """Whether memory is flat, and what is said of it."""
    growth, bound, rise, most, median = judge(samples)
    words = (f"{samples[-1][1]:,} steps in {samples[-1][0] / 60:.0f} min; private memory {median / 1024:.1f} MiB; "
             f"over the last three quarters the slope gives {growth:+.0f} KiB, the ends {rise:+.0f} KiB")
    print(f"{words} (bounds {bound:.0f} and {most:.0f})")
    return growth <= bound and rise <= most, words


def watched(client, editor, seconds, pace):
    """Steps at a pace a second for so long: what memory was, once a second."""
    samples = []
    begin = time.monotonic()
    while editor.steps < MOST_STEPS and (now := time.monotonic() - begin) < seconds:
        if not samples or int(now) > int(samples[-1][0]):
            samples.append((now, editor.steps, *memory(client.server.pid)))
        editor.step()
        time.sleep(max(0, begin + editor.steps / pace - time.monotonic()))
    return samples


def main():
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("binary", type=Path, help="the program, or with --again nothing that is looked at")
    parse.add_argument("--again", type=Path, help="judge and draw the samples of an earlier run")
    parse.add_argument("--seconds", type=float, default=60)
    parse.add_argument("--rounds", type=int, help="the same steps so often, and no look at the clock; nothing is drawn")
    parse.add_argument("--steps", type=int, default=450, help="steps of a round")
    parse.add_argument("--pace", type=float, default=40, help="steps a second")
    parse.add_argument("--sites", type=int, default=24)
    parse.add_argument("--seed", type=int, default=1)
    parse.add_argument("--csv", type=Path)
    parse.add_argument("--svg", type=Path)
    parse.add_argument("--leak", action="store_true")
    asked = parse.parse_args()
    binary = asked.binary.resolve()
    if asked.again:
        rows = [line.split(",") for line in asked.again.read_text().splitlines()[1:]]
        flat, words = told([(float(row[0]), *map(int, row[1:])) for row in rows])
        if asked.svg:
            asked.svg.write_text(drawing([(float(row[0]), *map(int, row[1:])) for row in rows], words))
        assert flat, "memory grows"
        return

    with tempfile.TemporaryDirectory() as folder:
        workspace = Workspace(Path(folder), asked.sites, asked.seed)
        client = Client([binary, "serve"], workspace.sites, patience=300)
        client.begin()
        editor = Editor(client, workspace, random.Random(asked.seed), asked.leak)
        samples, rests = [], []
        if asked.rounds:
            for _ in range(asked.rounds):
                editor.rng.seed(asked.seed)
                for _ in range(asked.steps):
                    editor.step()
                editor.put_right()
                rests.append(at_rest(client))
        else:
            samples = watched(client, editor, asked.seconds, asked.pace)
            editor.put_right()
        if not asked.leak:
            same_as_fresh(client, binary, workspace.sites)
        code, complaint = client.finish()
        assert code == 0, (code, complaint)
        assert not complaint.strip(), f"the server complained: {complaint}"

    mix = ", ".join(f"{count} {name}" for name, count in sorted(editor.count.items(), key=lambda one: -one[1]))
    if asked.rounds:
        flat, words = judge_rounds(rests)
        print(f"{editor.steps:,} steps: {words}\n{mix}")
    else:
        flat, words = told(samples)
        print(f"{mix}; at most {max(sample[4] for sample in samples)} threads,"
              f" {max(sample[5] for sample in samples)} open files")
        if asked.csv:
            rows = [HEAD] + [",".join([f"{sample[0]:.1f}", *map(str, sample[1:])]) for sample in samples]
            asked.csv.write_text("\n".join(rows) + "\n")
        if asked.svg:
            asked.svg.write_text(drawing(samples, words))
    if asked.leak:
        assert not flat, "a server that is made to keep everything was taken for flat"
        print("a server that is made to keep everything is told from a flat one")
    else:
        assert flat, "memory grows"


main()
