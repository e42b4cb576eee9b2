"""Says the same another way, and holds that the same is told of it.

Three ways: figures in other units and spellings, some with an exponent or without a blank before the unit; every
name another one; blanks, comments and line ends. No line gets another number, and names keep their order, which decides
between equals. What was planted just beyond a limit and just within it has to stay there.
"""
import collections
import pathlib
import random
import re
from decimal import Decimal

WAYS = ("units", "names", "spacing")

# Powers of ten between units of one dimension (SI prefixes).
PREFIXED = (
    {"m": 0, "km": 3, "cm": -2, "mm": -3}, {"ohm": 0, "mohm": -3, "kohm": 3, "Mohm": 6},
    {"V": 0, "uV": -6, "mV": -3, "kV": 3}, {"A": 0, "uA": -6, "mA": -3}, {"W": 0, "mW": -3, "kW": 3},
    {"Ah": 0, "mAh": -3}, {"B": 0, "kB": 3, "MB": 6, "GB": 9, "TB": 12}, {"bit/s": 0, "kbit/s": 3, "Mbit/s": 6},
)
FAMILY = {unit: family for family in PREFIXED for unit in family}
# Other spellings (docs/language.md).
SPELLINGS = {
    "ohm": ("Ω", "\u2126"), "kohm": ("kΩ",), "Mohm": ("MΩ",), "mohm": ("mΩ",), "uA": ("µA", "μA"), "uV": ("µV",),
    "mm2": ("mm²", "mm^2", "sqmm"), "degC": ("°C",), "AWG": ("awg",), "d": ("day", "days"), "h": ("hour", "hours"),
    "min": ("minute", "minutes"), "s": ("second", "seconds"), "+-": ("±", "+/-"),
}
MILLISECONDS = {"ms": 1, "s": 1000, "min": 60_000, "h": 3_600_000, "d": 86_400_000}

TOKEN = re.compile(r'"(?:[^"\\\n]|\\.)*"|#[^\n]*|\n|[^\s,(){}"#]+|[,(){}]')
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
# Everything that has a name of its own, which a response need not have. Other scripts than Latin stay as they
# are, behind it in every order: letters of two in one name are a finding.
NAMED = re.compile(r"^[ \t]*(?:schedule|part|supply|controller|relay|cable|zone|output|camera|response)[ \t]+"
                   r"(?!to\b)([a-z][\w-]*)", re.MULTILINE)


def plain(number):
    return format(number.normalize(), "f")


def other_unit(number, unit, rng):
    """The same quantity, if it can be said exactly in another unit."""
    if unit in MILLISECONDS:
        length = Decimal(number) * MILLISECONDS[unit]
        fits = [name for name, of in MILLISECONDS.items() if length / of * of == length and len(plain(length / of)) < 10]
        unit = rng.choice(fits)
        return f"{plain(length / MILLISECONDS[unit])} {unit}"
    family, new = FAMILY[unit], rng.choice(list(FAMILY[unit]))
    value = Decimal(number).scaleb(family[unit] - family[new])
    if len(plain(value)) > 14:
        return f"{number} {unit}"
    if rng.random() < 0.2:
        power = rng.choice((-3, 2))
        return f"{plain(value.scaleb(-power))}{rng.choice('eE')}{power}{rng.choice((' ', ''))}{new}"
    return plain(value) + rng.choice((" ", "  ", "")) + new


def spelled(word, rng):
    return rng.choice((word, *SPELLINGS.get(word, ())))


def replaced(text, edits):
    """The text with what stands from a place to another said otherwise, in order."""
    out, last = [], 0
    for start, end, new in edits:
        out += [text[last:start], new]
        last = end
    return "".join(out) + text[last:]


def words_of(text):
    """Each word with the one before it and its place."""
    before = ""
    for found in TOKEN.finditer(text):
        yield before, found.group(), found.start(), found.end()
        before = found.group()


