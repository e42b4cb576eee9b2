"""Commands under strace: the calls by which they change files, and what they leave."""

import os
import random
import re
from collections import Counter
from pathlib import Path

from commands import LEFT, run

CALLS = ["openat", "write", "pwrite64", "writev", "fsync", "fdatasync", "rename", "renameat", "renameat2", "link",
         "linkat", "unlink", "unlinkat", "mkdir", "mkdirat", "rmdir", "chmod", "fchmod", "fchmodat", "ftruncate",
         "symlink", "symlinkat"]
NOTE = "UNFINISHED.txt"
LIST = "papers.sha256"


def traced(command, folder, *more):
    """Runs a command under strace, on one processor so that it has one thread for its work; gives how it
    ended and the calls of that thread, in order, as `(name, which of that name, does it change
    anything)`."""
    one = {random.choice(sorted(os.sched_getaffinity(0)))}
    log = folder.parent / "calls"
    done = run(["strace", "-f", "-qq", "-s", "0", "-o", log, "-e", "trace=" + ",".join(CALLS), *more, "--", *command],
               folder, preexec_fn=lambda: os.sched_setaffinity(0, one))
    seen, out, first = Counter(), [], None
    for line in log.read_text(errors="replace").splitlines():
        match = re.match(r"(\d+) +(\w+)\((.*)", line)
        if not match:
            continue
        first = first or match[1]
        if match[1] != first:
            continue
        seen[match[2]] += 1
        changes = match[2] != "openat" or re.search(r"O_CREAT|O_WRONLY|O_RDWR|O_TRUNC", match[3])
        out.append((match[2], seen[match[2]], bool(changes)))
    return done, out


def left_over(name):
    return Path(name).name.startswith(LEFT)


def faults(found, old, new):
    """What is wrong with the files that are there, of which there is an old and a new state."""
    out = []
    for name in sorted(found.keys() | old.keys() | new.keys()):
        if left_over(name) or name == f"papers/{NOTE}" or name == f"papers/{LIST}":
            continue
        if found.get(name) not in (old.get(name), new.get(name)):
            out.append(f"{name} is neither the old nor the new one")
    papers = {name for name in old.keys() | new.keys() if name.startswith("papers/")} - {f"papers/{LIST}"}
    states = {side for side, of in (("old", old), ("new", new))
              if all(found.get(name) == of.get(name) for name in papers)}
    if papers and not states and f"papers/{NOTE}" not in found:
        out.append("some papers are old and some new, and nothing says so")
    return out
