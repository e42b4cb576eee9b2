"""What an editor waits for: keystrokes, completion, a first scan, a part that everybody uses; and the memory."""
import re
import shutil
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path

import portfolio
from client import Client, Gone
from twins import NOTATIONS

PLACES = 100
SECONDS = 12.0
LINES = (5_000, 100_000)
SITES = 1000
DATE = {"date": "2026-11-25"}


@dataclass
class Server:
    """One server. `needle` stands before a figure: a letter typed there makes a finding, a digit none."""
    name: str
    command: list
    notation: str
    language: str
    needle: str
    beside: tuple = ()
    completes: bool = True


def servers(cache, ours, before):
    python = cache / "python/bin"
    out = [Server("curtilage serve", [ours, "serve"], "sites", "curtilage", "    lockout    ")]
    if before:
        out.append(Server("curtilage serve, before", [before, "serve"], "sites", "curtilage", "    lockout    "))
    out += [
        Server("ruff server", [python / "ruff", "server"], "python", "python", '"lockout": ', ("site_type.py",), False),
        Server("ty server", [python / "ty", "server"], "python", "python", '"lockout": ', ("site_type.py",)),
        Server("tombi lsp", [python / "tombi", "lsp", "--offline"], "toml", "toml", "lockout = ",
               ("site.schema.json", "tombi.toml")),
    ]
    return out


def percentiles(seconds):
    ordered = sorted(seconds)
    at = lambda part: ordered[min(len(ordered) - 1, round(part * (len(ordered) - 1)))]
    return {"count": len(ordered), "min": ordered[0], "p50": at(0.5), "p99": at(0.99), "max": ordered[-1]}


def text_of(server, lines):
    """One site of about that many lines, in the notation of the server."""
    def made(scale):
        facts = portfolio.site(1, 1, scale)
        return portfolio.text(facts, scale) if server.notation == "sites" else NOTATIONS[server.notation][1](facts)
    return made(max(1, round(lines / made(1).count("\n"))))


def folder_for(cache, server, rules):
    """A new folder with what has to stand beside the file."""
    folder = cache / "open" / server.name.replace(" ", "-").replace(",", "")
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    if server.notation == "sites":
        (folder / "workspace.site").write_text("")
        shutil.copy(portfolio.ROOT / "examples/parts/general.site", folder / "parts.site")
    for name in server.beside:
        shutil.copy(rules / name, folder / name)
    return folder


