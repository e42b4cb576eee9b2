"""validate.py LOG...: holds every message that the server sent against the types of PyPI's lsprotocol.

Those are generated from the protocol's own meta model. A message has to be readable as the type of
its method, and what is read, written again, has to be the message: a member that the type does not
have, or that has the wrong type, is told. Needs `pip install lsprotocol`.
"""

import collections
import enum
import json
import sys

from lsprotocol import converters, types

converter = converters.get_converter()


def differences(sent, read, path="$"):
    """What the message has that its type does not."""
    if isinstance(read, enum.Enum):
        read = read.value
    if sent is None:
        return
    if isinstance(sent, dict):
        if not isinstance(read, dict):
            yield f"{path} is an object"
            return
        for name, value in sent.items():
            if name in read:
                yield from differences(value, read[name], f"{path}.{name}")
            elif value is not None:
                yield f"{path}.{name} is in no type of the protocol"
    elif isinstance(sent, list):
        if not isinstance(read, (list, tuple)) or len(sent) != len(read):
            yield f"{path} is a list of {len(sent)}"
            return
        for index, (one, other) in enumerate(zip(sent, read)):
            yield from differences(one, other, f"{path}[{index}]")
    elif type(sent) is not type(read) or sent != read:
        yield f"{path} is {sent!r}, and not of the type"


def complaints(message, asked):
    """What is wrong with a message of the server; `asked` has the methods of the client's requests."""
    if "broken" in message:
        return [f"not a message: {message['broken']}"]
    if message.get("jsonrpc") != "2.0":
        return ["no `jsonrpc`"]
    if "method" in message:
        known = types.METHOD_TO_TYPES.get(message["method"])
        if known is None:
            return [f"the protocol has no `{message['method']}`"]
        kind = known[0]
    elif "error" in message:
        kind = types.ResponseErrorMessage
    else:
        method = asked.get(message.get("id"))
        if method is None:
            return [f"an answer to {message.get('id')!r}, which was not asked"]
        kind = types.METHOD_TO_TYPES[method][1]
    try:
        read = converter.structure(message, kind)
    except Exception as error:  # cattrs raises groups of whatever a type raised
        while getattr(error, "exceptions", None):
            error = error.exceptions[0]
        return [f"{type(error).__name__}: {error}"]
    return list(differences(message, converter.unstructure(read, unstructure_as=kind)))


def check(path):
    asked, seen, wrong = {}, collections.Counter(), []
    ended = None
    for line in open(path, encoding="utf-8"):
        _, who, message = json.loads(line)
        if who == "exit":
            ended = message
        elif who == "client":
            if "method" in message and "id" in message:
                asked[message["id"]] = message["method"]
        else:
            method = message.get("method") or asked.get(message.get("id"), "?")
            seen[method] += 1
            wrong += [f"{method}: {what}" for what in complaints(message, asked)]
    for what, count in collections.Counter(wrong).items():
        print(f"  {path}: {what} ({count} times)")
    print(f"  {sum(seen.values())} messages of {len(seen)} kinds, {len(wrong)} complaints, exit {ended}")
    for method, count in sorted(seen.items()):
        print(f"      {count:4} {method}")
    return bool(wrong) or not seen


def can_fail():
    """A validator that takes anything is none."""
    def told(change):
        diagnostic = {
            "range": {"start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 1}},
            "message": "m",
            "severity": 1,
        }
        change(diagnostic)
        params = {"uri": "file:///a.site", "diagnostics": [diagnostic]}
        message = {"jsonrpc": "2.0", "method": "textDocument/publishDiagnostics", "params": params}
        return complaints(message, {})

    assert told(lambda d: None) == [], told(lambda d: None)
    for change in (
        lambda d: d.pop("message"),
        lambda d: d.update(severity=9),
        lambda d: d.update(colour="red"),
        lambda d: d["range"]["end"].update(line="0"),
        lambda d: d["range"]["start"].update(line=-1),
    ):
        assert told(change), "the validator takes a wrong message"
    assert complaints({"jsonrpc": "2.0", "id": 7, "result": None}, {}), "an answer to nothing is taken"


can_fail()
sys.exit(any([check(path) for path in sys.argv[1:]]))
