#!/usr/bin/env python3
"""What `SECURITY.md` says, held against the binary.

    python tests/robust/security.py BINARY

* No command opens a connection: strace sees no socket of the internet in any of them, nor in the git
  that `compare` runs, and the server answers the same where there is no network at all.
* No command changes anything outside what it was asked to write: strace sees where.
* `use`, holiday files and folders lead to no file outside the workspace, also not through links.
* Nothing that a file says, or is called, moves the cursor of a terminal, whatever prints it.
* Nothing that a file says is a formula in a CSV, or markup or a link in a page, a picture or Markdown.

Each look is first shown what it must not let pass.
"""

import argparse
import csv
import json
import os
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml
from html.parser import HTMLParser
from pathlib import Path

from commands import DAY, ROOT, commands, run, tree, workspace
from lsp import Client

SECRET = "horn-that-nobody-may-see"


def reading():
    """Commands that only read."""
    site = "sites/shop.site"
    yield from (["check", DAY, "--format", form, "sites"]
                for form in ["human", "json", "lines", "sarif", "junit", "quality", "workflow", "section"])
    yield from (["compare", DAY, site, "sites/one.site", "--format", form] for form in ["text", "markdown", "json", "html"])
    yield from (["compare", DAY, "--git", "HEAD"], ["check", DAY, "--since", "HEAD"], ["figures", DAY, site],
                ["figures", DAY, "--format", "json", site], ["rehearse", DAY, site], ["rules"], ["explain", "feedback"],
                ["completions", "zsh"], ["format", "--check", "sites"], ["--help"])


def all_commands(binary):
    yield from ((prepare, arguments) for _, prepare, arguments in commands(binary))
    yield from ((lambda folder: None, arguments) for arguments in reading())


def committed(folder):
    git = ["git", "-c", "user.name=a", "-c", "user.email=a@b.example"]
    for arguments in [["init", "-q"], ["add", "-A"], ["commit", "-q", "-m", "one"]]:
        assert run([*git, *arguments], folder).returncode == 0
    (folder / "sites/shop.site").write_text((folder / "sites/shop.site").read_text().replace("min", "min ", 1))


def calls(command, folder, what, env=None):
    log = folder.parent / "calls"
    more = {"env": env} if env else {}
    run(["strace", "-f", "-qq", "-y", "-s", "400", "-o", log, "-e", f"trace={what}", "--", *command], folder, **more)
    return log.read_text(errors="replace").splitlines()


def sockets(lines):
    """Calls that could reach another machine: sockets inside this one have no network."""
    return [line for line in lines if re.search(r"\bsocket\(", line) and "AF_UNIX" not in line]


def outside(lines, folder, allowed=()):
    """Where something is changed outside a folder."""
    out = []
    for line in lines:
        match = re.search(r"\b(openat|creat|rename\w*|unlink\w*|mkdir\w*|link\w*|symlink\w*|truncate|chmod|fchmodat)\((.*)\) += (-?\d+)", line)
        if not match or match[3].startswith("-"):
            continue
        if match[1] == "openat" and not re.search(r"O_(WRONLY|RDWR|CREAT|TRUNC)", match[2]):
            continue
        for path in re.findall(r'"((?:[^"\\]|\\.)*)"', match[2]):
            whole = os.path.normpath(os.path.join(folder, path))
            if not whole.startswith((f"{folder}/", *allowed)) and whole not in (str(folder), "/dev/null", "/dev/tty"):
                out.append(f"{match[1]} {path}")
    return out


