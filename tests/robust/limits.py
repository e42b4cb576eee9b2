#!/usr/bin/env python3
"""A thousand files with 64 open files and with 256 MiB of memory; inputs that are far too large.

    python tests/robust/limits.py BINARY [--sites 1000]

Memory is limited by RLIMIT_DATA, which counts what a process makes for itself (Linux 4.7 and later);
RLIMIT_AS would count reserved stacks and mapped files too, and RLIMIT_RSS limits nothing. Where there is a
group for memory to write to (cgroup v1, as root), the limit is set there as well: that one counts pages
that are really used. Each limit is first shown a case in which it bites.
"""

import argparse
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

from commands import DAY, ROOT, run, workspace
from lsp import Client

MIB = 1024 * 1024
FILES = 64
MEMORY = 256 * MIB
GROUP = Path("/sys/fs/cgroup/memory")


def limited(**limits):
    """What a child does before it begins."""
    def set_limits():
        for name, most in limits.items():
            resource.setrlimit(getattr(resource, f"RLIMIT_{name}"), (most, most))
    return set_limits


def broke(done):
    return done.returncode < 0 or done.returncode > 3 or b"panicked" in done.stderr


def many(binary, count, place, out):
    subprocess.run([sys.executable, ROOT / "tests/bench/portfolio.py", str(count), place], check=True)
    sites = Path(place) / "sites"
    for at in range(0, count, 50):
        path = next(sites.glob(f"site_*{at + 1:03d}.site"))
        path.write_text(path.read_text().replace("closing", "clsing", 1))
    command = [binary, "check", DAY, "--format", "lines", "."]
    (Path(place) / "large.site").write_text("zone a is b {\n    armed  c\n}\n" * 200_000)
    usual = run(command, sites)
    assert usual.returncode == 1 and usual.stdout.count(b"\n") >= count // 50, usual
    done = run(command, sites, preexec_fn=limited(NOFILE=FILES, DATA=MEMORY))
    if (done.returncode, done.stdout, done.stderr) != (usual.returncode, usual.stdout, usual.stderr):
        out.append(f"check with 64 open files and 256 MiB: {done.returncode}, {done.stderr[-300:]}")
    served = [str(binary), "serve"]
    wrapped = ["prlimit", f"--nofile={FILES}", f"--data={MEMORY}", "--", *served]
    client = Client(wrapped, sites)
    client.begin()
    told = client.ask("workspace/diagnostic", {"previousResultIds": []})
    found = sum(len(one["items"]) for one in told["items"])
    if len(told["items"]) < count or found != usual.stdout.count(b"\n"):
        out.append(f"serve with both limits tells of {len(told['items'])} files and {found} findings")
    code, said = client.finish()
    if code != 0 or said.strip():
        out.append(f"serve with both limits: {code} {said}")
    if shutil.which("strace"):
        refuse = ["strace", "-f", "-qq", "-o", Path(place) / "calls", "-e", "trace=clone,clone3", "-e",
                  "inject=clone,clone3:error=EAGAIN", "--"]
        done = run([*refuse, *command], sites)
        assert "EAGAIN" in (Path(place) / "calls").read_text(), "check asks for no thread"
        if (done.returncode, done.stdout) != (usual.returncode, usual.stdout):
            out.append(f"check without another thread: {done.returncode}, {done.stderr[-300:]}")
    else:
        print("strace is not installed: a machine that gives no threads is left out of this run")
    # The limits bite: with far less than that nothing works, and nothing breaks either.
    few = run(command, sites, preexec_fn=limited(NOFILE=4))
    if few.returncode != 3 or broke(few) or b"Too many open files" not in few.stderr:
        out.append(f"check with 4 open files: {few.returncode} {few.stderr[-300:]}")
    little = run([*command[:-1], "../large.site"], sites, preexec_fn=limited(DATA=6 * MIB))
    assert little.returncode not in (0, 1), "the limit of memory does not bite"
    return in_a_group(command, usual, sites, out)


def in_a_group(command, usual, folder, out):
    """The same in a group for memory, if there may be one."""
    group = GROUP / f"curtilage-{os.getpid()}"
    try:
        group.mkdir()
    except OSError:
        return "no group for memory may be made here: only RLIMIT_DATA was set"
    try:
        (group / "memory.limit_in_bytes").write_text(str(MEMORY))
        join = f'echo $$ > {group}/cgroup.procs && exec "$@"'
        done = run(["sh", "-c", join, "sh", *command], folder)
        if (done.returncode, done.stdout) != (usual.returncode, usual.stdout):
            out.append(f"check in a group of 256 MiB: {done.returncode}, {done.stderr[-300:]}")
        most = int((group / "memory.max_usage_in_bytes").read_text()) / MIB
        return f"in a group of 256 MiB too: at most {most:.0f} MiB used, the pages of the files included"
    except OSError as error:
        return f"the group for memory does not do here ({error}): only RLIMIT_DATA was set"
    finally:
        group.rmdir()


