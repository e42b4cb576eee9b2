"""Holds the reports of `curtilage check` against validators that we did not write.

    python tests/reports/check.py BINARY [MULTITOOL-FOLDER]

* JUnit: `junit-10.xsd` of the xUnit plugin (MIT, its licence is in the file), by libxml2.
* SARIF 2.1.0: the schema and the semantic rules of its multitool, from the folder of the npm
  package `@microsoft/sarif-multitool-linux` (MIT). It ends with 0 whatever it finds: its log is read.
* Code quality: a schema written from the forge's page on the format.
* Workflow commands and sections: their grammar, read back.

Each validator is first shown something broken, and has to say no.
"""

import copy
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import jsonschema
from lxml import etree

HERE = Path(__file__).parent
ROOT = HERE.parent.parent

# From the page "Code Quality", section on the report format: these five members, `lines.begin` or
# `positions.begin.line`, and the five severities.
QUALITY = {
    "type": "array",
    "items": {
        "type": "object",
        "required": ["description", "check_name", "fingerprint", "severity", "location"],
        "properties": {
            "description": {"type": "string", "minLength": 1},
            "check_name": {"type": "string", "minLength": 1},
            "fingerprint": {"type": "string", "pattern": "^[0-9a-f]+$"},
            "severity": {"enum": ["info", "minor", "major", "critical", "blocker"]},
            "location": {
                "type": "object",
                "required": ["path", "lines"],
                "properties": {
                    "path": {"type": "string", "pattern": "^[^/]"},
                    "lines": {
                        "type": "object",
                        "required": ["begin"],
                        "properties": {"begin": {"type": "integer", "minimum": 1}},
                    },
                },
            },
        },
    },
}

COMMAND = re.compile(r"^::(error|warning|notice) ((?:[a-zA-Z]+=[^,:\r\n]*)(?:,[a-zA-Z]+=[^,:\r\n]*)*)::(.*)$")


def reports(binary, arguments, folder):
    """Every form of the report of one check."""
    forms = {}
    for form in ["json", "lines", "sarif", "junit", "quality", "workflow", "section"]:
        run = subprocess.run(
            [binary, "check", "--date", "2026-11-25", "--format", form, *arguments],
            cwd=folder, capture_output=True, check=False,
        )
        assert run.returncode in (0, 1, 3), (form, run.returncode, run.stderr)
        forms[form] = run.stdout
    return forms


def unescape(text):
    return text.replace("%0A", "\n").replace("%0D", "\r").replace("%3A", ":").replace("%2C", ",").replace("%25", "%")


def junit(schema, text):
    document = etree.fromstring(text)
    assert schema.validate(document), schema.error_log
    for suite in document.iter("testsuite"):
        cases = suite.findall("testcase")
        for attribute, tag in [("failures", "failure"), ("errors", "error"), ("skipped", "skipped")]:
            assert int(suite.get(attribute)) == len(suite.findall(f"testcase/{tag}")), suite.get("name")
        assert int(suite.get("tests")) == len(cases)
    for attribute in ["tests", "failures", "errors"]:
        whole = sum(int(suite.get(attribute)) for suite in document.iter("testsuite"))
        assert int(document.get(attribute)) == whole, attribute
    return document


def workflow(text):
    out = []
    for line in text.decode().splitlines():
        match = COMMAND.match(line)
        assert match, line
        properties = dict(pair.split("=", 1) for pair in match[2].split(","))
        out.append((match[1], {key: unescape(value) for key, value in properties.items()}, unescape(match[3])))
    return out


def section(text):
    opened = None
    for line in text.decode().split("\n"):
        for kind, _, name in re.findall(r"\x1b\[0Ksection_(start|end):(\d+):([A-Za-z0-9_.-]+)\r\x1b\[0K", line):
            if kind == "start":
                assert opened is None, "a section inside a section"
                opened = name
            else:
                assert opened == name, (opened, name)
                opened = None
        rest = re.sub(r"\x1b\[0Ksection_(start|end):\d+:[A-Za-z0-9_.-]+\r\x1b\[0K", "", line)
        assert "\x1b" not in rest and "\r" not in rest, repr(rest)
    assert opened is None


def sarif_rules(tool, path):
    """What the multitool has to say against a log: level and rule of each of its results."""
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "out.sarif"
        subprocess.run(
            [str(tool / "Sarif.Multitool"), "validate", str(path), "--output", str(log), "--rule-kind",
             "Sarif;Ghas", "--log", "ForceOverwrite"],
            env={**os.environ, "DOTNET_SYSTEM_GLOBALIZATION_INVARIANT": "1"},
            stdout=subprocess.DEVNULL, check=False,
        )
        results = json.loads(log.read_text(encoding="utf-8-sig"))["runs"][0].get("results", [])
    return sorted({(one.get("level", "warning"), one["ruleId"]) for one in results})


