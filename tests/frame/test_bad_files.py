"""Design files that no maker would write, and some that an editor might: read or refused in words, no traceback."""

from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import DesignError
from fieldapp.frame.design import Design
from fieldapp.frame.design_file import read_design
from fieldapp.frame.template import STARTER, design_text

TEXT = design_text(STARTER)
LINES = [number for number, line in enumerate(TEXT.splitlines()) if " = " in line and not line.startswith("# ")]
VALUES = ["9" * 5_000, "0x" + "f" * 5_000, "9" * 5_000 + ".0", "1e308", "-1e308", "1e-308", "nan", "inf", "-inf", "0",
          "-1", "[" * 400 + "]" * 400,
          "[" * 5_000 + "]" * 5_000, "{a=" * 900 + "1" + "}" * 900, "[[], {}, true]", "true",
          "2020-01-01", '""', '"' + "x" * 5_000 + '"', '"\u202ex"', '"\\u0000"', '"\\ud800"', '"H01"', '["H01"]',
          '["H99999999999999999999"]', "[1e300, 1e300, 1e300]", "'''\n\n'''", "", "=", '"http://[::1"']


def written(tmp_path: Path, text: str | bytes) -> Path:
    path = tmp_path / "design.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
    return path


def test_a_byte_order_mark_is_taken(tmp_path: Path) -> None:
    assert read_design(written(tmp_path, "\ufeff" + TEXT)) == read_design(written(tmp_path, TEXT))


@pytest.mark.parametrize("name", ["My \u202eframe", "My\u200bframe", "\u2066x\u2069", "a\u00adb", "a\U000e0041b",
                                  "a\u00a0b", "a\u3164b", "a\ufe0fb", "a\u2028b", "a\tb"])
def test_names_that_read_otherwise_than_they_are_typed_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(DesignError) as refused:
        read_design(written(tmp_path, TEXT.replace('"My frame"', f'"{name}"')))
    said = str(refused.value)
    assert "design.toml" in said
    assert said.isprintable()       # the message itself hides nothing


@pytest.mark.parametrize("name", ["Ängsladan 2", "Šopa", "Œuvre", "O'Hall", "日本", "Θέρος", "a b"])
def test_names_in_other_letters_are_taken(tmp_path: Path, name: str) -> None:
    assert read_design(written(tmp_path, TEXT.replace('"My frame"', f'"{name}"'))).frame.name == name


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], derandomize=True)
@given(changes=st.lists(st.tuples(st.sampled_from(LINES), st.sampled_from(VALUES)), min_size=1, max_size=4))
def test_whatever_stands_in_it_is_read_or_refused_in_words(tmp_path: Path, changes: list[tuple[int, str]]) -> None:
    lines = TEXT.splitlines()
    for number, value in changes:
        lines[number] = lines[number].partition(" = ")[0] + " = " + value
    said = read_or_refused(written(tmp_path, "\n".join(lines)))
    assert len(said) < 8_000


def read_or_refused(path: Path) -> str:
    """What is said of a file; empty if it is a design."""
    with suppress(DesignError):
        assert isinstance(read_design(path), Design)
        return ""
    with pytest.raises(DesignError) as refused:
        read_design(path)
    return str(refused.value)


@pytest.mark.parametrize("text", [b"", b"\xff\xfe[\x00f\x00", b"[frame]\n[frame]\n", b"\x00", b"[x" + b".a" * 3_000,
                                  b"x = " + b"[" * 3_000, b"= 1", b"\xef\xbb\xbf\xef\xbb\xbf"])
def test_files_that_are_no_design(tmp_path: Path, text: bytes) -> None:
    said = read_or_refused(written(tmp_path, text))
    assert "design.toml" in said or not text.strip()
