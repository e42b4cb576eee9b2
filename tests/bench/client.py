"""A small client of the Language Server Protocol over standard input and output, for measuring.

It looks at the bytes of a message and stops the clock before it parses anything.
"""
import json
import os
import select
import subprocess
import time


class Gone(Exception):
    """The server ended, or did not answer in time."""


class Client:
    def __init__(self, command, folder, options=None, patience=30.0):
        self.patience = patience
        self.folder = folder
        self.settings = options or {}
        self.buffer = b""
        self.number = 0
        quiet = subprocess.DEVNULL
        self.process = subprocess.Popen([str(word) for word in command], cwd=folder, stdin=subprocess.PIPE,
                                        stdout=subprocess.PIPE, stderr=quiet, start_new_session=True)
        self.begun = time.perf_counter()

    def uri(self, name=""):
        return (self.folder / name).as_uri()

    def begin(self):
        answered = self.ask("initialize", {
            "processId": None, "rootUri": self.uri(), "initializationOptions": self.settings,
            "workspaceFolders": [{"uri": self.uri(), "name": "bench"}],
            "capabilities": {
                "general": {"positionEncodings": ["utf-16"]},
                "workspace": {"configuration": True, "workspaceFolders": True},
                "textDocument": {"publishDiagnostics": {"versionSupport": True},
                                 "completion": {"completionItem": {"snippetSupport": True}}},
            },
        })
        early, end = [], time.perf_counter() + self.patience
        while not answered(body := self.message(end)):
            early.append(body)
        # An older version tells of findings before it has answered; they count here.
        self.buffer = b"".join(map(self.framed, early)) + self.buffer
        self.notify("initialized", {})

    @staticmethod
    def framed(body):
        return b"Content-Length: %d\r\n\r\n" % len(body) + body

    def frame(self, message):
        return self.framed(json.dumps({"jsonrpc": "2.0", **message}).encode())

    def write(self, data):
        """Writes while reading, so that neither side can wait for the other for ever."""
        end = time.perf_counter() + self.patience
        to, back = self.process.stdin.fileno(), self.process.stdout.fileno()
        view = memoryview(data)
        while view:
            readable, writable, _ = select.select([back], [to], [], max(0.0, end - time.perf_counter()))
            if not readable and not writable:
                raise Gone("the server takes nothing")
            if readable:
                self.read()
            if writable:
                try:
                    view = view[os.write(to, view[:65536] if len(view) <= 4096 else view[:4096]):]
                except BrokenPipeError as error:
                    raise Gone("the server ended") from error

    def read(self):
        data = os.read(self.process.stdout.fileno(), 1 << 20)
        if not data:
            raise Gone("the server ended")
        self.buffer += data

    def message(self, end):
        """The bytes of the next message."""
        while True:
            head = self.buffer.find(b"\r\n\r\n")
            if head >= 0:
                length = next(int(line.split(b":")[1]) for line in self.buffer[:head].split(b"\r\n")
                              if line.lower().startswith(b"content-length"))
                if len(self.buffer) >= head + 4 + length:
                    body = self.buffer[head + 4:head + 4 + length]
                    self.buffer = self.buffer[head + 4 + length:]
                    return body
            left = end - time.perf_counter()
            if left <= 0 or not select.select([self.process.stdout], [], [], left)[0]:
                raise Gone(f"no answer in {self.patience:.0f} s")
            self.read()

    def wait(self, wanted, patience=None):
        """The first message whose bytes are wanted, and when it came."""
        at, body = self.bytes_of(wanted, patience)
        return at, json.loads(body)

    def bytes_of(self, wanted, patience=None):
        """The same without parsing it. Questions of the server are answered."""
        end = time.perf_counter() + (patience or self.patience)
        while True:
            body = self.message(end)
            at = time.perf_counter()
            if wanted(body):
                return at, body
            if b'"id"' in body and b'"method"' in body:
                self.answer(json.loads(body))

    def answer(self, asked):
        if "id" not in asked or "method" not in asked:
            return
        result = None
        if asked["method"] == "workspace/configuration":
            result = [None for _ in asked["params"]["items"]]
        elif asked["method"] == "workspace/workspaceFolders":
            result = [{"uri": self.uri(), "name": "bench"}]
        self.write(self.frame({"id": asked["id"], "result": result}))

    def notify(self, method, params):
        self.write(self.frame({"method": method, "params": params}))

    def ask(self, method, params):
        """Sends a request; gives what recognises its answer."""
        self.number += 1
        self.write(self.frame({"id": self.number, "method": method, "params": params}))
        number = self.number
        compact, spaced = b'"id":%d' % number, b'"id": %d' % number

        def wanted(body):
            if compact not in body and spaced not in body:
                return False
            message = json.loads(body)
            return message.get("id") == number and "method" not in message
        return wanted

    def request(self, method, params):
        return self.wait(self.ask(method, params))

    def open(self, name, text, language):
        self.notify("textDocument/didOpen", {"textDocument": {
            "uri": self.uri(name), "languageId": language, "version": 1, "text": text}})
        return self.wait(self.told(name, 1))

    def told(self, name, version):
        """What recognises the findings of one version of a file (or of any, from a server that names none)."""
        uri, number = self.uri(name).encode(), str(version).encode()

        def wanted(body):
            if b"publishDiagnostics" not in body or uri not in body:
                return False
            at = body.rfind(b'"version":')
            if at < 0:
                return True
            return body[at + 10:].lstrip(b" ").split(b",")[0].split(b"}")[0] == number
        return wanted

    def change(self, name, version, line, start, end, text):
        """The frame of one edit, ready to be sent."""
        place = {"start": {"line": line, "character": start}, "end": {"line": line, "character": end}}
        return self.frame({"method": "textDocument/didChange", "params": {
            "textDocument": {"uri": self.uri(name), "version": version},
            "contentChanges": [{"range": place, "text": text}]}})

    def cpu(self):
        """Seconds that all threads of the server have run."""
        total = 0
        for task in os.listdir(f"/proc/{self.process.pid}/task"):
            try:
                with open(f"/proc/{self.process.pid}/task/{task}/schedstat") as file:
                    total += int(file.read().split()[0])
            except FileNotFoundError:
                pass
        return total / 1e9

    def memory(self):
        """What the server holds, in bytes: resident, and what is its own alone."""
        figures = {}
        with open(f"/proc/{self.process.pid}/smaps_rollup") as file:
            for line in file:
                words = line.split()
                if len(words) == 3 and words[2] == "kB":
                    figures[words[0].rstrip(":")] = 1024 * int(words[1])
        return figures["Rss"], figures["Private_Clean"] + figures["Private_Dirty"]

    def settle(self, seconds=0.3, most=20.0):
        """Waits until the server does nothing any more."""
        end = time.perf_counter() + most
        before = self.cpu()
        while time.perf_counter() < end:
            pause = time.perf_counter() + seconds
            while time.perf_counter() < pause:
                if select.select([self.process.stdout], [], [], seconds)[0]:
                    self.read()
            now = self.cpu()
            if now - before < 0.001:
                return
            before = now

    def end(self):
        try:
            self.request("shutdown", None)
            self.notify("exit", None)
            self.process.wait(3)
        except (Gone, subprocess.TimeoutExpired, OSError):
            pass
        finally:
            if self.process.poll() is None:
                self.process.kill()
                self.process.wait()
