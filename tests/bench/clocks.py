"""Times whole processes, one program after the other in turn, through the small `timer`."""
import json
import os
import select
import signal
import subprocess
import time


class Timer:
    """The process that starts the others. Small, because the system counts its memory as the least of theirs."""

    def __init__(self, program):
        self.program = str(program)
        self.process = None

    def run(self, command, folder, patience):
        """What one run took, or None when it did not end in time."""
        if self.process is None:
            self.process = subprocess.Popen([self.program], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        line = json.dumps({"command": [str(word) for word in command], "folder": str(folder)})
        self.process.stdin.write(line.encode() + b"\n")
        self.process.stdin.flush()
        if not select.select([self.process.stdout], [], [], patience)[0]:
            self.end()
            return None
        answer = json.loads(self.process.stdout.readline())
        if "error" in answer:
            raise OSError(f"{command[0]}: {answer['error']}")
        return answer

    def end(self):
        """Ends what runs: the program's own group first, then the timer."""
        for child in children(self.process.pid):
            try:
                os.killpg(child, signal.SIGKILL)
            except ProcessLookupError:
                pass
        self.process.kill()
        self.process.wait()
        self.process = None


def children(pid):
    found = []
    for task in os.listdir(f"/proc/{pid}/task"):
        with open(f"/proc/{pid}/task/{task}/children") as file:
            found += [int(word) for word in file.read().split()]
    return found


def rounds(timer, programs, most, seconds, patience, least=3):
    """Runs programs (name -> (command, folder, codes that are right)) in turn. Each gets `least`
    runs, and more until it had `most` of them or ran for `seconds`. A warm-up comes first. Returns
    name -> list of runs, or a word that says why there is none.
    """
    out, spent = {}, {}
    for name, (command, folder, right) in programs.items():
        try:
            first = timer.run(command, folder, patience)
        except OSError as error:
            out[name] = str(error)
            continue
        if first is None:
            out[name] = f"not done in {patience:.0f} s"
        elif first["code"] not in right:
            out[name] = f"ended with {first['code']}"
        else:
            # A run that takes that long says enough, warm or not.
            out[name] = [first] if first["wall"] > seconds else []
            spent[name] = first["wall"]
    while True:
        todo = [name for name, runs in out.items() if isinstance(runs, list) and len(runs) < most
                and (spent[name] < seconds or len(runs) < least) and not (runs and runs[0]["wall"] > seconds)]
        if not todo:
            return out
        for name in todo:
            command, folder, _ = programs[name]
            run = timer.run(command, folder, patience)
            if run is None:
                out[name] = f"not done in {patience:.0f} s"
                continue
            out[name].append(run)
            spent[name] += run["wall"]


def summary(runs):
    """Minimum, median and maximum of each figure."""
    out = {"runs": len(runs)}
    for key in ("wall", "cpu", "memory"):
        values = sorted(run[key] for run in runs)
        out[key] = [values[0], values[len(values) // 2], values[-1]]
    return out
