"""What hubs and struts are made of: one record per material, the source beside each value.

Remarks used below. *Our choice*: no text could be read for it; equal to or more careful than what is known.
*Common practice, no source*: trade knowledge. The maker's own tests (design file) beat every value here.
"""

import difflib
from dataclasses import dataclass, replace
from types import MappingProxyType

from fieldapp.base.duration import GAMMA_M, Duration, Family, k_mod
from fieldapp.base.errors import DesignError
from fieldapp.base.words import marked


@dataclass(frozen=True, slots=True)
class Material:
    """Stiffness, characteristic strengths and density of one material."""

    name: str
    family: Family
    youngs_modulus_mpa: float
    """Mean E, for displacements and forces [N/mm²]."""
    youngs_modulus_05_mpa: float
    """5 % fractile of E, for buckling [N/mm²]; the mean where the code uses the mean."""
    shear_modulus_mpa: float
    density_kg_m3: float
    bending_mpa: float
    """Characteristic bending strength; yield or proof strength of metals [N/mm²]."""
    tension_mpa: float
    compression_mpa: float
    source: str
    rolling_shear_mpa: float | None = None
    """G of a panel that bends flat: its cross plies roll [N/mm²]; None: the same as in its plane."""

    @property
    def shear_flat_mpa(self) -> float:
        """G for bending out of the hub's plane [N/mm²]."""
        return self.shear_modulus_mpa if self.rolling_shear_mpa is None else self.rolling_shear_mpa

    @property
    def gamma_m(self) -> float:
        """Partial factor of the material."""
        return GAMMA_M[self.family]

    def k_mod(self, service_class: int, duration: Duration) -> float:
        """Strength left under a load of this duration in service class 1, 2 or 3."""
        return k_mod(self.family, service_class, duration)

    def design_factor(self, service_class: int, duration: Duration) -> float:
        """k_mod / γ_M: characteristic strength times this is the design strength.

        Source: EN 1995-1-1 (2.14). Test: tests/base/test_materials.py, tests/statics/test_capacity.py

        Examples
        --------
        >>> round(material("birch plywood 12").design_factor(2, "short"), 4)
        0.75
        """
        return self.k_mod(service_class, duration) / self.gamma_m

    def with_own_values(
        self,
        youngs_modulus_mpa: float | None = None,
        shear_modulus_mpa: float | None = None,
        density_kg_m3: float | None = None,
        *,
        bending_mpa: float | None = None,
        compression_mpa: float | None = None,
    ) -> "Material":
        """The same material with the maker's own values in place of those that are given.

        An own E carries E_05 with it in the ratio of the table. An own E without an own G carries G too; an own G
        carries that of rolling.
        """
        ratio = 1.0 if youngs_modulus_mpa is None else youngs_modulus_mpa / self.youngs_modulus_mpa
        shear = self.shear_modulus_mpa * ratio if shear_modulus_mpa is None else shear_modulus_mpa
        return replace(
            self,
            youngs_modulus_mpa=self.youngs_modulus_mpa * ratio,
            youngs_modulus_05_mpa=self.youngs_modulus_05_mpa * ratio,
            shear_modulus_mpa=shear,
            rolling_shear_mpa=None if self.rolling_shear_mpa is None
            else self.rolling_shear_mpa * shear / self.shear_modulus_mpa,
            density_kg_m3=self.density_kg_m3 if density_kg_m3 is None else density_kg_m3,
            bending_mpa=self.bending_mpa if bending_mpa is None else bending_mpa,
            compression_mpa=self.compression_mpa if compression_mpa is None else compression_mpa,
        )


SOURCES: dict[tuple[str, str], str] = {}
"""Source of every value of the table, by material and name of the value."""


def _sourced(name: str, family: Family, source: str, values: dict[str, tuple[float, str]]) -> Material:
    """A material from its values, each with its source beside it."""
    SOURCES.update({(name, field): of for field, (_, of) in values.items()})
    numbers = {field: value for field, (value, _) in values.items()}
    return Material(name=name, family=family, source=source, **numbers)


_FINNISH = ("after the Handbook of Finnish Plywood (Finnish Forest Industries Federation 2002, ISBN 952-9506-63-5), "
            "section 3.1, whose tables could not be read again: our choice")


def _birch_plywood(name: str, moduli_mpa: tuple[float, float], bending_mpa: tuple[float, float],
                   axial_mpa: tuple[float, float], *, density_kg_m3: float) -> Material:
    """Birch plywood by the weaker of its two grain directions: a hub's arms point in every direction."""
    weaker = f"{_FINNISH}, the weaker grain direction"
    return _sourced(
        name, "plywood",
        f"{_FINNISH}, the weaker grain direction; density from a maker's sheet",
        {
            "youngs_modulus_mpa": (min(moduli_mpa), weaker),
            "youngs_modulus_05_mpa": (min(moduli_mpa) * 0.9, "0.9 × mean E; common practice, no source"),
            "shear_modulus_mpa": (620.0, f"{_FINNISH}, panel shear; public data of plywood: 586 to 758"),
            "rolling_shear_mpa": (138.0, "public data of plywood, the least of 138 to 207"),
            "density_kg_m3": (density_kg_m3, "public data sheet of a birch plywood, mean by thickness"),
            "bending_mpa": (min(bending_mpa), weaker),
            "tension_mpa": (axial_mpa[0], f"{_FINNISH}, across the grain"),
            "compression_mpa": (axial_mpa[1], f"{_FINNISH}, across the grain"),
        })