def bomb(path, honest):
    """A workbook that unfolds to 512 MiB; one that is not honest says that it is small."""
    parts = {
        "[Content_Types].xml": '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>',
        "xl/workbook.xml": '<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="a" sheetId="1" r:id="rId1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
    }
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        for name, text in parts.items():
            book.writestr(name, text)
        with book.open("xl/worksheets/sheet1.xml", "w") as sheet:
            sheet.write(b'<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>')
            for _ in range(512):
                sheet.write(b"a" * MIB)
            sheet.write(b"</t></is></c></row></sheetData></worksheet>")
    if not honest:
        raw = bytearray(path.read_bytes())
        # The sizes in the central directory and before the entry (APPNOTE 4.3.7, 4.3.12).
        for mark, at in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
            place = raw.find(mark)
            while place >= 0:
                raw[place + at:place + at + 4] = (1000).to_bytes(4, "little")
                place = raw.find(mark, place + 4)
        path.write_bytes(raw)


def far_too_much(binary, place, out):
    folder = Path(place) / "much"
    workspace(folder)
    memory = limited(DATA=MEMORY)
    (folder / "large.site").write_bytes(b"# x\n" * (5 * MIB))
    (folder / "deep.site").write_bytes(b"{" * (15 * MIB))
    (folder / "long.csv").write_bytes(b"a,b\n" + b"x" * (64 * MIB))
    os.mkfifo(folder / "pipe.site")
    (folder / "uses.site").write_text('use "pipe.site"\nuse "large.site"\nsite a {\n    timezone  Europe/Lisbon\n}\n')
    bomb(folder / "honest.xlsx", honest=True)
    bomb(folder / "lying.xlsx", honest=False)
    large = b"it is larger than 16 MiB"
    cases = [
        (["check", DAY, "large.site"], 3, large),
        (["format", "large.site"], 3, large),
        (["figures", DAY, "large.site"], 3, large),
        (["handover", DAY, "large.site", "--out", "papers"], 3, large),
        (["record", DAY, "long.csv", "--site", "sites/shop.site"], 3, large),
        (["record", DAY, "/dev/zero", "--site", "sites/shop.site"], 3, large),
        (["import", "/dev/zero", "--out", "a.site"], 3, b""),
        (["import", "honest.xlsx"], 3, b""),
        (["import", "lying.xlsx"], 3, b""),
        (["check", DAY, "uses.site"], 1, b""),
        (["check", DAY, "deep.site"], 1, b""),
    ]
    for arguments, code, words in cases:
        try:
            done = run([binary, *arguments], folder, preexec_fn=memory)
        except subprocess.TimeoutExpired:
            out.append(f"{' '.join(arguments)} does not end")
            continue
        if done.returncode != code or broke(done) or words not in done.stderr:
            out.append(f"{' '.join(arguments)} with 256 MiB: {done.returncode} {done.stderr[-300:]}")
    for arguments in [["check", DAY, "-"], ["format", "-"]]:
        with open("/dev/zero", "rb") as endless:
            done = subprocess.run([binary, *arguments], cwd=folder, stdin=endless, capture_output=True, check=False,
                                  timeout=60, preexec_fn=memory)
        if done.returncode != 3 or broke(done) or large not in done.stderr:
            out.append(f"{' '.join(arguments)} of what never ends: {done.returncode} {done.stderr[-300:]}")
    return len(cases) + 2


def main():
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("binary", type=Path)
    parse.add_argument("--sites", type=int, default=1000)
    asked = parse.parse_args()
    binary = str(asked.binary.resolve())
    wrong = []
    with tempfile.TemporaryDirectory() as place:
        print(f"{asked.sites} sites, {many(binary, asked.sites, place, wrong)}")
    with tempfile.TemporaryDirectory() as place:
        print(f"{far_too_much(binary, place, wrong)} inputs that are far too large, with 256 MiB")
    for fault in wrong:
        print(fault)
    assert not wrong, f"{len(wrong)} faults"


main()