def alone(binary, wrong):
    """No network, and no change outside. Git may write where it is asked to, which is nowhere."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place).resolve() / "workspace"
        workspace(folder)
        seen = calls([sys.executable, "-S", "-c", "import socket; socket.socket()"], folder, "network")
        assert sockets(seen), "a socket was not seen"
        seen = calls(["sh", "-c", "echo a >../outside"], folder, "file")
        assert outside(seen, folder), "a file outside was not seen"
    count = 0
    for prepare, arguments in all_commands(binary):
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place).resolve() / "workspace"
            home = Path(place).resolve() / "home"
            home.mkdir()
            workspace(folder)
            prepare(folder)
            if "--git" in arguments or "--since" in arguments:
                committed(folder)
            env = {"HOME": str(home), "PATH": os.environ["PATH"], "GIT_CONFIG_NOSYSTEM": "1"}
            seen = calls([binary, *arguments], folder, "network,file", env)
            assert any("execve" in line for line in seen), seen[:3]
            wrong += [f"{' '.join(arguments)}: {line}" for line in sockets(seen)]
            wrong += [f"{' '.join(arguments)}: {line}" for line in outside(seen, str(folder))]
            count += 1
    return count


def served(binary, wrong):
    """The server at work: the same without a network, and pages of rules in the cache and nowhere else."""
    answers = []
    namespace = ["unshare", "-n"] if run(["unshare", "-n", "true"], "/").returncode == 0 else []
    for wrapped in [[], namespace]:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place).resolve() / "workspace"
            workspace(folder)
            cache = Path(place).resolve() / "cache"
            env = {"HOME": str(Path(place) / "home"), "XDG_CACHE_HOME": str(cache), "PATH": os.environ["PATH"]}
            log = Path(place) / "log"
            trace = ["strace", "-f", "-qq", "-y", "-o", str(log), "-e", "trace=network,file", "--"]
            client = Client([*wrapped, *trace, binary, "serve"], folder, env=env)
            client.begin()
            name = "sites/contact-overload.site"
            text = (folder / name).read_text()
            client.tell("textDocument/didOpen", {"textDocument": {
                "uri": client.uri(name), "languageId": "curtilage", "version": 1, "text": text}})
            at = {"textDocument": {"uri": client.uri(name)}}
            told = [client.ask("textDocument/diagnostic", at)["items"],
                    client.ask("textDocument/hover", at | {"position": {"line": 20, "character": 8}}),
                    client.ask("textDocument/codeAction", at | {"context": {"diagnostics": []}, "range": {
                        "start": {"line": 0, "character": 0}, "end": {"line": 90, "character": 0}}})]
            before = tree(folder)
            code, said = client.finish()
            seen = log.read_text(errors="replace").splitlines()
            wrong += [f"serve: {line}" for line in [*sockets(seen), *outside(seen, str(folder), (f"{cache}/", str(cache)))]]
            if code != 0 or tree(folder) != before or not list(cache.rglob("*.md")):
                wrong.append(f"serve: {code} {said}, or the folder has changed, or no page was put into the cache")
            answers.append(json.dumps(told).replace(place, ""))
    if answers[0] != answers[1] or "contact-overload" not in answers[0]:
        wrong.append("serve tells other things without a network")
    listening(binary, wrong)
    return "also where there is no network" if namespace else "this machine lets nobody do without a network: left out"


def listening(binary, wrong):
    """`--socket` is for this machine."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place).resolve() / "workspace"
        workspace(folder)
        log = Path(place) / "log"
        child = subprocess.Popen(["strace", "-f", "-qq", "-o", log, "-e", "trace=network", "--", binary, "serve",
                                  "--socket", "0"], cwd=folder, stdin=subprocess.DEVNULL, stderr=subprocess.PIPE)
        line = child.stderr.readline().decode()
        port = int(line.rsplit(":", 1)[1])
        import socket
        with socket.create_connection(("127.0.0.1", port), timeout=20):
            pass
        child.wait(timeout=20)
        child.stderr.close()
        binds = [line for line in log.read_text().splitlines() if " bind(" in line]
        if not binds or not all("127.0.0.1" in line for line in binds):
            wrong.append(f"serve --socket: {binds}")


