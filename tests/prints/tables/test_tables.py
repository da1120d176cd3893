"""The tables for other programs, read as another program would read them."""

import csv
import io
import math

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.cutting import cutting_plan
from fieldapp.kit.kit import Kit
from fieldapp.prints.tables import tables

Rows = list[dict[str, str]]


@pytest.fixture(scope="module")
def kit() -> Kit:
    return build_kit(orchard_hall())


@pytest.fixture(scope="module")
def texts(kit: Kit) -> dict[str, str]:
    return tables(kit, cutting_plan(kit))


@pytest.fixture(scope="module")
def rows(texts: dict[str, str]) -> dict[str, Rows]:
    return {name: list(csv.DictReader(io.StringIO(text))) for name, text in texts.items()}


def test_headings(texts: dict[str, str]) -> None:
    assert {name: text.split("\n")[0] for name, text in texts.items()} == {
        "struts.csv": "place,part,class,end_1_hub,end_1_arm,end_2_hub,end_2_arm,centre_length_mm,cut_length_mm",
        "hubs.csv": "place,part,class,mirror_class,ring,x_mm,y_mm,z_mm,arm_count",
        "arms.csv": "hub,arm,strut,end,azimuth_deg,dip_deg",
        "parts.csv": "part,kind,class,made_for,cut_length_mm,mass_kg,carries",
        "cutting.csv": "pattern,bars,class,pieces_per_bar,cut_length_mm,offcut_mm",
    }


def test_one_row_each_in_order(rows: dict[str, Rows]) -> None:
    assert [row["place"] for row in rows["hubs.csv"]] == [f"H{n:02d}" for n in range(1, 62)]
    assert [row["place"] for row in rows["struts.csv"]] == [f"S{n:03d}" for n in range(1, 166)]
    assert len(rows["arms.csv"]) == 2 * 165
    assert len(rows["parts.csv"]) == 259


def test_decimals(texts: dict[str, str]) -> None:
    assert texts["struts.csv"].split("\n")[1] == "S001,OH-S001-7,D,H01,3,H02,2,1319.72,1129.72"
    assert texts["hubs.csv"].split("\n")[1] == "H01,OH-H01-6,1,,1,0.00,-3148.02,0.00,4"
    assert texts["arms.csv"].split("\n")[1] == "H01,1,S045,1,31.074,11.311"
    fields = {field for text in texts.values() for line in text.split("\n") for field in line.split(",")}
    assert fields.isdisjoint({"-0.00", "-0.000", "360.000"})


def test_lengths_follow_from_the_hubs(rows: dict[str, Rows]) -> None:
    at = {row["place"]: tuple(float(row[f"{axis}_mm"]) for axis in "xyz") for row in rows["hubs.csv"]}
    for row in rows["struts.csv"]:
        centre_mm = float(row["centre_length_mm"])
        assert math.dist(at[row["end_1_hub"]], at[row["end_2_hub"]]) == pytest.approx(centre_mm, abs=0.02)
        assert float(row["cut_length_mm"]) == pytest.approx(centre_mm - 2 * 95.0, abs=0.01)


def test_arms_and_struts_agree(rows: dict[str, Rows]) -> None:
    arms = {(row["hub"], row["arm"]): (row["strut"], row["end"]) for row in rows["arms.csv"]}
    for row in rows["struts.csv"]:
        for end in ("1", "2"):
            assert arms[row[f"end_{end}_hub"], row[f"end_{end}_arm"]] == (row["place"], end)


def test_cutting_gives_every_strut_and_spare(rows: dict[str, Rows]) -> None:
    for letter in "ABCD":
        wanted = sum(row["class"] == letter and row["kind"] == "strut" for row in rows["parts.csv"])
        given = [int(row["bars"]) * int(row["pieces_per_bar"]) for row in rows["cutting.csv"] if row["class"] == letter]
        assert sum(given) == wanted


def test_same_kit_same_bytes(texts: dict[str, str]) -> None:
    again = build_kit(orchard_hall())
    assert tables(again, cutting_plan(again)) == texts