def spellings(text, rng):
    """Other spellings of units, which stand behind a number, and of the sign of a tolerance."""
    def edits():
        for before, word, start, end in words_of(text):
            if NUMBER.fullmatch(before):
                yield start, end, spelled(word, rng)
            elif word.startswith("+-"):
                yield start, start + 2, spelled("+-", rng)
    return replaced(text, edits())


def units(text, rng):
    text = spellings(text, rng)
    words = [(word, start, end) for _, word, start, end in words_of(text)]
    said = [word for word, _, _ in words] + ["", ""]

    def edits():
        for at, (number, start, _) in enumerate(words[:-1]):
            unit, _, end = words[at + 1]
            if not NUMBER.fullmatch(number) or unit not in FAMILY and unit not in MILLISECONDS:
                continue
            # `9 to 14 V` has one unit for both, and `2 h 3 min` is one quantity.
            shared = at > 1 and said[at - 1] == "to" and NUMBER.fullmatch(said[at - 2])
            compound = said[at - 1] in MILLISECONDS or NUMBER.fullmatch(said[at + 2]) and said[at + 3] in MILLISECONDS
            if not shared and not compound:
                yield start, end, other_unit(number, unit, rng)
    return replaced(text, edits())


def renamed(text, names):
    """The text with other names, also before the dot of a path. Behind a number stands a unit."""
    def edits():
        for before, word, start, _ in words_of(text):
            head = word.partition(".")[0]
            if head in names and not NUMBER.fullmatch(before):
                yield start, start + len(head), names[head]
    return replaced(text, edits())


def spacing(text, rng):
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    lines = text.removeprefix(mark).replace("\r\n", "\n").split("\n")
    before, behind = ("", "", "\t ", "   "), ("", "", "  ", "\t", " # and why", '  #"{(')
    # What stands behind an open quote is of its text.
    lines = [rng.choice(before) + line + rng.choice(behind if line.count('"') % 2 == 0 else ("",))
             for line in lines[:-1]] + lines[-1:]
    return mark + rng.choice(("\n", "\r\n")).join(lines)


def write(cases, way, seed):
    """Rewrites the files of every case; gives the other names, by case."""
    tables = {}
    for case in sorted(path for path in cases.iterdir() if path.is_dir()):
        texts = {}
        for path in sorted(path for path in case.rglob("*.site") if path.is_file()):
            try:
                texts[path] = path.read_bytes().decode()
            except UnicodeDecodeError:
                continue
        names = {name: f"q{name}" for text in texts.values() for name in NAMED.findall(text)}
        tables[case.name] = names if way == "names" else {}
        rng = random.Random(f"{seed}:{way}:{case.name}")
        for path, text in texts.items():
            if way == "names":
                text = renamed(text, names)
            else:
                text = {"units": units, "spacing": spacing}[way](text, rng)
            path.write_bytes(text.encode())
    return tables


def told(finding, names, way):
    """What has to be the same. A headline quotes what is written, so with other units it is another one; and what
    may be meant by a name that is not known hangs on its letters."""
    def place(at):
        return pathlib.PurePath(at["path"]).name, at["line"]

    def quoted(found):
        return renamed(found.group(), names)
    headline = "" if way == "units" else re.sub(r"(?<=`)[^`\n]*(?=`)", quoted, finding["headline"])
    about = sorted(renamed(name, names) for name in finding.get("about", ()))
    others = [] if finding["rule"] == "unknown-name" else sorted(map(place, finding["others"]))
    return finding["rule"], finding["level"], place(finding["at"]), others, about, headline


def differences(before, after, tables, way):
    """Case, and what is told of one wording alone."""
    for case, names in tables.items():
        first = collections.Counter(repr(told(one, names, way)) for one in before.get(case, ()))
        second = collections.Counter(repr(told(one, {}, way)) for one in after.get(case, ()))
        if first != second:
            yield case, f"only before: {list(first - second)[:2]}, only after: {list(second - first)[:2]}"
