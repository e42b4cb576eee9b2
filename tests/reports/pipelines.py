"""Plays the example pipelines of `docs/ci` in a repository of their own, with the shell that the
forges use, on a change that is harmless and on one that brings a fault.

    python tests/reports/pipelines.py BINARY

What installs the program is left out, and what uploads a report as well.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from ruamel.yaml import YAML

ROOT = Path(__file__).resolve().parent.parent.parent


def main():
    binary = Path(sys.argv[1]).resolve()
    load = YAML(typ="safe").load
    steps = load(ROOT / "docs/ci/workflow.yml")["jobs"]["check"]["steps"]
    pipeline = load(ROOT / "docs/ci/pipeline.yml")
    runs = {step["name"]: step["run"] for step in steps if "curtilage check" in step.get("run", "")}
    assert set(runs) == {"what the change does", "everything"}, runs
    jobs = {
        "merge request, workflow": (runs["what the change does"], []),
        "main branch, workflow": (runs["everything"], ["curtilage.sarif"]),
        "merge request, pipeline": ("\n".join(pipeline["sites"]["script"]), ["quality.json"]),
        "main branch, pipeline": ("\n".join(pipeline["portfolio"]["script"]), ["quality.json"]),
    }

    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        bin_folder = scratch / "bin"
        bin_folder.mkdir()
        shutil.copy(binary, bin_folder / "curtilage")
        work = scratch / "work"
        for folder in ["parts", "policy", "sites"]:
            (work / folder).mkdir(parents=True)
        for name in ["parts/general.site", "policy/house.site", "sites/farm-shop.site"]:
            shutil.copy(ROOT / "examples" / name, work / name)
        # A site that was wrong before anybody looked.
        shutil.copy(ROOT / "examples/faulty/contact-overload.site", work / "sites/old.site")
        environment = {
            **os.environ,
            "PATH": f"{bin_folder}:{os.environ['PATH']}",
            "GIT_AUTHOR_NAME": "a", "GIT_AUTHOR_EMAIL": "a@b.example",
            "GIT_COMMITTER_NAME": "a", "GIT_COMMITTER_EMAIL": "a@b.example",
        }

        def shell(script):
            return subprocess.run(
                ["bash", "-eo", "pipefail", "-c", script], cwd=work, env=environment, capture_output=True, text=True,
                check=False,
            )

        def done(script):
            run = shell(script)
            assert run.returncode == 0, (script, run.stdout, run.stderr)
            return run.stdout.strip()

        done("git init -q && curtilage check --baseline known.txt --adopt && git add -A && git commit -qm base")
        base = done("git rev-parse HEAD")
        environment |= {"BASE": base, "CI_MERGE_REQUEST_DIFF_BASE_SHA": base}

        farm = work / "sites/farm-shop.site"
        text = farm.read_text()
        wrong = text.replace("response ", "part lost is sensor {\n}\n\nresponse ", 1).replace("armed ", "armed never-said # ", 1)
        for change, fails in [("# harmless\n" + text, False), (wrong, True)]:
            farm.write_text(change)
            done("git add -A && git commit -qm change")
            for name, (script, files) in jobs.items():
                run = shell(script)
                assert (run.returncode != 0) == fails, (name, fails, run.stdout, run.stderr)
                for file in files:
                    told = json.loads((work / file).read_text())
                    if isinstance(told, list):
                        assert bool(told) == fails, (name, told)
                assert "old.site" not in run.stdout, "what is known is not told again"
            print(f"four jobs on a change that is {'wrong' if fails else 'harmless'}: as they should")


main()
