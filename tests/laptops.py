"""A laptop on site that serves a folder in a process of its own, to be killed and moved, and phones that write to it.

What a start takes is reading the program in. Tests start many, so they begin as copies of one process that has read
it; it has no threads and has opened nothing. What is measured, and systems without fork, read it in every time.
"""

import http.client
import json
import multiprocessing
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

START_S = 60.0
COMMAND = "from fieldapp.cli import main; main()"


class Copied:
    """The command in a copy of the process that has read it in; asked like one of `subprocess`."""

    def __init__(self, program, *words):
        self.where = Path(tempfile.mkdtemp())
        said, wrong = self.where / "out", self.where / "err"
        said.touch()
        wrong.touch()
        self.begun = _copies().Process(target=_command, args=(program, [*map(str, words)], said, wrong))
        self.begun.start()
        self.pid = self.begun.pid
        self.stdout, self.stderr = said.open("rb"), wrong.open("rb")

    @property
    def returncode(self):
        return self.begun.exitcode

    def poll(self):
        return self.begun.exitcode

    def kill(self):
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)

    def terminate(self):
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGTERM)

    def wait(self, timeout):
        self.begun.join(timeout)
        if self.begun.exitcode is None:
            raise subprocess.TimeoutExpired("raisebook", timeout)
        shutil.rmtree(self.where, ignore_errors=True)
        return self.begun.exitcode

    def communicate(self, timeout):
        """All that was not read yet, when it has ended."""
        self.wait(timeout)
        return self.stdout.read(), self.stderr.read()


def _copies():
    found = multiprocessing.get_context("forkserver")
    found.set_forkserver_preload(["fieldapp.cli", "fieldapp.web.server", "fieldapp.web.server.serve"])
    return found


def _command(program, words, said, wrong):
    """In the copy: what `python -c` would do with it."""
    for path, handle in ((said, 1), (wrong, 2)):
        with path.open("wb") as file:
            os.dup2(file.fileno(), handle)
    sys.stdout, sys.stderr = os.fdopen(1, "w", buffering=1), os.fdopen(2, "w", buffering=1)
    sys.argv = ["-c", *words]
    exec(program, {"__name__": "__main__"})


def anew(program, *words):
    """A program in a Python of its own."""
    return subprocess.Popen([sys.executable, "-u", "-c", program, *map(str, words)], stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE)


begun = Copied if "forkserver" in multiprocessing.get_all_start_methods() else anew
"""The same as fast as it goes here."""


class Laptop:
    """One laptop on site: a folder, and the command that serves it."""

    program = COMMAND

    def begun(self, *words):
        """The command in a Python of its own."""
        return anew(self.program, *words)

    def __init__(self, folder):
        self.folder = folder
        self.port = _free_port()
        self.process = None
        self.cookie = ""

    def start(self, *words):
        """Serve, with these further words, and wait until pages are answered."""
        self.process = self.begun("serve", self.folder, "--port", self.port, "--host", "127.0.0.1", *words)
        until = time.monotonic() + START_S
        while time.monotonic() < until:
            assert self.process.poll() is None, self.process.stderr.read().decode()
            line = self.process.stdout.readline().decode()
            if not line:
                time.sleep(0.01)
            if "/laptop/" in line:
                self.cookie = self._swapped("/laptop/" + line.strip().rpartition("/laptop/")[2])
                return self
        raise AssertionError("the server did not start")

    def _swapped(self, path):
        """What the laptop's own browser gets for the address that its terminal shows."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
        connection.request("GET", path)
        answer = connection.getresponse()
        answer.read()
        connection.close()
        cookies = [cookie.split(";")[0] for cookie in answer.headers.get_all("Set-Cookie")]
        return next(cookie for cookie in cookies if cookie.startswith("raisebook_laptop="))

    def kill(self):
        """Pull the plug."""
        self.process.kill()
        self.process.wait(timeout=10)
        self.process.stderr.close()
        self.process.stdout.close()

    def stop(self):
        """Stop as Ctrl-C does."""
        if self.process.poll() is None:
            self.process.terminate()
            assert self.process.wait(timeout=30) == 0 or sys.platform == "win32"    # which knows no gentle end
            self.process.stderr.close()
            self.process.stdout.close()


class QuickLaptop(Laptop):
    """The same, there at once."""

    def begun(self, *words):
        return begun(self.program, *words)


class Phone:
    """One phone: its name, its keys, its connection."""

    def __init__(self, name):
        self.name = name
        self.count = 0
        self.laptop = None
        self.connection = None

    def join(self, laptop):
        """Use this laptop from now on."""
        self.laptop = laptop
        self.connection = http.client.HTTPConnection("127.0.0.1", laptop.port, timeout=30)

    def get(self, path):
        """A page: (status, text)."""
        self.connection.request("GET", path, headers={"Cookie": self.laptop.cookie})
        answer = self.connection.getresponse()
        return answer.status, answer.read().decode()

    def wish(self, kind, part=None, place=None, **data):
        """One entry as the phone keeps it until it is answered."""
        self.count += 1
        return {"key": f"{self.name}-{self.count:012d}", "kind": kind, "part": part, "place": place, "who": self.name,
                "data": data}

    def send(self, *wishes):
        """Send; the answers."""
        body = json.dumps({"entries": list(wishes)})
        self.connection.request("POST", "/api/entries", body,
                                {"Content-Type": "application/json", "Cookie": self.laptop.cookie})
        answer = self.connection.getresponse()
        text = answer.read().decode()
        assert answer.status == 200, text
        return json.loads(text)["answers"]

    def write(self, kind, part=None, place=None, **data):
        """One entry that must be kept."""
        [answer] = self.send(self.wish(kind, part, place, **data))
        assert answer["kept"], answer
        return answer["entry"]


def _free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
