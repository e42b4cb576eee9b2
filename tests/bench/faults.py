"""One mistake planted into the facts of a site, a kind a function. The names are shown in the table."""


def shape(facts):
    facts["zones"][3]["lockout"] = "five"


def name(facts):
    facts["responses"][5]["close"] = ["output-999"]


def terminal(facts):
    facts["zones"][9]["input"] = facts["zones"][8]["input"]


def hours(facts):
    facts["zones"][6]["armed"] = "shut"


def load(facts):
    for output in facts["outputs"][:4]:
        output["part"], output["count"] = "horn-12v", 6


def voltage(facts):
    facts["outputs"][0].update(part="horn-12v", count=2, length=400.0)


def reading(facts):
    facts["zones"][0]["ends"] = "across 1 kohm +-1 %, in 1 kohm +-1 %"


# Kind: what it is, in words for a reader, and the mistake. A broken text is no mistake of facts; it is cut off.
FAULTS = {
    "shape": ("a word where a number has to stand", shape),
    "name": ("a response closes an output that nobody declared", name),
    "terminal": ("two zones on one input", terminal),
    "hours": ("a panic button that is not armed all day", hours),
    "load": ("a supply that gives less than its loads draw", load),
    "voltage": ("a horn at the end of 400 m of cable", voltage),
    "reading": ("end resistors that the controller cannot tell from a fault", reading),
}
SYNTAX = "the text ends in the middle"
