"""The commands that write, each with a folder to run in, for the scripts beside this one."""

import csv
import os
import shutil
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DAY = "--date=2026-11-25"

# What takes its place by a rename is hidden beside it until then; a run that is killed leaves it.
LEFT = ".curtilage-"


def run(command, folder, **more):
    # A backtrace asks for memory of its own just when there is none.
    more.setdefault("env", {name: value for name, value in os.environ.items() if name != "RUST_BACKTRACE"})
    return subprocess.run(command, cwd=folder, capture_output=True, check=False, timeout=120,
                          stdin=subprocess.DEVNULL, **more)


def tree(folder):
    """Every file below a folder with its bytes, and every link with its target."""
    out = {}
    for at, _, names in os.walk(folder):
        for name in names:
            path = Path(at, name)
            shown = path.relative_to(folder).as_posix()
            out[shown] = b"-> " + os.readlink(path).encode() if path.is_symlink() else path.read_bytes()
    return out


def workspace(folder):
    """The parts and policies of the examples, a site that is in order, and untidy copies of it."""
    folder.mkdir(parents=True)
    (folder / "workspace.site").write_text("")
    for name in ["parts", "policy"]:
        shutil.copytree(ROOT / "examples" / name, folder / name)
    (folder / "sites").mkdir()
    text = (ROOT / "examples/sites/farm-shop.site").read_text()
    (folder / "sites/shop.site").write_text(text)
    for name in ["one", "two"]:
        (folder / f"sites/{name}.site").write_text(text.replace("    ", "\t "))
    for name in ["contact-overload", "idle-output"]:
        shutil.copy(ROOT / f"examples/faulty/{name}.site", folder / "sites")


def before(binary, folder, *runs):
    for arguments in runs:
        done = run([binary, *arguments], folder)
        assert done.returncode in (0, 1), (arguments, done.returncode, done.stderr)


def changed(folder):
    """The site as it is after a change that the papers show, with a horn less."""
    site = folder / "sites/shop.site"
    text = site.read_text()
    assert "\nrehearsal " in text
    # The pages of the rehearsals go, the rest is worked out anew.
    site.write_text(text.split("\nrehearsal ")[0].replace("ambient", "ambient ", 1) + "\n")


def sheet(binary, folder):
    """A commissioning sheet with its first voltage filled in."""
    before(binary, folder, ["handover", DAY, "sites/shop.site", "--out", "papers"])
    rows = list(csv.DictReader((folder / "papers/commissioning.csv").open(newline="")))
    wanted = next(row for row in rows if row["unit"] == "V" and row["at"])
    wanted["reading"] = "12.7 V"
    with (folder / "readings.csv").open("w", newline="") as out:
        writer = csv.DictWriter(out, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    shutil.rmtree(folder / "papers")


def table(folder, name="zones.csv", rows=3):
    lines = ["Zone;Type;Length"] + [f"Door {n};door contact;{n},5 m" for n in range(1, rows + 1)]
    (folder / name).write_text("\n".join(lines) + "\n")


def commands(binary):
    """Name, what has to be there before, and the arguments. `--out` and such lie in the folder."""

    def no_more(folder):
        pass

    def imported(folder):
        table(folder)
        before(binary, folder, ["import", "zones.csv"])
        table(folder, rows=5)

    def papers(folder):
        before(binary, folder, ["handover", DAY, "sites/shop.site", "--out", "papers"])
        changed(folder)

    def adopted(folder):
        before(binary, folder, ["check", DAY, "--baseline", "known.txt", "--adopt", "sites"])
        (folder / "sites/idle-output.site").unlink()

    def half_adopted(folder):
        before(binary, folder, ["check", DAY, "--baseline", "known.txt", "--adopt", "sites/idle-output.site"])

    def pictured(folder):
        (folder / "line.svg").write_text("an older picture\n")

    def compared(folder):
        shutil.copytree(folder / "sites", folder / "old")
        changed(folder)
        (folder / "told.html").write_text("an older comparison\n")

    def printed(folder):
        (folder / "man").mkdir()
        (folder / "man/curtilage.1").write_text("an older page\n")

    rehearsal = (ROOT / "examples/sites/farm-shop.site").read_text().split('\nrehearsal "')[1].split('"')[0]
    return [
        ("format", no_more, ["format", "sites"]),
        ("new", no_more, ["new", "first.site", "--no-questions"]),
        ("import", table, ["import", "zones.csv"]),
        ("import --force", imported, ["import", "zones.csv", "--force"]),
        ("record", lambda folder: sheet(binary, folder),
         ["record", DAY, "readings.csv", "--site", "sites/shop.site"]),
        ("handover, the first", no_more, ["handover", DAY, "sites/shop.site", "--out", "papers"]),
        ("handover, over another", papers, ["handover", DAY, "sites/shop.site", "--out", "papers"]),
        ("check --adopt", no_more, ["check", DAY, "--baseline", "known.txt", "--adopt", "sites"]),
        ("check --shrink", adopted, ["check", DAY, "--baseline", "known.txt", "--shrink", "sites"]),
        ("check --grow", half_adopted, ["check", DAY, "--baseline", "known.txt", "--grow", "sites"]),
        ("rehearse --picture", pictured,
         ["rehearse", DAY, "sites/shop.site", rehearsal, "--picture", "line.svg"]),
        ("compare --out", compared,
         ["compare", DAY, "old", "sites", "--format", "html", "--out", "told.html"]),
        ("manual", printed, ["manual", "man"]),
    ]
