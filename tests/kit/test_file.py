"""`kit.json`: written whole, read back, and refused when it is not right."""

import codecs
import json
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fieldapp.base.errors import KitError
from fieldapp.kit.checklist_defaults import write_checks
from fieldapp.kit.checklist_file import read_checks
from fieldapp.kit.file import kit_text, read_kit, write_kit
from fieldapp.kit.kit import Kit
from fieldapp.kit.site_key import site_key

RESTORE = "Restore the file from a backup; it was not touched."


def refusal(folder: Path) -> str:
    with pytest.raises(KitError) as caught:
        read_kit(folder)
    return str(caught.value)


def test_reads_back(folder: Path, kit: Kit) -> None:
    found = read_kit(folder)
    assert (found.design, found.parts) == (kit.design, kit.parts)
    assert kit_text(found) == kit_text(kit) == (folder / "kit.json").read_text(encoding="utf-8")


def test_truncated(folder: Path) -> None:
    path = folder / "kit.json"
    content = path.read_bytes()
    for share in (0.3, 0.9):
        path.write_bytes(content[:int(len(content) * share)])
        assert refusal(folder).startswith("kit.json ends too early (line ")
        assert refusal(folder).endswith(RESTORE)
    path.write_bytes(b"")
    assert refusal(folder).startswith("kit.json ends too early (line 1: ")
    assert refusal(folder).endswith(f"). {RESTORE}")


@pytest.mark.parametrize("text", ['{"format": ' + "9" * 5000 + "}", "[" * 200_000, '{"a":' * 200_000])
def test_beyond_all_reason(folder: Path, text: str) -> None:
    """Numbers of thousands of digits, lists in lists: written by others, here and in the files beside it."""
    (folder / "kit.json").write_text(text, encoding="utf-8")
    assert refusal(folder).startswith("kit.json is damaged (")
    assert refusal(folder).endswith(RESTORE)
    for name, read in (("site-key.json", site_key), ("checks.toml", read_checks)):
        (folder / name).write_text(f"a = {text}" if name == "checks.toml" else text, encoding="utf-8")
        with pytest.raises(KitError, match=re.escape(name)):
            read(folder)


def test_a_byte_order_mark_is_taken(folder: Path, kit: Kit) -> None:
    """Some editors begin a file with one."""
    write_checks(folder, kit.design)
    key = site_key(folder)
    for name in ("kit.json", "checks.toml", "site-key.json"):
        (folder / name).write_bytes(codecs.BOM_UTF8 + (folder / name).read_bytes())
    assert (read_kit(folder).parts, site_key(folder)) == (kit.parts, key)
    assert read_checks(folder).lines("hub")


def test_not_text(folder: Path) -> None:
    (folder / "kit.json").write_bytes(b"{\xff")
    assert refusal(folder) == f"kit.json is not text (byte 1). {RESTORE}"


def test_not_a_kit_folder(tmp_path: Path) -> None:
    assert refusal(tmp_path) == (f"{tmp_path} is not a kit folder: it has no kit.json. Check the path, or begin one "
                                 f"with: raisebook new {tmp_path}")
    (tmp_path / "design.toml").touch()
    assert refusal(tmp_path) == (f"{tmp_path} is not a kit folder: it has no kit.json. Check the path, or run: "
                                 f"raisebook make {tmp_path}")


def test_unreadable(tmp_path: Path) -> None:
    (tmp_path / "kit.json").mkdir()
    with pytest.raises(OSError) as caught:      # each system has its own words for it
        (tmp_path / "kit.json").read_bytes()
    assert refusal(tmp_path) == (f"{tmp_path / 'kit.json'} cannot be read: {caught.value.strerror}. "
                                 f"Check the permissions of the file.")


def _set(*keys: Any, to: object) -> Callable[[Any], None]:
    """A change to the file's values."""
    def change(values: Any) -> None:
        for key in keys[:-1]:
            values = values[key]
        values[keys[-1]] = to
    return change


@pytest.mark.parametrize(("change", "said"), [
    (_set("format", to=2), "kit.json has format 2, but this raisebook reads formats up to 1. "
                           "Update raisebook on this computer; the file was not touched."),
    (_set("format", to="x"), f"kit.json is not a kit: it says no format number. {RESTORE}"),
    (_set("parts", to=None), f"kit.json is not a kit: 'NoneType' object is not iterable. {RESTORE}"),
    (_set("parts", 3, to={}), f"kit.json is not a kit: 'kind' is missing. {RESTORE}"),
    (_set("design", "frame", "frequency", to=17),
     "kit.json: frame.frequency is 17; allowed are whole numbers from 1 to 16. "
     f"Choose the number of struts along one edge of the icosahedron. {RESTORE}"),
    (_set("design", "hub", "reach_mm", to=90.0),
     "kit.json does not agree with its own design in 181 parts, first OH-S001-7 (cut length 1129.72 → 1139.72 mm). "
     f"{RESTORE}"),
    (_set("parts", 0, "arms", 1, "azimuth_deg", to=77.0),
     f"kit.json does not agree with its own design in 1 parts, first OH-H01-6 (arm 2 points elsewhere). {RESTORE}"),
    (_set("parts", 70, "part_class", to="9"),
     "kit.json does not hold together: hub class 9 is not in this frame; it has 1, 2L, 2R, 3L, 3R, 4, 5, 6. "
     f"Choose one of these. {RESTORE}"),
])
def test_damaged_or_newer(folder: Path, change: Callable[[Any], None], said: str) -> None:
    path = folder / "kit.json"
    values = json.loads(path.read_text(encoding="utf-8"))
    change(values)
    path.write_text(json.dumps(values), encoding="utf-8")
    assert refusal(folder) == said


def test_a_write_that_fails_leaves_the_old_file(folder: Path, kit: Kit, monkeypatch: pytest.MonkeyPatch) -> None:
    before = (folder / "kit.json").read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    other = Kit(kit.design, kit.frame, kit.parts[:-1], kit.by_id, kit.by_place)
    with pytest.raises(KitError) as caught:
        write_kit(folder, other)
    assert str(caught.value) == (f"{folder / 'kit.json'} cannot be written: No space left on device. Free space on the "
                                 f"disk or change the permissions of the folder, then run the command again.")
    assert (folder / "kit.json").read_bytes() == before
    assert [path.name for path in folder.iterdir()] == ["kit.json"]
