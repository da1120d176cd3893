"""A folder's files take their places at once, or it is as it was."""

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from owner_alone import owner_alone

from fieldapp.base.errors import KitError
from fieldapp.kit.atomic import MAKING, all_at_once, write_atomic


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A kit that was made before."""
    for name in ("kit.json", "paper/labels.pdf", "paper/own.txt"):
        write_atomic(tmp_path / name, b"old")
    return tmp_path


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def write_three(ready: Path) -> None:
    for name in ("kit.json", "tables/struts.csv", "paper/labels.pdf"):
        write_atomic(ready / name, b"new")


def test_all_take_their_places_and_the_last_one_is_last(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    order: list[str] = []
    replace = os.replace
    monkeypatch.setattr(os, "replace", lambda old, new: (order.append(Path(new).name), replace(old, new)))
    with all_at_once(folder, "kit.json") as ready:
        write_three(ready)
        order.clear()
        assert contents(folder)["kit.json"] == b"old"
    assert order == ["labels.pdf", "struts.csv", "kit.json"]
    assert contents(folder) == {"kit.json": b"new", "paper/labels.pdf": b"new", "tables/struts.csv": b"new",
                                "paper/own.txt": b"old"}


def test_a_refusal_leaves_the_folder_as_it_was(folder: Path) -> None:
    before = contents(folder)
    def make() -> None:
        with all_at_once(folder, "kit.json") as ready:
            write_three(ready)
            raise KitError("no way")

    with pytest.raises(KitError, match="no way"):
        make()
    assert contents(folder) == before
    assert not list(folder.glob(f"{MAKING}*"))


def test_where_one_cannot_take_its_place_all_are_taken_back(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before, replace = contents(folder), os.replace

    def open_elsewhere(old: Path, new: Path) -> None:
        if Path(new) == folder / "tables" / "struts.csv":
            raise PermissionError(13, "Permission denied", str(old), None, str(new))
        replace(old, new)

    monkeypatch.setattr(os, "replace", open_elsewhere)

    def make() -> None:
        with all_at_once(folder, "kit.json") as ready:
            write_three(ready)

    with pytest.raises(KitError, match=r"struts\.csv cannot be written: Permission denied.*Nothing was changed"):
        make()
    assert contents(folder) == before


def test_what_a_killed_run_left_is_removed_after_a_day(folder: Path) -> None:
    old, young = folder / f"{MAKING}old", folder / f"{MAKING}young"
    for left in (old, young):
        left.mkdir()
    days_ago = time.time() - 2 * 24 * 3600
    os.utime(old, (days_ago, days_ago))
    with all_at_once(folder, "kit.json"):
        pass
    assert (old.exists(), young.exists()) == (False, True)


@pytest.mark.skipif(os.name != "posix", reason="folders cannot be opened to be synced there")
def test_names_are_on_the_disk_too(folder: Path, names_left: Callable[[], set[Path]]) -> None:
    write_atomic(folder / "kit.json", b"newer")
    assert names_left() == set()
    with all_at_once(folder, "kit.json") as ready:
        write_three(ready)
    assert names_left() == set()


def test_a_secret_is_its_owners_from_the_first_byte(folder: Path) -> None:
    write_atomic(folder / "key.json", b"secret", secret=True)
    assert owner_alone(folder / "key.json")