def confined(binary, wrong):
    """Every way out of a workspace that we know of."""
    with tempfile.TemporaryDirectory() as place:
        place = Path(place).resolve()
        folder, out = place / "workspace", place / "outside"
        workspace(folder)
        out.mkdir()
        part = f"part {SECRET} is load {{\n    draws  1 A at 9 V to 14 V dc\n}}\n"
        (out / "parts.site").write_text(part)
        (out / "days.ics").write_text(f"BEGIN:VCALENDAR\nBEGIN:VEVENT\nSUMMARY:{SECRET}\nRRULE:X\nDTSTART:20260101\nEND:VEVENT\nEND:VCALENDAR\n")
        (folder / "link.site").symlink_to(out / "parts.site")
        (folder / "folder").symlink_to(out)
        (folder / "chain.site").symlink_to("link.site")
        (folder / "loop.site").symlink_to("loop.site")
        (folder / "ring").symlink_to(".")
        (folder / "up.site").symlink_to("../outside/parts.site")
        (folder / "days.ics").symlink_to(out / "days.ics")
        (folder / "inner.site").write_text('use "folder/parts.site"\n')
        (folder / "own.site").write_text(part.replace(SECRET, "own-horn"))
        ways = ["../outside/parts.site", str(out / "parts.site"), "link.site", "folder/parts.site", "chain.site", "up.site",
                "loop.site", "ring/../../outside/parts.site", "ring/ring/link.site", "./folder/../folder/parts.site",
                "sites/../../outside/parts.site", "../OUTSIDE/parts.site", "../workspace/../outside/parts.site",
                f"file://{out}/parts.site", "inner.site", "..\\\\outside\\\\parts.site", "~/outside/parts.site", "/dev/stdin"]
        site = 'use "{}"\nsite a {{\n    timezone  Europe/Lisbon\n    holidays  "{}"\n}}\n'
        opened = re.compile(rf'"[^"]*(?:outside|{out.name})/(?:parts|days)[^"]*", O_RDONLY.*= \d|<{out}/')
        seen = calls(["cat", str(out / "parts.site")], folder, "openat")
        assert any(opened.search(line) for line in seen), "reading outside was not seen"
        count = 0
        for way in ways:
            days = way.replace("parts.site", "days.ics").replace("link.site", "days.ics")
            (folder / "a.site").write_text(site.format(way, days))
            for arguments in [["check", DAY, "a.site"], ["figures", DAY, "a.site"],
                              ["handover", DAY, "a.site", "--out", "papers"], ["compare", DAY, "a.site", "own.site"]]:
                log = place / "calls"
                done = run(["strace", "-f", "-qq", "-y", "-o", log, "-e", "trace=openat", "--", binary, *arguments], folder)
                if SECRET in (done.stdout + done.stderr).decode() or any(SECRET.encode() in text for text in tree(folder / "papers").values()):
                    wrong.append(f"{arguments[0]} tells of what `{way}` leads to")
                if any(opened.search(line) for line in log.read_text(errors="replace").splitlines()):
                    wrong.append(f"{arguments[0]} opens what `{way}` leads to")
                if done.returncode < 0 or done.returncode > 3 or b"panicked" in done.stderr:
                    wrong.append(f"{arguments[0]} of `{way}` breaks off: {done.returncode}")
                if arguments[0] == "check" and way != "inner.site" and done.returncode != 1:
                    wrong.append(f"check does not object to `{way}`: {done.stdout.decode()}")
                count += 1
        # A link in a folder that is looked through; the file that it leads to is not read, nor formatted.
        (out / "untidy.site").write_text("site   x {\n  timezone Europe/Lisbon\n}\n")
        (folder / "untidy.site").symlink_to(out / "untidy.site")
        (folder / "a.site").write_text("")
        before = tree(out)
        for arguments in [["format", "."], ["check", DAY, "."]]:
            done = run([binary, *arguments], folder)
            if tree(out) != before or done.returncode != 3 or b"leads out of the workspace" not in done.stderr:
                wrong.append(f"{arguments} with a link that leads out: {done.returncode} {done.stderr}")
        # The way round is open.
        (folder / "a.site").write_text(site.format("own.site", "days.ics"))
        done = run([binary, "check", DAY, "a.site"], folder)
        assert b"own.site" not in done.stdout + done.stderr, done.stdout
        return count + 2


# Escape and its C1 form, bell, backspace, line feeds that are none, and marks of direction.
EVIL = "\x1b[2J\x1b]0;title\x07\x9b31m\x08\x0b\x0c\x85\u2028\u202e\u2066\u200f"
MOVES = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]|\r(?!\n)")
COLOURS = re.compile(r"\x1b\[[0-9;]*m")
SECTIONS = re.compile(r"\x1b\[0Ksection_(?:start|end):\d+:[A-Za-z0-9_.-]+(?:\[collapsed=true\])?\r\x1b\[0K")


