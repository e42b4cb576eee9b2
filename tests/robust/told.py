#!/usr/bin/env python3
"""What an editor knows of findings in the end is what a fresh one is told.

    python tests/robust/told.py BINARY --rounds 40 --seed 1

Each round begins a server on a folder of small sites and does what people and other programs do, in
bursts and without waiting for anything: files are opened, typed in, closed and saved, written, made
and deleted on disk, a part that all use comes and goes, another day is set, a folder is added and
taken away. Then the server comes to rest. What it has told last of each file has to be what a second
server tells that begins on the same folder with the same files open, and it may tell nothing before
it has answered `initialize` (LSP 3.17, "Initialize Request"). In every other round the editor watches
files for the server; otherwise it only tells of what it saves, and saves something in the end. In two
of four rounds it is not told but asks, naming the results that it has.
"""

import argparse
import random
import select
import tempfile
import time
from pathlib import Path

from lsp import Client, said

DAYS = ["2026-11-25", "2027-03-01"]
PARTS = ["reed", "pir", "mat"]
ODD = ["\n", "# a remark\n", "}\n", "zone\n", "\"\n", "schedule night is not day\n"]


def able(watches, asks):
    able = {
        "general": {"positionEncodings": ["utf-16"]},
        "workspace": {"configuration": True, "workspaceFolders": True,
                      "didChangeWatchedFiles": {"dynamicRegistration": watches}},
        "textDocument": {"publishDiagnostics": {"versionSupport": True}},
    }
    if asks:
        able["workspace"]["diagnostics"] = {"refreshSupport": True}
        able["textDocument"]["diagnostic"] = {"dynamicRegistration": False}
    return able


def parts(rng):
    return "".join(f"part {name} is sensor {{\n    rests   closed\n    active  until restored\n"
                   "    contact 0.5 A at 24 V dc resistive, 0.15 ohm\n}\n"
                   for name in PARTS if rng.random() < 0.8)


def site(rng):
    """A site with a few findings: some hang on the shared part, and one on the day."""
    lines = [f'use "parts.site"\n\nsite barn{rng.randrange(9)} "Barn" {{\n    timezone  Europe/Lisbon\n'
             "    ambient   0 to 35 degC\n}\n\nschedule day {\n    Mon to Fri  08:00 to 18:00\n}\n"]
    lines += [f"zone door{at} is {rng.choice(PARTS)} {{\n    armed  day\n}}\n" for at in range(rng.randrange(4))]
    if rng.random() < 0.5:
        lines.append('allow unused-name on day until 2026-12-31 because "it comes with the next phase"\n')
    lines += [rng.choice(ODD)] * (rng.random() < 0.3)
    return "".join(lines)


class Editor(Client):
    """Takes what it is told, or asks. What comes before `initialize` was answered is an offence."""

    def __init__(self, binary, folder, watches, asks, day):
        super().__init__([binary, "serve"], folder)
        self.told, self.results, self.open, self.early = {}, {}, {}, True
        self.asks, self.date = asks, day
        self.begin(able(watches, asks))
        self.early = False

    def _take(self, message):
        if message.get("method") == "textDocument/publishDiagnostics":
            assert not self.early, "it was told of findings before it was answered"
            assert not self.asks, "it was told of findings, and asks for them"
            self.told[message["params"]["uri"]] = said(message["params"]["diagnostics"])
        else:
            super()._take(message)

    def opens(self, name, text):
        version, _ = self.open.get(name, (0, ""))
        self.open[name] = (version + 1, text)
        self.tell("textDocument/didOpen", {"textDocument": {
            "uri": self.uri(name), "languageId": "curtilage", "version": version + 1, "text": text}})

    def types(self, name, start, end, text):
        """Replaces whole lines."""
        version, before = self.open[name]
        lines = before.splitlines(keepends=True)
        self.open[name] = (version + 1, "".join([*lines[:start], text, *lines[end:]]))
        place = {"start": {"line": start, "character": 0}, "end": {"line": end, "character": 0}}
        self.tell("textDocument/didChange", {
            "textDocument": {"uri": self.uri(name), "version": version + 1},
            "contentChanges": [{"range": place, "text": text}]})

    def rests(self):
        """Until nothing comes and no thread works."""
        self.ask("workspace/symbol", {"query": "no such name"})
        tasks = Path(f"/proc/{self.server.pid}/task")
        before, still = None, 0
        while still < 2:
            while self.buffer or select.select([self.server.stdout], [], [], 0.05)[0]:
                self._take(self._message(time.monotonic() + self.patience))
            now = sum(int(task.read_text().split()[0]) for task in tasks.glob("*/schedstat"))
            still = still + 1 if now == before else 0
            before = now
        if self.asks:
            self.looks()

    def looks(self):
        """Asks for all findings; what it has already is not sent again."""
        known = [{"uri": uri, "value": result} for uri, result in self.results.items()]
        for one in self.ask("workspace/diagnostic", {"previousResultIds": known})["items"]:
            uri = one["uri"]
            if one["kind"] == "full":
                self.told[uri] = said(one["items"])
            else:
                assert self.results.get(uri) == one["resultId"], f"it has another result of {uri}"
            self.results.pop(uri, None)
            if "resultId" in one:
                self.results[uri] = one["resultId"]


