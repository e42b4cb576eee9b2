"""The facts of a site in the notations of other tools: one writer a notation."""
import json
import re

PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_./-]*( [A-Za-z0-9_./-]+)*")
WORDS_WITH_A_MEANING = {"true", "false", "yes", "no", "on", "off", "null", "y", "n"}


def as_json(facts):
    return json.dumps(facts, indent=2) + "\n"


def yaml_scalar(value):
    if isinstance(value, str):
        plain = PLAIN.fullmatch(value) and value.lower() not in WORDS_WITH_A_MEANING
        return value if plain else json.dumps(value)
    return json.dumps(value)


def yaml_lines(value, depth, first=""):
    """The lines of a list or a mapping; `first` stands before the first one, in its indentation."""
    pad = "  " * depth
    for key, inner in value.items() if isinstance(value, dict) else ((None, one) for one in value):
        begin = first if first else pad
        first = ""
        if key is None:
            if isinstance(inner, dict):
                yield from yaml_lines(inner, depth + 1, begin + "- ")
            else:
                yield f"{begin}- {yaml_scalar(inner)}"
        elif isinstance(inner, list):
            yield f"{begin}{key}:"
            yield from yaml_lines(inner, depth + 1)
        else:
            yield f"{begin}{key}: {yaml_scalar(inner)}"


def as_yaml(facts):
    return "---\n" + "\n".join(yaml_lines(facts, 0)) + "\n"


def as_toml(facts):
    tables = {k: v for k, v in facts.items() if isinstance(v, list) and v and isinstance(v[0], dict)}
    out = [f"{key} = {json.dumps(value)}" for key, value in facts.items() if key not in tables]
    for name, rows in tables.items():
        for row in rows:
            out += ["", f"[[{name}]]"] + [f"{key} = {json.dumps(value)}" for key, value in row.items()]
    return "\n".join(out) + "\n"


def as_python(facts):
    return f"from site_type import Site\n\nSITE: Site = {json.dumps(facts, indent=4)}\n"


def as_typescript(facts):
    return f'import type {{ Site }} from "./site_type";\n\nexport const site: Site = {json.dumps(facts, indent=2)};\n'


def as_javascript(facts):
    return f"export const site = {json.dumps(facts, indent=2)};\n"


# Notation: the ending of its files and its writer.
NOTATIONS = {
    "json": ("json", as_json),
    "yaml": ("yaml", as_yaml),
    "toml": ("toml", as_toml),
    "python": ("py", as_python),
    "typescript": ("ts", as_typescript),
    "javascript": ("js", as_javascript),
}