def still(binary, wrong):
    """Nothing moves the cursor, whatever files say and are called."""
    assert MOVES.search("a\x1b[2J") and MOVES.search("a\u202eb") and MOVES.search("a\rb") and not MOVES.search("a\r\n\tb")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "workspace"
        workspace(folder)
        named = "evil\x1b[31m\x07\n\r\u202e\x9b2J"
        text = (folder / "sites/shop.site").read_text()
        titled = re.sub(r'"([^"\n./]+)"', lambda match: f'"{match[1]}{EVIL}"', text.replace("\n", f"  # {EVIL[:9]}\n", 3))
        (folder / f"sites/{named}.site").write_text(titled)
        (folder / "sites/untidy.site").write_text(titled.replace("    ", "  "))
        (folder / f"{named}.csv").write_text(f"Zone;Type\nDoor{EVIL};x{EVIL}\n")
        (folder / "bad.csv").write_text(f"step,reading,at{EVIL}\n1,2 V,{EVIL}\n1,x{EVIL},y\n")
        (folder / "days.ics").write_text(f"BEGIN:VCALENDAR\nVERSION:2.0\nBEGIN:VEVENT\nSUMMARY:a{EVIL}\nRRULE:{EVIL}\nDTSTART:20260101\nEND:VEVENT\nEND:VCALENDAR\n")
        (folder / "sites/faulty.site").write_text(f'use "no{EVIL}.site"\nsite a "t{EVIL}" {{\n    timezone  x{EVIL}\n    holidays  "../days.ics"\n}}\nzone {EVIL} is x\nrehearsal "r{EVIL}" {{\n    Mon 10:00:00  a{EVIL} active\n}}\n')
        evil, faulty = f"sites/{named}.site", "sites/faulty.site"
        forms = ["human", "lines", "workflow", "section", "junit"]
        asked = [["check", DAY, "--format", form, *more, one] for form in forms for one in ["sites", evil] for more in [[], ["-v"]]]
        asked += [["check", DAY, "--working", "--color", "always", "sites"], ["check", DAY, f"no\x1b[2Jsuch.site"],
                  ["check", DAY, "--baseline", f"b{named}", "--adopt", "-v", "sites"],
                  ["check", DAY, "--baseline", f"b{named}", "-v", "sites"],
                  ["check", DAY, "--since", f"no{EVIL}"], ["rehearse", DAY, "sites"], ["rehearse", DAY, f"x{EVIL}"],
                  ["rehearse", DAY, evil, "--what-if", f"Sat 02:00 {EVIL} active"], ["figures", DAY, "sites"],
                  ["figures", DAY, faulty], ["compare", DAY, "sites/shop.site", evil], ["compare", DAY, evil, faulty, "--all"],
                  ["compare", DAY, "--format", "markdown", "sites/shop.site", evil],
                  ["compare", DAY, "--color", "always", evil, "sites/shop.site"], ["compare", DAY, "--git", f"x{EVIL}"],
                  ["format", "--check", "sites"], ["format", faulty], ["format", evil], ["explain", f"a{EVIL}"],
                  ["handover", DAY, evil, "--out", f"o{named}"], ["handover", DAY, f"no{EVIL}", "--out", "o"],
                  ["import", f"{named}.csv"], ["import", f"{named}.csv"], ["import", f"{named}.csv", "--out", "-"],
                  ["record", DAY, "bad.csv", "--site", "sites/shop.site"], ["record", f"x{EVIL}"],
                  ["new", f"n{named}.site", "--title", f"x{EVIL}", "--no-questions"], [f"c{EVIL}"],
                  ["check", f"--{EVIL}"], ["check", "--date", f"{EVIL}"], ["manual", f"{faulty}/{EVIL}"]]
        said = 0
        for arguments in asked:
            arguments = [one.replace("\x00", "") for one in arguments]
            done = run([binary, *arguments], folder)
            for stream in (done.stdout, done.stderr):
                text = stream.decode()
                said += len(text)
                text = SECTIONS.sub("", COLOURS.sub("", text) if "always" in arguments else text)
                if found := MOVES.search(text):
                    around = text[max(0, found.start() - 60):found.end() + 20]
                    wrong.append(f"{' '.join(arguments)!r} prints {found[0]!r}: {around!r}")
            if done.returncode < 0 or done.returncode > 3 or b"panicked" in done.stderr:
                wrong.append(f"{arguments} breaks off: {done.returncode} {done.stderr[-200:]}")
        assert said > 20_000, "hardly anything was printed"
        return len(asked)