# Pairs are (along, across the face grain). Tension and compression are those across the grain.
_PLYWOODS = (
    _birch_plywood(marked("birch plywood 9"), (11395.0, 6105.0), (45.6, 32.1), (34.2, 23.7), density_kg_m3=710.0),
    _birch_plywood(marked("birch plywood 12"), (10719.0, 6781.0), (42.9, 33.2), (35.0, 24.3), density_kg_m3=695.0),
    _birch_plywood(marked("birch plywood 15"), (10316.0, 7184.0), (41.3, 33.8), (35.5, 24.6), density_kg_m3=690.0),
    _birch_plywood(marked("birch plywood 18"), (10048.0, 7452.0), (40.2, 34.1), (35.8, 24.8), density_kg_m3=685.0),
)

_TEZUKA = "Tezuka & Ito, Waseda University test report, 1990-91"
_PAPER_MEAN = f"half of the mean 10.1 of {_TEZUKA}: a mean of unknown scatter counts as one test, our choice"
_PAPER_TUBE = _sourced(marked("paper tube"), "paper", f"{_TEZUKA}; G and density common practice, no source", {
    "youngs_modulus_mpa": (1820.0, _TEZUKA),
    "youngs_modulus_05_mpa": (1820.0, f"{_TEZUKA}; the scatter is not published"),
    "shear_modulus_mpa": (700.0, "E / 2.6; common practice, no source"),
    "density_kg_m3": (750.0, "common practice, no source"),
    "bending_mpa": (5.05, f"{_PAPER_MEAN}, for bending as along the axis"),
    "tension_mpa": (5.05, f"{_PAPER_MEAN}, for tension as for compression"),
    "compression_mpa": (5.05, _PAPER_MEAN),
})

_EN_338 = "EN 338:2016"
_C24 = _sourced("C24", "timber", _EN_338, {
    "youngs_modulus_mpa": (11000.0, _EN_338),
    "youngs_modulus_05_mpa": (7400.0, _EN_338),
    "shear_modulus_mpa": (690.0, _EN_338),
    "density_kg_m3": (420.0, f"{_EN_338}, mean"),
    "bending_mpa": (24.0, _EN_338),
    "tension_mpa": (14.5, _EN_338),
    "compression_mpa": (21.0, _EN_338),
})

_IN_STEEL_BUILDINGS = "reproduced in Steel Buildings in Europe, part 10, 3.1"
_YIELD = "EN 1993-1-1 Table 3.1, f_y"
_S235 = _sourced("S235", "steel", "EN 1993-1-1 Table 3.1", {
    "youngs_modulus_mpa": (210000.0, f"EN 1993-1-1 3.2.6, {_IN_STEEL_BUILDINGS}"),
    "youngs_modulus_05_mpa": (210000.0, "the mean, with which EN 1993-1-1 buckles"),
    "shear_modulus_mpa": (80770.0, f"E / 2.6, {_IN_STEEL_BUILDINGS}"),
    "density_kg_m3": (7850.0, "our choice: EN 1991-1-1 Table A.4 gives 77.0 to 78.5 kN/m3, the heavier counts"),
    "bending_mpa": (235.0, _YIELD),
    "tension_mpa": (235.0, _YIELD),
    "compression_mpa": (235.0, _YIELD),
})

_PROOF = "our choice: EN 755-2 has 160 for the proof strength f_o up to 3 mm of wall, thicker walls have less"
_TALAT = "European Aluminium Association, TALAT lecture 2301 (1999), example 9.2"
_6060 = _sourced("EN AW-6060 T66", "aluminium", f"EN 755-2; {_TALAT}", {
    "youngs_modulus_mpa": (70000.0, _TALAT),
    "youngs_modulus_05_mpa": (70000.0, "the mean, with which EN 1999-1-1 buckles"),
    "shear_modulus_mpa": (26900.0, "E / 2.6, isotropic with a Poisson's ratio of 0.3"),
    "density_kg_m3": (2700.0, "common practice, no source"),
    "bending_mpa": (150.0, _PROOF),
    "tension_mpa": (150.0, _PROOF),
    "compression_mpa": (150.0, _PROOF),
})

MATERIALS: MappingProxyType[str, Material] = MappingProxyType(
    {m.name: m for m in (*_PLYWOODS, _PAPER_TUBE, _C24, _S235, _6060)}
)
"""Every material by the name the design file uses."""


def material(name: str) -> Material:
    """The material called `name`; capitals and extra spaces do not matter.

    Raises
    ------
    DesignError
        If the table has no such material; the message offers the nearest names.

    Examples
    --------
    >>> material("c24").density_kg_m3
    420.0
    """
    by_key = {_key(known): m for known, m in MATERIALS.items()}
    found = by_key.get(_key(name))
    if found is None:
        raise DesignError(_unknown(name, by_key))
    return found


def _key(name: str) -> str:
    """Name as compared: small letters, single spaces."""
    return " ".join(name.lower().split())


def _unknown(name: str, by_key: dict[str, Material]) -> str:
    """Message for a material that is not in the table."""
    near = [by_key[key].name for key in difflib.get_close_matches(_key(name), by_key, n=3, cutoff=0.4)]
    offer = f"nearest: {', '.join(near)}; " if near else ""
    return (f"material '{name}' is not in the table; {offer}all: {', '.join(sorted(MATERIALS))}. "
            f"Choose the nearest and give your own values beside it in the design file")