# The product has no address of its own yet, and claims none.
EXCUSED = {("warning", "SARIF2005")}


def sarif(tool, schema, text, folder):
    document = json.loads(text)
    jsonschema.Draft7Validator(schema).validate(document)
    path = folder / "one.sarif"
    path.write_bytes(text)
    complaints = [one for one in sarif_rules(tool, path) if one not in EXCUSED]
    assert not complaints, complaints
    return document


def says_no(what, attempt):
    try:
        attempt()
    except (AssertionError, jsonschema.ValidationError, etree.XMLSyntaxError):
        return
    raise SystemExit(f"the validator of {what} accepts what is broken")


def main():
    binary = str(Path(sys.argv[1]).resolve())
    tool = Path(sys.argv[2]).resolve() if len(sys.argv) > 2 else None
    schema = etree.XMLSchema(etree.parse(str(HERE / "junit-10.xsd")))
    folder = Path(tempfile.mkdtemp())
    (folder / "workspace.site").write_text("")
    shutil.copy(HERE / "nasty.site", folder / "a, b:#%[é].site")
    with open(folder / "bytes.site", "wb") as file:
        file.write(b"site \xff\xfe\x00\x1b[2J {\n]]>\r\n")
    if tool:
        # Its installation may have been kept from doing so.
        (tool / "Sarif.Multitool").chmod(0o755)
    sarif_schema = json.loads((tool / "sarif-2.1.0.json").read_text(encoding="utf-8-sig")) if tool else None

    for arguments, where in [(["examples"], ROOT), (["."], folder)]:
        forms = reports(binary, arguments, where)
        findings = json.loads(forms["json"])["findings"]
        assert findings
        assert len(forms["lines"].decode().splitlines()) == len(findings)
        document = junit(schema, forms["junit"])
        failing = [one for one in findings if one["level"] != "hint"]
        assert len(document.findall(".//failure")) == len(failing)
        quality = json.loads(forms["quality"])
        jsonschema.validate(quality, QUALITY)
        assert len(quality) == len(findings)
        assert len({one["fingerprint"] for one in quality}) == len(quality), "fingerprints are unique"
        assert all((where / one["location"]["path"]).is_file() for one in quality)
        commands = workflow(forms["workflow"])
        assert len(commands) == len(findings)
        for (_, properties, _), finding in zip(commands, findings):
            assert (where / properties["file"]).is_file(), properties
            assert int(properties["line"]) == finding["at"]["line"]
            assert properties["title"] == finding["rule"]
        section(forms["section"])
        if tool:
            log = sarif(tool, sarif_schema, forms["sarif"], folder)
            assert len(log["runs"][0]["results"]) == len(findings)
        print(f"{len(findings)} findings in {arguments[0]}: every form is taken by its validator")

    git = ["git", "-c", "user.name=a", "-c", "user.email=a@b.example"]
    for arguments in [["init", "-q"], ["add", "-A"], ["commit", "-q", "-m", "one"]]:
        subprocess.run([*git, *arguments], cwd=folder, check=True)
    forms_since = reports(binary, ["--since", "HEAD", "."], folder)
    assert junit(schema, forms_since["junit"]).findall(".//skipped")
    if tool:
        sarif(tool, sarif_schema, forms_since["sarif"], folder)

    broken = forms["junit"].replace(b"<testsuite ", b"<testsuite colour=\"red\" ", 1)
    says_no("JUnit", lambda: junit(schema, broken))
    broken = copy.deepcopy(quality)
    broken[0]["severity"] = "dire"
    says_no("code quality", lambda: jsonschema.validate(broken, QUALITY))
    says_no("workflow commands", lambda: workflow(b"::error file=a,b::c\n"))
    says_no("sections", lambda: section(b"\x1b[0Ksection_start:0:a\r\x1b[0Kx\n"))
    if tool:
        log = json.loads(forms["sarif"])
        wrong = copy.deepcopy(log)
        wrong["runs"][0]["results"][0]["level"] = "dire"
        says_no("SARIF's schema", lambda: sarif(tool, sarif_schema, json.dumps(wrong).encode(), folder))
        wrong = copy.deepcopy(log)
        region = wrong["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["region"]
        region["endLine"] = 1
        region["startLine"] = 2
        says_no("SARIF's rules", lambda: sarif(tool, sarif_schema, json.dumps(wrong).encode(), folder))
    else:
        print("no multitool was given: SARIF is not held against its schema in this run")
    shutil.rmtree(folder)


main()