def keystrokes(cache, server, rules, lines):
    """One letter that makes a finding and its removal, one digit that makes none and its removal, all over the
    file; then completion right behind a letter."""
    if not Path(server.command[0]).exists():
        return {"why": "not installed"}
    text = text_of(server, lines)
    ending = "site" if server.notation == "sites" else NOTATIONS[server.notation][0]
    name = f"site_00001.{ending}"
    folder = folder_for(cache, server, rules)
    (folder / name).write_text(text)
    found = [(number, line.index(server.needle) + len(server.needle))
             for number, line in enumerate(text.split("\n")) if server.needle in line]
    places = [found[step * len(found) // PLACES] for step in range(PLACES)]
    client = Client(server.command, folder, DATE if server.notation == "sites" else {})
    out = {"lines": text.count("\n"), "bytes": len(text.encode())}
    try:
        client.begin()
        start = time.perf_counter()
        at, first = client.open(name, text, server.language)
        out["open"] = at - start
        clean = len(first["params"]["diagnostics"])
        version, keys, completions = 1, [], []

        def stroke(line, begin, end, letter):
            nonlocal version
            version += 1
            frame, wanted = client.change(name, version, line, begin, end, letter), client.told(name, version)
            start = time.perf_counter()
            client.write(frame)
            at, told = client.wait(wanted)
            keys.append(at - start)
            return len(told["params"]["diagnostics"])

        stroke(*places[0], places[0][1], "x")
        stroke(*places[0], places[0][1] + 1, "")
        keys.clear()
        cpu, end, wrong = client.cpu(), time.perf_counter() + SECONDS, 0
        for line, column in places:
            for letter in ("x", "1"):
                more = stroke(line, column, column, letter)
                back = stroke(line, column, column + 1, "")
                wrong += (letter == "x" and more <= clean) + (back != clean)
            if time.perf_counter() > end:
                break
        out["cpu"] = (client.cpu() - cpu) / len(keys)
        out["keystroke"] = percentiles(keys)
        # Findings of an older version, told under the newer one's number, would show here.
        out["wrong"] = wrong
        end = time.perf_counter() + SECONDS / 3
        for line, column in places if server.completes else []:
            version += 1
            frame = client.change(name, version, line, column, column, "x")
            place = {"line": line, "character": column + 1}
            start = time.perf_counter()
            client.write(frame)
            at, _ = client.request("textDocument/completion",
                                   {"textDocument": {"uri": client.uri(name)}, "position": place})
            completions.append(at - start)
            version += 1
            client.write(client.change(name, version, line, column, column + 1, ""))
            client.wait(client.told(name, version))
            if time.perf_counter() > end:
                break
        if completions:
            out["completion"] = percentiles(completions)
        out["memory"] = client.memory()
    except Gone as gone:
        out["why"] = str(gone)
    finally:
        client.end()
    return out


def wire():
    """The floor: the time of one edit's bytes to a process that sends them back."""
    process = subprocess.Popen(["cat"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0)
    message, times = b"x" * 300, []
    for _ in range(500):
        start = time.perf_counter()
        process.stdin.write(message)
        process.stdout.read(4096)
        times.append(time.perf_counter() - start)
    process.stdin.close()
    process.wait()
    return percentiles(times[100:])


def idle(cache, server):
    """What the server holds when nobody types: in an empty folder, with one site open, with 1,000 sites scanned."""
    out = {}
    for name, sites, opened in (("empty", 0, False), ("one", 1, True), ("many", SITES, False)):
        folder = many(cache, sites, heavy=False)
        client = Client(server.command, folder, DATE)
        try:
            client.begin()
            if opened:
                client.open("site_00001.site", (folder / "site_00001.site").read_text(), "curtilage")
            client.settle()
            out[name] = client.memory()
        except Gone as gone:
            out[name] = str(gone)
        finally:
            client.end()
    return out


URI, CLEAN = re.compile(rb'"uri": ?"([^"]*)"'), re.compile(rb'"diagnostics": ?\[\]')
LIGHT, HEAVY = "180 mA at 9 V", "18.0 A at 9 V"


def many(cache, sites, heavy):
    """A folder with sites; with a part that is too heavy, each of them has a finding."""
    folder = cache / "open" / f"many-{sites}"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    whole = cache / "portfolio" / str(SITES) / "sites"
    for number in range(1, sites + 1):
        shutil.copy(whole / f"site_{number:05d}.site", folder)
    (folder / "workspace.site").write_text("")
    parts = (whole / "parts.site").read_text()
    assert parts.count(LIGHT) == 1
    (folder / "parts.site").write_text(parts.replace(LIGHT, HEAVY) if heavy else parts)
    return folder


def everybody(cache, server, tries=6):
    """The first scan of 1,000 files until each is told of, and edits of a part that all of them use."""
    folder = many(cache, SITES, heavy=True)
    client = Client(server.command, folder, DATE, patience=60.0)
    out = {}
    sites = {client.uri(f"site_{number:05d}.site") for number in range(1, SITES + 1)}

    def all_told(start, empty, opened=None):
        """Until every site is told to be clean, or not to be. The clock runs: nothing is parsed."""
        left, first = set(sites), None
        while left:
            at, body = client.bytes_of(lambda body: b"publishDiagnostics" in body and b"site_0" in body)
            if bool(CLEAN.search(body)) == empty:
                uri = URI.search(body)[1].decode()
                left.discard(uri)
                if uri == opened and first is None:
                    first = at - start
        return at - start, first

    try:
        client.begin()
        out["scan"], _ = all_told(client.begun, empty=False)
        name = "site_00001.site"
        client.open(name, (folder / name).read_text(), "curtilage")
        text = (folder / "parts.site").read_text()
        client.open("parts.site", text, "curtilage")
        client.settle()
        lines = text.split("\n")
        line = next(number for number, words in enumerate(lines) if HEAVY in words)
        column = lines[line].index(HEAVY)
        opens, alls = [], []
        for step in range(tries):
            word = LIGHT if step % 2 == 0 else HEAVY
            frame = client.change("parts.site", step + 2, line, column, column + len(HEAVY), word)
            start = time.perf_counter()
            client.write(frame)
            every, first = all_told(start, empty=word == LIGHT, opened=client.uri(name))
            opens.append(first)
            alls.append(every)
            client.settle()
        out["open"], out["all"] = percentiles(opens), percentiles(alls)
        out["memory"] = client.memory()
    except Gone as gone:
        out["why"] = str(gone)
    finally:
        client.end()
    return out
