"""`raisebook serve` in a process of its own, with a disk that can be made to fail and to work again."""

import http.client
import json
import os
import shutil
import sqlite3
import subprocess
from contextlib import contextmanager
from urllib.parse import urlencode

import pytest
from click.testing import CliRunner
from small_frame import SPARES, small_design

from fieldapp.cli import main
from fieldapp.frame.design import RaisingSection
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.log.opening import open_book

SMALL = small_design(spares=SPARES, raising=RaisingSection(way="ring by ring"))

PROGRAM = """
import sys
from pathlib import Path
import sqlalchemy as sa
from fieldapp.cli import main

switch = Path(sys.argv[2]) / "switch"

@sa.event.listens_for(sa.engine.Engine, "begin")
def fail(connection):
    said = switch.read_text() if switch.exists() else ""
    connection.exec_driver_sql(f"PRAGMA max_page_count = {1 if said == 'full' else 1000000}")
    connection.exec_driver_sql(f"PRAGMA query_only = {int(said == 'readonly')}")

main()
"""
"""The command, on a disk that is full (the database may not grow: at one page it keeps the size it has) or
write-protected as long as a file in its folder says so."""


@pytest.fixture(scope="session")
def made_kit(tmp_path_factory):
    """A kit's folder with its plan, as it is before the first serve."""
    folder = tmp_path_factory.mktemp("made") / "kit"
    write_kit(folder, build_kit(SMALL))
    open_book(folder).close()
    (folder / "log.sqlite").unlink()
    return folder


@pytest.fixture
def folder(made_kit, tmp_path):
    """A fresh copy of it."""
    return shutil.copytree(made_kit, tmp_path / "kit")


@pytest.fixture
def serve(laptop_class):
    """Call it with a folder, and further words, for its laptop, serving; what still runs at the end is stopped."""
    running = []

    class Failing(laptop_class):
        program = PROGRAM

        def said(self):
            """Stop it, and what its terminal said in trouble."""
            self.process.terminate()
            said = self.process.communicate(timeout=30)[1].decode()
            assert "Traceback" not in said, said
            return said

    def start(of, *words):
        running.append(Failing(of).start(*words))
        return running[-1]

    yield start
    for laptop in running:
        if laptop.process.poll() is None:
            laptop.kill()


class Browser:
    """A phone as its browser speaks: pages, presses of buttons, polls; in its language."""

    def __init__(self, laptop, language="en"):
        self.laptop = laptop
        self.language = language

    def ask(self, method, path, body=None, kind=None):
        """Status and text."""
        connection = http.client.HTTPConnection("127.0.0.1", self.laptop.port, timeout=10)
        headers = {"Accept-Language": self.language, "Cookie": self.laptop.cookie,
                   **({"Content-Type": kind} if kind else {})}
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        text = answer.read().decode()
        connection.close()
        assert answer.headers["Server"] == "raisebook"       # static/sending.js takes no other's word for it
        return answer.status, text

    def get(self, path):
        """A page."""
        return self.ask("GET", path)

    def press(self, path, key, **fields):
        """A press as static/queue.js sends it, and sends it again."""
        form = {"key": key, "sent_at": "2026-05-01T10:14:00.000Z", **fields}
        return self.ask("POST", path, urlencode(form), "application/x-www-form-urlencoded")

    def batch(self, *wishes):
        """Several entries at once: status and what was said of each."""
        status, text = self.ask("POST", "/api/entries", json.dumps({"entries": list(wishes)}), "application/json")
        return status, json.loads(text)

    def trouble(self, since=0):
        """What a poll says is wrong."""
        return json.loads(self.get(f"/api/state?since={since}")[1])["trouble"]


@pytest.fixture
def browser():
    return Browser


@contextmanager
def _switched(laptop, word):
    (laptop.folder / "switch").write_text(word)
    yield
    (laptop.folder / "switch").unlink()


@contextmanager
def _locked(laptop, word):
    other = sqlite3.connect(laptop.folder / "log.sqlite")
    other.execute("BEGIN EXCLUSIVE")
    yield
    other.close()


@contextmanager
def _failing(laptop, word):
    """The kernel takes no byte more beyond the end of the last page: the database hears of an input or output error."""
    import resource  # not on Windows; and only Linux sets the limits of another process

    reach = (laptop.folder / "log.sqlite-wal").stat().st_size
    resource.prlimit(laptop.process.pid, resource.RLIMIT_FSIZE, (reach, resource.RLIM_INFINITY))
    yield
    resource.prlimit(laptop.process.pid, resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))


@pytest.fixture
def broken():
    """Call it with a laptop and a word: inside, its disk is as the word says."""
    ways = {"full": _switched, "readonly": _switched, "locked": _locked, "io": _failing}
    return lambda laptop, word: ways[word](laptop, word)


@pytest.fixture
def command():
    """Call it with the words of a command: exit status, and all that it said."""

    def run(*words):
        answer = CliRunner().invoke(main, [str(word) for word in words])
        assert answer.exception is None or isinstance(answer.exception, SystemExit), answer.exception
        return answer.exit_code, answer.output

    return run


def _mounted(place):
    """A file system of one megabyte at that place; False if none may be mounted."""
    place.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", "size=1m", "none", str(place)]
    return bool(shutil.which("mount")) and subprocess.run(words, capture_output=True, check=False).returncode == 0


def _unmount(place):
    subprocess.run(["umount", "--lazy", str(place)], check=True)


@pytest.fixture
def small_disk(tmp_path):
    """The folder of a disk of one megabyte."""
    place = tmp_path / "disk"
    if not _mounted(place):
        pytest.skip("no file system may be mounted here")
    yield place
    _unmount(place)


class Stick:
    """A disk with a switch against writing; a folder without the right to write where no disk may be mounted."""

    def __init__(self, place):
        self.place = place
        self.mounted = _mounted(place)

    @contextmanager
    def write_protected(self):
        """Inside, nothing on it can be changed."""
        self._switch("ro")
        yield
        self._switch("rw")

    def _switch(self, to):
        if self.mounted:
            subprocess.run(["mount", "-o", f"remount,{to}", str(self.place)], check=True)
            return
        for path in (self.place, *self.place.rglob("*")):
            path.chmod(path.stat().st_mode & ~0o222 if to == "ro" else path.stat().st_mode | 0o200)


@pytest.fixture
def stick(tmp_path):
    """A USB stick."""
    found = Stick(tmp_path / "usb")
    if not found.mounted and (os.name != "posix" or os.geteuid() == 0):
        pytest.skip("no file system may be mounted here, and rights of folders keep nobody from writing")
    yield found
    if found.mounted:
        _unmount(found.place)