FORMULA = re.compile(r"^\s*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")


class Markup(HTMLParser):
    """What in a page does something, or leads somewhere else."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attributes):
        if tag in ("script", "img", "x", "iframe", "object", "embed", "base", "form"):
            self.found.append(f"<{tag}>")
        self.found += [f"{name}={value!r}" for name, value in attributes if name.startswith("on") or name == "src"
                       or (name in ("href", "xlink:href") and not value.startswith("#"))]


def markup(text):
    parser = Markup()
    parser.feed(text)
    return parser.found


def inert(binary, wrong):
    """What a file says is text in every paper, picture and page."""
    signs = ["=SUM(A1)", "+1+1", "-1+1", "@SUM(1)", "\t=1", "<script>alert(1)</script>", "](javascript:alert(1))",
             "<img src=x onerror=alert(1)>", "]]><x/>", "</title></svg>", "|a|b|", "`x`", "{{1}}", "&lt;"]
    assert FORMULA.search("=1") and FORMULA.search("\t=1") and not FORMULA.search("'=1")
    assert markup("<p><b onclick=a()>") and markup("<a href='javascript:a()'>") and not markup("<a href='#a'>&lt;img>")
    checked = 0
    with tempfile.TemporaryDirectory() as place:
        for at, sign in enumerate(signs):
            folder = Path(place) / f"workspace{at}"
            workspace(folder)
            text = (folder / "sites/shop.site").read_text()
            text = re.sub(r'"([^"\n./]+)"', lambda match: f'"{sign}"', text)
            (folder / "sites/a.site").write_text(text)
            run([binary, "handover", DAY, "sites/a.site", "--out", "papers"], folder)
            run([binary, "rehearse", DAY, "sites/a.site", "--what-if", "Sat 02:00 shop-door active", "--picture", "papers/line.svg"], folder)
            for form, name in [("html", "told.html"), ("markdown", "told.md")]:
                run([binary, "compare", DAY, "--all", "sites/shop.site", "sites/a.site", "--format", form, "--out", f"papers/{name}"], folder)
            files = tree(folder / "papers")
            assert len(files) > 25, files.keys()
            for name, raw in files.items():
                text = raw.decode()
                if name.endswith(".csv"):
                    for row in csv.reader(text.splitlines()):
                        wrong += [f"{name}: {cell!r} is a formula" for cell in row if FORMULA.search(cell)]
                elif name.endswith(".svg"):
                    for element in xml.fromstring(text).iter():
                        bad = element.tag.rsplit("}", 1)[-1] in ("script", "foreignObject", "a", "image", "use")
                        bad |= any(key.rsplit("}", 1)[-1].startswith(("on", "href")) for key in element.attrib)
                        wrong += [f"{name}: {element.tag} {element.attrib}"] if bad else []
                elif name.endswith(".html"):
                    wrong += [f"{name} has {bad} of `{sign}`" for bad in markup(text)]
                elif name.endswith(".md"):
                    code = re.sub(r"(`+).*?\1", "", text)
                    if re.search(r"(?<!\\)<(?:script|img|x/)|(?<!\\)\]\(javascript:", code):
                        wrong.append(f"{name} has markup of `{sign}`")
                checked += 1
    return checked


def main():
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("binary", type=Path)
    binary = str(parse.parse_args().binary.resolve())
    wrong = []
    print(f"{alone(binary, wrong)} commands: no connection, and nothing changed outside what was asked")
    print(f"the server: no connection, {served(binary, wrong)}")
    print(f"{confined(binary, wrong)} ways out of a workspace tried")
    print(f"{still(binary, wrong)} commands on files that would move a cursor")
    print(f"{inert(binary, wrong)} papers, pictures and pages of files that would be formulas and markup")
    for fault in wrong[:60]:
        print(fault)
    assert not wrong, f"{len(wrong)} faults"


main()
