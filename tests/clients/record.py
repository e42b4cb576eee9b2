"""record.py LOG COMMAND...: runs a language server and writes down what passes between it and its client.

Each message becomes a line of JSON in LOG: [seconds, "client" or "server", message]. It is written down
before it is passed on, so that no answer stands before its question; the bytes stay as they are.
"""

import json
import os
import subprocess
import sys
import threading
import time

log_path, *command = sys.argv[1:]
server = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
log = open(log_path, "a", encoding="utf-8")
lock = threading.Lock()
start = time.monotonic()


def note(who, message):
    with lock:
        json.dump([round(time.monotonic() - start, 4), who, message], log)
        log.write("\n")
        log.flush()


class Messages:
    """Cuts a stream of bytes into messages."""

    def __init__(self, who):
        self.who = who
        self.bytes = b""

    def feed(self, more):
        self.bytes += more
        while b"\r\n\r\n" in self.bytes:
            head, rest = self.bytes.split(b"\r\n\r\n", 1)
            length = None
            for line in head.split(b"\r\n"):
                name, _, value = line.partition(b":")
                if name.strip().lower() == b"content-length":
                    length = int(value)
            if length is None:
                note(self.who, {"broken": head.decode("latin-1")})
                self.bytes = rest
                continue
            if len(rest) < length:
                return
            self.bytes = rest[length:]
            try:
                note(self.who, json.loads(rest[:length].decode("utf-8")))
            except ValueError as error:
                note(self.who, {"broken": str(error)})


def pump(source, sink, who):
    messages = Messages(who)
    while True:
        more = os.read(source, 65536)
        if not more:
            break
        messages.feed(more)
        try:
            sink.write(more)
            sink.flush()
        except OSError:
            pass  # The other side is gone; what still comes is written down.
    try:
        sink.close()
    except OSError:
        pass


threading.Thread(
    target=pump, args=(sys.stdin.fileno(), server.stdin, "client"), daemon=True
).start()
pump(server.stdout.fileno(), sys.stdout.buffer, "server")
code = server.wait()
note("exit", code)
os._exit(code if code >= 0 else 1)
