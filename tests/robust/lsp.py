"""A client of the language server, for scripts: one thread, every wait bounded."""

import json
import os
import select
import subprocess
import time
from pathlib import Path

ABLE = {
    "general": {"positionEncodings": ["utf-16"]},
    "window": {"workDoneProgress": True},
    "workspace": {
        "configuration": True,
        "workspaceFolders": True,
        "didChangeWatchedFiles": {"dynamicRegistration": True},
        "workspaceEdit": {"documentChanges": True},
        "diagnostics": {"refreshSupport": True},
        "inlayHint": {"refreshSupport": True},
        "codeLens": {"refreshSupport": True},
        "semanticTokens": {"refreshSupport": True},
    },
    "textDocument": {
        "diagnostic": {"dynamicRegistration": False},
        "hover": {"contentFormat": ["markdown"]},
        "completion": {"completionItem": {"snippetSupport": True}},
        "codeAction": {"codeActionLiteralSupport": {
            "codeActionKind": {"valueSet": ["quickfix", "source"]}}},
    },
}


def said(items):
    """What a list of diagnostics says, to be held against another."""
    return [(one["range"], one["code"], one["message"]) for one in items]


class Gone(Exception):
    """The server has closed its end, or does not answer."""


class Client:
    """A server that was begun on a folder. What it asks is answered while waiting for it."""

    def __init__(self, command, folder, patience=60, env=None):
        self.folder = Path(folder).resolve()
        self.patience = patience
        self.server = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            cwd=self.folder, env=env)
        self.buffer = b""
        self.next = 0
        # What it has set when it is asked.
        self.date = "2026-11-25"
        self.notes = []
        self.sent = self.received = 0

    def begin(self, able=ABLE):
        told = self.ask("initialize", {
            "processId": os.getpid(), "rootUri": self.uri(""), "capabilities": able,
            "workspaceFolders": [{"uri": self.uri(""), "name": "workspace"}],
            "initializationOptions": {"date": "2026-11-25"}})
        self.tell("initialized", {})
        return told

    def uri(self, name):
        return (self.folder / name).as_uri()

    def tell(self, method, params):
        self._send({"jsonrpc": "2.0", "method": method, "params": params})

    def ask(self, method, params):
        """The result; an error of the protocol is given as `{"error": ...}`."""
        self.next += 1
        self._send({"jsonrpc": "2.0", "id": self.next, "method": method, "params": params})
        return self.answer(self.next)

    def answer(self, number):
        end = time.monotonic() + self.patience
        while True:
            message = self._message(end)
            if message.get("id") == number and "method" not in message:
                return {"error": message["error"]} if "error" in message else message.get("result")
            self._take(message)

    def note(self, method, patience=None):
        """The next notification or question of a kind."""
        end = time.monotonic() + (patience or self.patience)
        while True:
            for at, (name, _) in enumerate(self.notes):
                if name == method:
                    return self.notes.pop(at)[1]
            self._take(self._message(end))

    def finish(self):
        """Ends as the protocol wants it, and gives the exit code and what was said on standard error."""
        try:
            self.ask("shutdown", None)
            self.tell("exit", None)
        except (Gone, BrokenPipeError):
            pass
        return self.left()

    def left(self):
        """The exit code and standard error of a server that is to end by itself."""
        try:
            _, said = self.server.communicate(timeout=self.patience)
        except subprocess.TimeoutExpired:
            self.server.kill()
            self.server.communicate()
            raise Gone("the server does not end") from None
        return self.server.returncode, said.decode(errors="replace")

    def kill(self):
        self.server.kill()
        self.server.communicate()

    def _take(self, message):
        if "method" not in message:
            return
        if "id" in message:
            result = None
            if message["method"] == "workspace/configuration":
                result = [{"date": self.date} for _ in message["params"]["items"]]
            self._send({"jsonrpc": "2.0", "id": message["id"], "result": result})
        self.notes.append((message["method"], message.get("params")))
        del self.notes[:-200]

    def _send(self, message):
        body = json.dumps(message).encode()
        self.server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.server.stdin.flush()
        self.sent += 1

    def _message(self, end):
        while True:
            head, parted, rest = self.buffer.partition(b"\r\n\r\n")
            if parted:
                fields = dict(line.split(": ", 1) for line in head.decode("ascii").split("\r\n"))
                length = int(fields["Content-Length"])
                if len(rest) >= length:
                    self.buffer = rest[length:]
                    self.received += 1
                    return json.loads(rest[:length])
            left = end - time.monotonic()
            if left <= 0 or not select.select([self.server.stdout], [], [], left)[0]:
                raise Gone(f"no answer within {self.patience} s")
            got = os.read(self.server.stdout.fileno(), 1 << 20)
            if not got:
                raise Gone("the server has closed its output")
            self.buffer += got
