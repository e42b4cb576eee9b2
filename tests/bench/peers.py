"""The programs that are held against each other: what each is, on which notation it works, and its command."""
import platform
import shutil
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).resolve().parent


@dataclass
class Peer:
    """One program. `command(files)` gives its words; `files` are the names of a folder's files."""
    name: str
    notation: str
    command: object
    group: str
    needs: list = field(default_factory=list)
    codes: tuple = (0,)


def peers(cache, ours, before):
    """All of them, in the order of the table."""
    python, npm, bounds = cache / "python/bin", cache / "npm/node_modules", cache / "bounds/release"
    cpu = {"x86_64": "x64", "aarch64": "arm64"}.get(platform.machine(), platform.machine())
    source = {"x64": "x86_64"}.get(cpu, cpu)
    out = []

    def add(group, name, notation, program, *words, files=True, before_program=()):
        def command(names):
            return [*before_program, program, *words, *(names if files else [])]
        out.append(Peer(name, notation, command, group, needs=[program, *before_program[:1]]))

    def parse(name, how, threads):
        add("bounds", name, "json", bounds / "parse", ".", how, threads, files=False)

    def rules(name, schema, policy, threads):
        add("peers", name, "json", bounds / "rules", ".", schema, policy, threads, files=False)

    node, one_core = shutil.which("node") or "node", (shutil.which("taskset") or "taskset", "-c", "0")
    add("bounds", "an empty process", "json", bounds / "empty", files=False)
    add("bounds", "cat", "json", shutil.which("cat"))
    add("bounds", "wc -l", "json", shutil.which("wc"), "-l")
    parse("read every file", "read", "1")
    parse("serde_json::Value", "serde", "1")
    parse("serde_json::Value, two threads", "serde", "2")
    parse("simd-json", "simd", "1")
    parse("sonic-rs", "sonic", "1")
    add("ours", "curtilage check", "sites", ours, "check", files=False)
    add("ours", "curtilage check, one core", "sites", ours, "check", files=False, before_program=one_core)
    if before:
        add("ours", "curtilage check, before", "sites", before, "check", files=False)
        add("ours", "curtilage check, before, one core", "sites", before, "check", files=False,
            before_program=one_core)
    rules("jsonschema + regorus (Rust)", "site.schema.json", "policy.rego", "1")
    rules("jsonschema + regorus (Rust), two threads", "site.schema.json", "policy.rego", "2")
    rules("jsonschema (Rust)", "site.schema.json", "-", "1")
    rules("regorus (Rust)", "-", "policy.rego", "1")
    add("peers", "sourcemeta jsonschema (C++)", "json",
        npm / f"@sourcemeta/jsonschema/build/github-releases/jsonschema-linux-{source}", "validate", "site.schema.json")
    add("peers", "jsonschema-rs (Python)", "json", python / "python", HERE / "wrappers/schema.py", "site.schema.json")
    add("peers", "check-jsonschema, JSON", "json", python / "check-jsonschema", "--schemafile", "site.schema.json")
    add("peers", "ajv-cli", "json", node, npm / "ajv-cli/dist/index.js", "validate", "--spec=draft7", "-s",
        "site.schema.json", "-d", "site_*.json", files=False)
    add("peers", "regopy (rego-cpp)", "json", python / "python", HERE / "wrappers/policy.py", "policy.rego")
    add("peers", "biome lint, JSON", "json", npm / f"@biomejs/cli-linux-{cpu}/biome", "lint", ".", files=False)
    add("peers", "check-jsonschema, YAML", "yaml", python / "check-jsonschema", "--schemafile", "site.schema.json")
    add("peers", "yamllint", "yaml", python / "yamllint", "-s", "-c", "yamllint.yaml")
    add("peers", "taplo check", "toml", python / "taplo", "check", "--config", "taplo.toml", files=True)
    add("peers", "tombi lint", "toml", python / "tombi", "lint", "--offline", "--error-on-warnings", ".", files=False)
    add("peers", "ruff check", "python", python / "ruff", "check", "--no-cache", "--quiet", ".", files=False)
    add("peers", "ty check", "python", python / "ty", "check", "--quiet", "--python", cache / "python", ".", files=False)
    add("peers", "pyrefly check", "python", python / "pyrefly", "check", "--preset", "default", "--python-interpreter-path",
        python / "python")
    add("peers", "tsc 7 (native)", "typescript", npm / f"@typescript/typescript-linux-{cpu}/lib/tsc", "-p", ".",
        files=False)
    add("peers", "oxlint", "javascript", node, npm / "oxlint/bin/oxlint", ".", files=False)
    add("peers", "quick-lint-js", "javascript", npm / f"quick-lint-js/linux-{cpu}/bin/quick-lint-js")
    return out


# What stands beside the files of a notation: the rules that the programs read.
BESIDE = {
    "json": ["site.schema.json", "policy.rego"],
    "yaml": ["site.schema.json", "yamllint.yaml"],
    "toml": ["site.schema.json", "tombi.toml", "taplo.toml"],
    "python": ["site_type.py"],
    "typescript": ["site_type.ts", "tsconfig.json"],
    "javascript": [],
    "sites": [],
}
