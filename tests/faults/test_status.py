"""Exit statuses of the commands, as `--help` lists them: each fault of a folder its number and its words."""

import json
import os
import re
import socket
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest

from fieldapp.cli import main
from fieldapp.kit import build_kit
from fieldapp.kit.file import kit_text, read_kit
from fieldapp.log.opening import open_book


def write(name, content):
    """A fault: a file of the folder that holds something else."""
    return lambda folder: (folder / name).write_text(content)


def make_folder(name):
    def fault(folder):
        (folder / name).unlink(missing_ok=True)
        (folder / name).mkdir()
    return fault


def newer_kit(folder):
    kit = json.loads((folder / "kit.json").read_text())
    (folder / "kit.json").write_text(json.dumps({**kit, "format": 9}))


def newer_log(folder):
    open_book(folder).close()
    with closing(sqlite3.connect(folder / "log.sqlite")) as log, log:
        log.execute("INSERT INTO versions VALUES (4, 'later')")


def log_of_another_kit(folder):
    kit = read_kit(folder)
    frame = kit.design.frame.model_copy(update={"prefix": "MF", "name": "Mill Field"})
    home = (folder / "kit.json").read_text()
    (folder / "kit.json").write_text(kit_text(build_kit(kit.design.model_copy(update={"frame": frame}))))
    open_book(folder).close()
    (folder / "kit.json").write_text(home)


FAULTS = [
    ("kit.json gone", lambda folder: (folder / "kit.json").unlink(), 3, "is not a kit folder: it has no kit.json"),
    ("kit.json cut off", write("kit.json", '{"format": 1,'), 3, "kit.json ends too early"),
    ("kit.json no text", lambda folder: (folder / "kit.json").write_bytes(b"\xff\xfe"), 3, "kit.json is not text"),
    ("kit.json a folder", make_folder("kit.json"), 3, "kit.json cannot be read: "),
    ("kit.json newer", newer_kit, 3, "kit.json has format 9, but this raisebook reads formats up to 1"),
    ("checklist broken", write("checks.toml", "[[hub]]\n"), 3, "checks.toml"),
    ("site key broken", write("site-key.json", "{}"), 3, "site-key.json is not a site key"),
    ("log no database", write("log.sqlite", "once upon a time " * 500), 5, "is damaged or is no log"),
    ("log a folder", make_folder("log.sqlite"), 5, "cannot be opened or written"),
    ("lock a folder", make_folder("log.sqlite.lock"), 5, "cannot be written ("),
    ("log newer", newer_log, 5, "has version 4; this program reads up to version 3"),
    ("log of another kit", log_of_another_kit, 5, "is of kit MF (Mill Field), this is kit OH (Orchard Hall)"),
    ("phrase no text", lambda folder: (folder / "chief-phrase.hash").write_bytes(b"\xff"), 6,
     "chief-phrase.hash cannot be read"),
    ("phrase damaged", write("chief-phrase.hash", "scrypt:1073741824:8:1$salt$00"), 6,
     "chief-phrase.hash cannot be read"),
]


@pytest.mark.parametrize(("fault", "status", "words"), [row[1:] for row in FAULTS], ids=[row[0] for row in FAULTS])
def test_serve_says_what_is_wrong_with_its_folder(folder, command, fault, status, words):
    fault(folder)
    found, said = command("serve", folder, "--port", "0", "--host", "127.0.0.1")
    assert (found, words in said) == (status, True), said
    assert said.startswith("raisebook: ")
    assert "Traceback" not in said


def test_serve_says_what_is_wrong_with_its_port(folder, command):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        for words, said in ((("--port", port), f"port {port} is in use by another program"),
                            (("--port", 0, "--https", "--https-port", port), f"port {port} cannot be opened for HTTPS"),
                            (("--port", 70000), "port must be 0 to 65535, got 70000"),
                            (("--port", 0, "--host", "192.0.2.1"), "is not an address of this machine"),
                            (("--port", 0, "--https", "--host", "192.0.2.1"), "cannot be opened for HTTPS"),
                            (("--port", 0, "--chief-phrase", "short"), "has 5 characters; 8 to 200 are allowed")):
            status, found = command("serve", folder, "--host", "127.0.0.1", *words)
            assert (status, said in found) == (6, True), found
    assert command("serve", folder, "--port", "many")[0] == 2


def test_a_folder_that_is_served_already(folder, command):
    with open_book(folder):
        for words in (("serve", folder, "--port", "0"), ("log", "import", folder, lines_of(folder, command)),
                      ("restore", folder, backup_of(folder, command))):
            status, said = command(*words)
            assert (status, "is open in another raisebook on this computer" in said) == (5, True), said


def lines_of(folder, command):
    assert command("log", "export", folder, "--to", folder / "day.jsonl")[0] == 0
    return folder / "day.jsonl"


def backup_of(folder, command):
    assert command("backup", folder, "--to", folder / "copy.sqlite")[0] == 0
    return folder / "copy.sqlite"


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGTERM to send there")
def test_a_stop_is_no_fault(folder, serve):
    laptop = serve(folder)
    assert laptop.said() == ""
    assert laptop.process.returncode == 0


def test_a_labelled_kit_whose_way_breaks_is_served_with_a_warning(folder, serve, browser):
    """Whoever holds its parts needs its pages, and to be told on every one of them; a new kit is not made so."""
    kit = read_kit(folder)
    raising = kit.design.raising.model_copy(update={"way": "crown first"})
    (folder / "kit.json").write_text(kit_text(build_kit(kit.design.model_copy(update={"raising": raising}))))
    status, page = browser(serve(folder)).get("/")
    assert status == 200
    assert "Warning: this way breaks" in page
    assert "Do not raise it so." in page


def test_the_command_itself_ends_with_the_status(folder):
    """Not only within Python: what a script or a service would see."""
    (folder / "kit.json").unlink()
    code = "from fieldapp.cli import main; main()"
    done = subprocess.run([sys.executable, "-c", code, "serve", folder], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (3, "")
    assert re.fullmatch(r"raisebook: .* is not a kit folder.*\n", done.stderr)


def test_the_help_lists_them(command):
    for words in (("--help",), ("serve", "--help")):
        said = " ".join(command(*words)[1].split())
        assert "2 wrong words or a design that cannot be built" in said
        assert "3 the kit cannot be read" in said
        assert "5 the log cannot be opened" in said
        assert "6 the server cannot start" in said
    assert main.epilog


def test_no_command_reads_a_log_of_another_kit(folder, command):
    log_of_another_kit(folder)
    for words in (("show", folder, "H01"), ("labels", folder, "--out", folder / "labels.pdf"), ("checks", folder),
                  ("log", "export", folder)):
        status, said = command(*words)
        assert (status, "is of kit MF (Mill Field), this is kit OH" in said) == (5, True), said


@pytest.mark.parametrize("encoding", ["ascii", pytest.param("cp1252", marks=pytest.mark.thorough)])
def test_no_command_ends_over_a_letter_that_the_terminal_does_not_know(encoding):
    """The table of sources holds Greek letters, roots and arrows."""
    done = subprocess.run([sys.executable, "-c", "from fieldapp.cli import main; main()", "sources"], check=False,
                          capture_output=True, env={**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"})
    assert (done.returncode, done.stderr) == (0, b"")
