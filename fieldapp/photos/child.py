"""The process apart: takes one photo after the other from its input, answers on its output, ends with its parent.

A message is the number of its bytes in four bytes, then the bytes. A question is a message of JSON (its kind, and what
is known of the labels), then the photo in messages, then an empty one; an answer is one message of JSON and one of
bytes.
"""

import json
import signal
import struct
import sys
from contextlib import suppress
from dataclasses import asdict
from typing import IO, Any, Literal

from fieldapp.photos.known import KnownLabels
from fieldapp.photos.limits import MAX_PHOTO_BYTES
from fieldapp.photos.unpack import reencoded, symbols_in

CEILING_BYTES = 640 * 1024 * 1024
"""Twice what the largest JPEG needs that is taken: 292 MB measured with 50 megapixels. Test: tests/photos."""
LENGTH = struct.Struct(">I")


def under_ceiling() -> bool:
    """Take no more memory than the ceiling from now on; False where the system has no such limit."""
    try:
        import resource  # not on Windows
    except ImportError:
        return False
    with suppress(ValueError, OSError):     # macOS knows the name and refuses the number
        resource.setrlimit(resource.RLIMIT_AS, (CEILING_BYTES, CEILING_BYTES))
        return sys.platform != "darwin"
    return False


def send(out: IO[bytes], content: bytes) -> None:
    """One message."""
    out.write(LENGTH.pack(len(content)) + content)


def received(source: IO[bytes]) -> bytes | None:
    """The next message; None once there is no more."""
    head = source.read(LENGTH.size)
    if len(head) < LENGTH.size:
        return None
    (length,) = LENGTH.unpack(head)
    content = source.read(length)
    return content if len(content) == length else None


def main() -> None:
    """Answer until the input ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)    # Ctrl-C is the parent's; it then closes our input
    under_ceiling()
    source, out = sys.stdin.buffer, sys.stdout.buffer
    while True:
        asked = received(source)
        data = _photo(source) if asked else None
        if asked is None or data is None:
            return
        try:
            said, content = _answer(json.loads(asked), data)
        except MemoryError:     # also where the decoder in C++ finds none
            said, content = {"problem": "broken"}, b""
        send(out, json.dumps(said).encode())
        send(out, content)
        out.flush()


def _photo(source: IO[bytes]) -> bytes | None:
    data = bytearray()
    while piece := received(source):
        if len(data) <= MAX_PHOTO_BYTES:
            data += piece
    return None if piece is None else bytes(data)


def question(kind: Literal["symbols", "small"], known: KnownLabels | None = None) -> str:
    """What is asked of a photo: its symbols, or a small JPEG of it."""
    return json.dumps({"kind": kind, "known": asdict(known) if known else {}})


def _answer(asked: dict[str, Any], data: bytes) -> tuple[dict[str, object], bytes]:
    if asked["kind"] == "symbols":
        reading = symbols_in(data, KnownLabels(**{name: tuple(values) for name, values in asked["known"].items()}))
        return {"texts": reading.texts, "problem": reading.problem}, b""
    made = reencoded(data)
    return ({}, made) if isinstance(made, bytes) else ({"problem": made}, b"")
