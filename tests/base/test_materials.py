"""The table of materials: names as people type them, published values, own values."""

import pytest

from fieldapp.base.errors import DesignError
from fieldapp.base.materials import MATERIALS, material


@pytest.mark.parametrize("typed", ["C24", "c24", " C24 "])
def test_a_name_is_found_however_it_is_typed(typed: str) -> None:
    assert material(typed).name == "C24"


def test_an_unknown_material_offers_the_nearest_names() -> None:
    with pytest.raises(DesignError, match=r"'birch plywod 12' is not in the table; nearest: birch plywood 12, "):
        material("birch plywod 12")


def test_a_name_like_nothing_still_lists_all() -> None:
    with pytest.raises(DesignError, match=r"all: C24, EN AW-6060 T66, S235, birch plywood 12, .*paper tube"):
        material("zzz")


def test_en_338_2016_c24() -> None:
    c24 = material("C24")
    assert (c24.bending_mpa, c24.tension_mpa, c24.compression_mpa) == (24.0, 14.5, 21.0)
    assert (c24.youngs_modulus_mpa, c24.youngs_modulus_05_mpa, c24.shear_modulus_mpa) == (11000.0, 7400.0, 690.0)


def test_the_plywood_value_is_the_weaker_grain_direction() -> None:
    assert [material(f"birch plywood {t}").bending_mpa for t in (9, 12, 15, 18)] == [32.1, 33.2, 33.8, 34.1]


def test_own_values_win_and_the_rest_follows() -> None:
    own = material("C24").with_own_values(5500.0, bending_mpa=10.0)
    assert (own.youngs_modulus_05_mpa, own.shear_modulus_mpa) == (3700.0, 345.0)
    assert (own.bending_mpa, own.compression_mpa, own.density_kg_m3) == (10.0, 21.0, 420.0)


def test_every_material_names_its_source_and_can_be_computed_with() -> None:
    for m in MATERIALS.values():
        assert m.source
        assert min(m.youngs_modulus_mpa, m.shear_modulus_mpa, m.density_kg_m3, m.compression_mpa) > 0