class Round:
    def __init__(self, binary, folder, rng, watches, asks):
        self.rng, self.folder, self.watches, self.asks = rng, folder, watches, asks
        self.names = [f"site{at}.site" for at in range(rng.randrange(1, 24))] + ["annex/site.site"]
        (folder / "annex").mkdir()
        (folder / "annex/parts.site").write_text(parts(rng))
        (folder / "workspace.site").write_text("")
        (folder / "parts.site").write_text(parts(rng))
        for name in self.names:
            (folder / name).write_text(site(rng))
        self.editor = Editor(binary, folder, watches, asks, rng.choice(DAYS))

    def changed(self, name, kind):
        if self.watches:
            self.editor.tell("workspace/didChangeWatchedFiles", {
                "changes": [{"uri": self.editor.uri(name), "type": kind}]})

    def on_disk(self, name, text):
        path = self.folder / name
        kind = 2 if path.exists() else 1
        path.write_text(text)
        self.changed(name, kind)

    def step(self):
        rng, editor = self.rng, self.editor
        name = rng.choice([*self.names, "parts.site"])
        text = parts(rng) if name == "parts.site" else site(rng)
        is_open, is_there = name in editor.open, (self.folder / name).exists()
        what = rng.choice(["open", "type", "type", "close", "save", "write", "delete", "day", "folder", "wait"])
        if what == "open" and not is_open:
            editor.opens(name, (self.folder / name).read_text() if is_there and rng.random() < 0.6 else text)
        elif what == "type" and is_open:
            lines = editor.open[name][1].count("\n")
            start = rng.randrange(lines + 1)
            end = min(lines, start + rng.randrange(3))
            editor.types(name, start, end, rng.choice(ODD + [text, ""]))
        elif what == "close" and is_open:
            del editor.open[name]
            editor.tell("textDocument/didClose", {"textDocument": {"uri": editor.uri(name)}})
        elif what == "save" and is_open:
            self.on_disk(name, editor.open[name][1])
            editor.tell("textDocument/didSave", {"textDocument": {"uri": editor.uri(name)}})
        elif what == "write":
            self.on_disk(name, text)
        elif what == "delete" and is_there and not is_open:
            (self.folder / name).unlink()
            self.changed(name, 3)
        elif what == "day":
            editor.date = rng.choice(DAYS)
            editor.tell("workspace/didChangeConfiguration", {"settings": None})
        elif what == "folder" and rng.random() < 0.3:
            folder = {"uri": editor.uri("annex"), "name": "annex"}
            for way in ("added", "removed"):
                editor.tell("workspace/didChangeWorkspaceFolders", {
                    "event": {"added": [], "removed": [], way: [folder]}})
        elif what == "wait":
            time.sleep(rng.random() * 0.01)

    def play(self, binary):
        for _ in range(self.rng.randrange(1, 5)):
            for _ in range(self.rng.randrange(0, 40)):
                self.step()
            if self.rng.random() < 0.5:
                self.editor.rests()
        if not self.watches:
            # It has not been told of what other programs did since the last save.
            self.editor.opens("last.site", site(self.rng))
            self.on_disk("last.site", self.editor.open["last.site"][1])
            self.editor.tell("textDocument/didSave", {"textDocument": {"uri": self.editor.uri("last.site")}})
        self.editor.rests()
        fresh = Editor(binary, self.folder, self.watches, self.asks, self.editor.date)
        for name, (_, text) in self.editor.open.items():
            fresh.opens(name, text)
        fresh.rests()
        for uri in sorted(self.editor.told.keys() | fresh.told.keys()):
            kept, wanted = self.editor.told.get(uri, []), fresh.told.get(uri, [])
            assert kept == wanted, f"of {uri} it knows {kept}, and a fresh one {wanted}"
        for client in (self.editor, fresh):
            code, words = client.finish()
            assert code == 0 and not words.strip(), (code, words)
        return sum(map(bool, fresh.told.values()))


def main():
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("binary", type=Path)
    parse.add_argument("--rounds", type=int, default=40)
    parse.add_argument("--seed", type=int, default=1)
    asked = parse.parse_args()
    asked.binary = asked.binary.resolve()
    files = 0
    for number in range(asked.rounds):
        rng = random.Random(f"{asked.seed}:{number}")
        with tempfile.TemporaryDirectory() as folder:
            try:
                one = Round(asked.binary, Path(folder).resolve(), rng, number % 2 == 0, number % 4 > 1)
                files += one.play(asked.binary)
            except AssertionError as error:
                raise SystemExit(f"round {number} of seed {asked.seed}: {error}") from None
    assert files > asked.rounds, f"{files} files with findings in {asked.rounds} rounds are no test"
    print(f"{asked.rounds} rounds, {files} files with findings: all as a fresh server tells them")


if __name__ == "__main__":
    main()
