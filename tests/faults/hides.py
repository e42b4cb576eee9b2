"""Faults that hide others by their nature: pairs, and the reason."""
from names import words_in

# A statement that says nothing, or names something that is not there, may be one that matters. Until it is
# mended, what the site does as a whole is left open, and so is what follows from something being absent.
UNREAD = {"syntax", "wrong-dimension", "impossible-value", "said-twice", "unknown-name", "unknown-terminal",
          "channel-unknown", "duplicate-name", "unreadable-file", "outside-workspace", "import-cycle"}
WHOLE = "a statement that could not be read, or names what is not there, may change what the site does"
ABSENT = "something that is not said, or could not be read, may be what the exception is for"

HIDES = {rule: (UNREAD, WHOLE) for rule in ("feedback", "unanswered-panic", "rehearsal-fails", "depends-on-equality")}
# A zone that is active at rest may register on and on in the week before a story, and fill what can be kept of it.
BUSY = f"{WHOLE}; a zone that is active at rest may fill the week before a story"
for rule in ("rehearsal-fails", "depends-on-equality"):
    HIDES[rule] = (UNREAD | {"rest-state-mismatch"}, BUSY)
# Of two things of one name the first one counts: a response that names the other is not known to switch anything on.
for rule in ("supply-overload", "spare-too-small", "undervoltage", "fuse-mismatch", "conductor-overcurrent"):
    HIDES[rule] = ({"duplicate-name"}, "a response that names the second of two things of one name switches nothing on")
# Of a zone that is confirmed: what cannot be read may be hours.
HIDES["never-armed"] = (UNREAD | {"missing-fact", "unreadable-file"}, WHOLE)
HIDES["exception-unused"] = (UNREAD | {"missing-fact"}, ABSENT)

# What argues from something that is not there is held back in an item of which a statement cannot be read or is
# said twice, and where such a statement speaks of the thing, or of the controller that lacks a terminal: it may be
# what is not there.
UNCLEAR = {"syntax", "wrong-dimension", "impossible-value", "said-twice"}
FROM_ABSENCE = {"channel-unknown", "conflicting-effects", "holiday-not-covered", "idle-output", "missing-fact",
                "never-active", "rating-not-given", "recording-not-kept", "schedule-empty", "silent-zone",
                "unknown-terminal", "unsupervised-panic", "unused-name"}

# A name is judged line by line: only the line that says it, or another one that mentions it, holds it back.
BY_THE_LINE = {"unknown-name"}

# What takes the setting of a sheet where a thing says none, or a loop without resistors where it names none, is held
# back as well while a line of the thing or of the sheet cannot be read; so is what no other item of a kind says.
SHEET = {"part", "controller"}
CONTACT = SHEET | {"relay"}
ELSEWHERE = {
    "rest-state-mismatch": SHEET, "loop-out-of-band": SHEET, "loop-states-overlap": SHEET, "never-active": SHEET,
    "end-resistor-not-preferred": SHEET, "unsupervised-panic": SHEET, "pulse-too-short": SHEET,
    "endless-retrigger": SHEET, "held-open-fills-store": SHEET, "reading-out-of-window": SHEET | {"supply"},
    "contact-overload": CONTACT, "contact-over-voltage": CONTACT, "ac-dc-mismatch": CONTACT, "rating-not-given": CONTACT,
    "inductive-unsuppressed": CONTACT, "sounder-run-too-long": {"output"}, "terminal-reused": {"output"},
    "standby-too-short": {"supply"},
    "retention-too-short": {"camera", "recording"}, "recording-not-kept": {"recording"},
    "common-missing": {"part"}, "idle-output": {"response"}, "silent-zone": {"response", "zone"},
    "unknown-name": {"site", "camera", "cable"}}


# Without the range of temperatures no resistance of a cable is known, nor the capacity of a battery.
WARM = {"never-active", "loop-out-of-band", "loop-states-overlap", "reading-out-of-window", "undervoltage",
        "overvoltage", "voltage-collapse", "conductor-overcurrent", "supply-overload", "spare-too-small",
        "fuse-mismatch", "standby-too-short", "recharge-too-slow", "end-resistor-not-preferred"}


def hidden(fault, others):
    """Whether one of the other faults may hide this one."""
    by, _ = HIDES.get(fault.rule, (set(), ""))
    cold = any(other.rule in ("missing-fact", "impossible-value") and "ambient" in other.say for other in others)
    names = {*fault.where, *fault.of}
    unread = [other for other in others if other.rule in UNCLEAR]
    if fault.rule in BY_THE_LINE:
        unclear = any({*words_in(other.line)} & names for other in unread)
    else:
        unclear = (fault.rule in FROM_ABSENCE or fault.rule in ELSEWHERE) and any(
            speaks_of(other, names) for other in unread)
    kinds = set().union(*(other.kinds for other in unread), set())
    elsewhere = bool(kinds & ELSEWHERE.get(fault.rule, set()))
    return unclear or elsewhere or (cold and fault.rule in WARM) or any(other.rule in by for other in others)


def speaks_of(fault, names):
    """Whether a fault of the text lies in one of these items, or its line names one."""
    return bool({*fault.where, *words_in(fault.line)} & names)
