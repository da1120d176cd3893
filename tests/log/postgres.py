"""A PostgreSQL server of its own for a run of tests: in a passing folder, on a socket, gone afterwards."""

import getpass
import os
import shutil
import socket
import subprocess
import time
from contextlib import suppress
from glob import glob
from itertools import count
from pathlib import Path
from tempfile import mkdtemp

import sqlalchemy as sa

from fieldapp.log.shared.connecting import engine_for
from fieldapp.log.shared.tables import prepare, schema_of

SETTINGS = {"fsync": "off", "full_page_writes": "off", "max_connections": "80",
            "listen_addresses": "127.0.0.1", "shared_buffers": "'16MB'"}
"""As little waiting for the disk as there can be: what a disk keeps is PostgreSQL's own business."""


def binaries():
    """The folder of initdb and pg_ctl: Debian's, whatever its version, or on the path; None if there is none."""
    found = [Path(path) for path in sorted(glob("/usr/lib/postgresql/*/bin"), reverse=True)]
    on_path = shutil.which("pg_ctl")
    found += [Path(on_path).resolve().parent] if on_path else []
    return next((folder for folder in found if (folder / "initdb").exists()), None)


class Server:
    """One server with one owner, who makes databases; `copy_of` another: its standby."""

    def __init__(self, folder=None, copy_of=None, **settings):
        self.settings = {**SETTINGS, **settings}
        self.folder = folder or Path(mkdtemp(prefix="pg"))
        self._copied = copy_of
        self.programs, self._numbers, self._as = binaries(), count(), {}
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port = free.getsockname()[1]
        try:
            self._begin()
        except BaseException:
            shutil.rmtree(self.folder, ignore_errors=True)
            raise

    def _begin(self):
        if getattr(os, "getuid", lambda: 1)() == 0:        # it refuses to run with all rights
            import pwd  # not on Windows

            nobody = pwd.getpwnam("nobody")
            os.chown(self.folder, nobody.pw_uid, nobody.pw_gid)
            self._as = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}
        if self._copied is None:
            self.run("initdb", "-D", self.data, "-U", "owner", "-A", "trust", "--no-sync", "-E", "UTF8", "--locale=C",
                     "--wal-segsize=1")
        else:
            self.run("pg_basebackup", "-D", self.data, "-R", "-X", "stream", "-c", "fast", "--no-sync", "-U", "owner",
                     "-h", self._copied.folder, "-p", self._copied.port)
        self.start()

    def ask(self, statement):
        """The owner's word, outside of any transaction."""
        with sa.create_engine(self.address().replace("postgresql:", "postgresql+psycopg:"),
                              isolation_level="AUTOCOMMIT").connect() as owner:
            owner.execute(sa.text(statement))

    def told(self, question):
        """What the database says to the owner's question: one value."""
        engine = sa.create_engine(self.address().replace("postgresql:", "postgresql+psycopg:"))
        try:
            with engine.connect() as owner:
                return owner.execute(sa.text(question)).scalar()
        finally:
            engine.dispose()

    def wait(self):
        """Until it takes connections again, after one of its processes was killed."""
        end = time.monotonic() + 30
        while time.monotonic() < end:
            with suppress(sa.exc.OperationalError):
                return self.told("SELECT 1")
            time.sleep(0.05)
        raise AssertionError((self.folder / "said.txt").read_text()[-2000:])

    def database(self, kit=None, how=""):
        """Name of a new database; with the tables of a kit, if one is given, which the role `site` may serve."""
        name = f"yard{next(self._numbers)}"
        self.ask(f"CREATE DATABASE {name} {how}")
        if kit is not None:
            engine = engine_for(self.address(database=name), schema_of(kit))
            for _twice in range(2):
                with engine.begin() as owner:
                    prepare(owner, kit, role="site")
            engine.dispose()
        return name

    @property
    def data(self):
        return self.folder / "data"

    def address(self, role="owner", database="postgres"):
        return f"postgresql://{role}@/{database}?host={self.folder}&port={self.port}"

    def start(self):
        settings = " ".join(f"-c {name}={value}" for name, value in self.settings.items())
        self.run("pg_ctl", "-D", self.data, "-w", "-l", self.folder / "said.txt", "-o",
                  f"-k {self.folder} -p {self.port} {settings}", "start")

    def stop(self, how="fast"):
        self.run("pg_ctl", "-D", self.data, "-w", "-m", how, "stop")

    def remove(self):
        """End it, if it runs, and take its folder away."""
        try:
            if (self.data / "postmaster.pid").exists():
                self.stop("immediate")
        finally:
            shutil.rmtree(self.folder, ignore_errors=True)

    def run(self, program, *words):
        """One of the database's own programs, as whoever the server runs as."""
        done = subprocess.run([self.programs / program, *map(str, words)], capture_output=True, text=True, cwd="/",
                              env={"PATH": os.environ["PATH"], "LC_ALL": "C", "USER": getpass.getuser()}, **self._as)
        assert done.returncode == 0, f"{program}: {done.stdout}{done.stderr}"
