"""Photos unpacked in processes apart, one photo at a time in each: what fills or breaks one does no harm to the pages.

A process is started with the first photo, kept for the next ones, and ended where a photo takes too long, where it
died over one, or with the program.
"""

import atexit
import json
import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import IO, Any

from fieldapp.photos import child
from fieldapp.photos.known import KnownLabels
from fieldapp.photos.limits import MAX_PHOTO_BYTES
from fieldapp.photos.unpack import USUAL, Problem, Reading


def has_ceiling(platform: str) -> bool:
    """Whether a process can be kept below a number of bytes there."""
    return platform not in ("win32", "darwin")


def at_a_time(platform: str) -> int:
    """Processes; where the system has no memory ceiling, one photo is unpacked at a time.

    Examples
    --------
    >>> at_a_time("linux"), at_a_time("win32"), at_a_time("darwin")
    (2, 1, 1)
    """
    return 2 if has_ceiling(platform) else 1


WAITING = 2
"""Further photos are answered "busy" at once, so that threads stay free for pages."""
WITHIN_S = 12.0
"""The slowest photo that is taken needs 1.3 s of processor time (60 megapixels full of soiled symbols), and 8 s by the
clock beside ten other programs on two cores [s]; our choice."""
LONG_LIFE = 100
"""Photos after which a process makes room for a fresh one; what its decoder holds on to goes with it."""
PIECE_BYTES = 64 * 1024
"""A photo is handed on in pieces, so that the server never holds the whole of one."""

ONE_THREAD = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
"""Threads of the numeric library would each take room below the ceiling."""
_START = ("import sys; sys.path[:0] = sys.argv[1:]; sys.argv[1:] = []; "
          "from fieldapp.photos.child import main; main()")
_PACKAGES = Path(__file__).resolve().parents[2]


class Unpacker:
    """One process, started when it is needed; used by one thread at a time."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._photos = 0

    def ask(self, question: str, photo: IO[bytes]) -> tuple[dict[str, Any], bytes] | None:
        """What the process says of a photo, asked as `child.question`; None if it died over it or took too long."""
        process = self._running()
        dead_after = threading.Timer(WITHIN_S, process.kill)
        dead_after.start()
        try:
            answer = _asked(process, question, photo)
        except (OSError, ValueError):       # its pipe broke, or it said half of something
            answer = None
        finally:
            dead_after.cancel()
        self._photos += 1
        if answer is None or self._photos >= LONG_LIFE:
            self.end()
        return answer

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None or self._process.poll() is not None:
            self.end()
            self._process = subprocess.Popen(
                [sys.executable, "-c", _START, str(_PACKAGES)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL, env={**os.environ, **ONE_THREAD})
        return self._process

    @property
    def process_id(self) -> int | None:
        """Of the process, if there is one."""
        return self._process.pid if self._process is not None else None

    def end(self) -> None:
        """End the process, whatever it does."""
        process, self._process, self._photos = self._process, None, 0
        if process is not None:
            process.kill()
            process.communicate()


def _asked(process: subprocess.Popen[bytes], question: str, photo: IO[bytes]) -> tuple[dict[str, Any], bytes] | None:
    assert process.stdin is not None
    assert process.stdout is not None
    child.send(process.stdin, question.encode())
    left = MAX_PHOTO_BYTES + 1          # one too many tells that it is too large
    while left > 0 and (piece := photo.read(min(left, PIECE_BYTES))):
        child.send(process.stdin, piece)
        left -= len(piece)
    child.send(process.stdin, b"")
    process.stdin.flush()
    said, content = child.received(process.stdout), child.received(process.stdout)
    return None if said is None or content is None else (json.loads(said), content)


class Unpackers:
    """As many as may run at once, and a short queue before them."""

    def __init__(self, at_once: int = at_a_time(sys.platform), waiting: int = WAITING) -> None:
        self.idle = [Unpacker() for _ in range(at_once)]
        self.room = threading.BoundedSemaphore(at_once + waiting)
        self._slots = threading.BoundedSemaphore(at_once)

    def symbols(self, photo: IO[bytes], known: KnownLabels = USUAL) -> Reading:
        """Texts of all QR symbols in a photo, or why there are none; never raises for bad data."""
        answer = self._ask(child.question("symbols", known), photo)
        if isinstance(answer, str):
            return Reading(problem=answer)
        said, _ = answer
        return Reading(tuple(said["texts"]), said["problem"]) if "texts" in said else Reading(problem=said["problem"])

    def small_jpeg(self, photo: IO[bytes]) -> bytes | Problem:
        """The picture as a JPEG of ours, without metadata; or what is wrong with it."""
        answer = self._ask(child.question("small"), photo)
        if isinstance(answer, str):
            return answer
        said, content = answer
        problem: Problem | None = said.get("problem")
        return problem or content

    def _ask(self, question: str, photo: IO[bytes]) -> tuple[dict[str, Any], bytes] | Problem:
        if not self.room.acquire(blocking=False):
            return "busy"
        try:
            with self._slots:
                mine = self.idle.pop()
                try:
                    return mine.ask(question, photo) or "broken"
                finally:
                    self.idle.append(mine)
        finally:
            self.room.release()

    def end(self) -> None:
        """End all processes that are not at work; those that are end with the program."""
        for each in self.idle:
            each.end()


UNPACKERS = Unpackers()
"""Those of this program."""
atexit.register(UNPACKERS.end)
