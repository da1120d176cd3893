"""Renews tests/constraints.txt, the releases that README's commands install; says where an environment differs.

    python tests/constraints.py              resolves anew, for every Python and system below, and rewrites the file
    python tests/constraints.py --compare    lists what the running Python has in other releases than the file says

The first needs the package index and the resolver uv, which it installs into a folder that is thrown away. No address
of an index goes into the file.
"""

import importlib.metadata
import os
import subprocess
import sys
import tempfile
import venv
from collections.abc import Iterator
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent
FILE = ROOT / "tests" / "constraints.txt"
PYTHONS = ("3.11", "3.12", "3.13")
SYSTEMS = {
    "linux": {"sys_platform": "linux", "platform_system": "Linux", "os_name": "posix"},
    "macos": {"sys_platform": "darwin", "platform_system": "Darwin", "os_name": "posix"},
    "windows": {"sys_platform": "win32", "platform_system": "Windows", "os_name": "nt"},
}
"""What the markers of a constraint see on each system, named as uv names it."""

MACOS = {"MACOSX_DEPLOYMENT_TARGET": "15.0"}
"""The oldest macOS that wheels are asked for; the test's PDF library has none for older ones."""

HEAD = "# Releases for Python 3.11 to 3.13 on Linux, macOS and Windows; renewed by: python tests/constraints.py\n"


def pins() -> Iterator[Requirement]:
    """The lines of the file."""
    for line in FILE.read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            yield Requirement(line)


def environments() -> Iterator[dict[str, str]]:
    """What markers see, for every Python on every system."""
    for python in PYTHONS:
        for system in SYSTEMS.values():
            yield {"python_version": python, "python_full_version": f"{python}.9", "extra": "",
                   "implementation_name": "cpython", "platform_python_implementation": "CPython", **system}


def renew(uv: list[str], environment: dict[str, str]) -> None:
    """Rewrite the file, then hold every Python on every system against it: all of it must be there as wheels."""
    compiled = [*uv, "pip", "compile", "pyproject.toml", "--all-extras", "--no-header", "--no-annotate", "--quiet"]
    said = subprocess.run([*compiled, "--universal", "--python-version", PYTHONS[0]], cwd=ROOT, env=environment,
                          check=True, stdout=subprocess.PIPE, text=True).stdout
    FILE.write_text(HEAD + said, encoding="utf-8")
    for python in PYTHONS:
        for system in SYSTEMS:
            subprocess.run([*compiled, "--constraints", str(FILE), "--only-binary", ":all:", "--python-version", python,
                            "--python-platform", system], cwd=ROOT, env={**environment, **MACOS}, check=True,
                           stdout=subprocess.DEVNULL)
            print(f"Python {python} on {system}: every release is there as a wheel")


def with_uv() -> None:
    """Renew with a resolver of today, which asks the index that pip is set to."""
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = Path(folder) / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
        subprocess.run([python, "-m", "pip", "install", "--quiet", "uv"], check=True)
        index = subprocess.run([python, "-m", "pip", "config", "get", "global.index-url"], check=False,
                               capture_output=True, text=True).stdout.strip()
        renew([str(python), "-m", "uv"], {**os.environ, **({"UV_DEFAULT_INDEX": index} if index else {})})


def differences() -> list[str]:
    """What is installed here in another release than the file says."""
    lines = []
    for pin in pins():
        if pin.marker and not pin.marker.evaluate():
            continue
        try:
            here = importlib.metadata.version(pin.name)
        except importlib.metadata.PackageNotFoundError:
            here = "missing"
        if not pin.specifier.contains(here if here != "missing" else "0", prereleases=True):
            lines.append(f"{canonicalize_name(pin.name)}: {here} here, {pin.specifier} in the constraints")
    return lines


if __name__ == "__main__":
    if sys.argv[1:] == ["--compare"]:
        print("\n".join(differences()) or "every release is the one in the constraints")
    else:
        with_uv()
