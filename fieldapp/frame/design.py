"""The design: what the maker answered in `design.toml`, checked once at the door.

Sections and their fields are records; `read_design` reads a file, `design_text` (frame.template)
writes a commented one.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field


class Section(BaseModel):
    """A section of the design file: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=False, allow_inf_nan=False)


class FrameSection(Section):
    """[frame]: the shape."""

    name: str = "My frame"
    prefix: str = "MF"
    frequency: int = Field(3, ge=1, le=16)
    subdivision: Literal["equal chords", "equal arcs"] = "equal chords"
    cut: str = "5/9"
    level_base: bool = True
    diameter_m: float | None = None
    height_m: float | None = None
    longest_strut_m: float | None = None
    """Exactly one of the three sizes. longest_strut_m is the longest cut length that the stock allows."""
    tolerance_mm: float = 0.5
    tolerance_deg: float = 0.05
    doorway: bool = False


class StrutSection(Section):
    """[strut]: what the struts are made of."""

    section: Literal["tube", "rod"] = "tube"
    material: str = "paper tube"
    outer_mm: float = 60.0
    wall_mm: float | None = 4.0
    stock_mm: float = 2400.0
    kerf_mm: float = 3.0
    youngs_modulus_mpa: float | None = None
    shear_modulus_mpa: float | None = None
    density_kg_m3: float | None = None
    bending_strength_mpa: float | None = None
    compression_strength_mpa: float | None = None
    """The five: None means the material's own value (base.materials)."""


class HubSection(Section):
    """[hub]: how hubs hold their struts."""

    joint: Literal["flat arm", "bolted end", "spring"] = "flat arm"
    material: str = "birch plywood 12"
    reach_mm: float = 95.0
    plies: int = 1
    ply_mm: float = 12.0
    arm_depth_mm: float = 45.0
    """In-plane width of the arm; the plies' thickness is the out-of-plane (weak) depth."""
    mass_kg: float = 0.42
    youngs_modulus_mpa: float | None = None
    shear_modulus_mpa: float | None = None
    density_kg_m3: float | None = None
    design_strength_mpa: float | None = None
    """Overrides characteristic strength × k_mod / γ_M."""
    stiffness_out_nm_rad: float | None = None
    """joint "spring" or "bolted end": rotational stiffness out of plane; 0 is a pin."""
    stiffness_in_nm_rad: float | None = None
    test_lever_mm: float | None = None
    test_loads_n: tuple[float, ...] = ()
    """Break tests: loads at which arms broke, hung at the lever from the arm's root."""
    test_scatter: float | None = None
    """Coefficient of variation if known beforehand."""


class SparesSection(Section):
    """[spares]: parts made for no place."""

    hubs_most_common: int = 0
    hubs_each_other: int = 0
    struts_each: int = 0


class CrewSection(Section):
    """[crew]: who raises it, with what."""

    people: int = 8
    lifters: int = 0
    """How many of them may lift."""
    platform_m: float | None = None
    """Standing height of the highest platform or scaffold."""
    ladder_m: float | None = None
    """Standing height on the step ladders."""
    push_n: float = 110.0
    minutes_per_step: float = 4.0


class RaisingSection(Section):
    """[raising]: the way of raising and the conditions it is judged for."""

    way: Literal["recommended", "ring by ring", "crown first", "crown set on last", "wedge by wedge", "own order"] = (
        "recommended"
    )
    own_order: tuple[str, ...] = ()
    accept_breaking: bool = False
    """Explicit line needed to choose a way whose arm use passes 1."""
    service_class: Literal[1, 2, 3] = 2
    terrain: Literal["0", "I", "II", "III", "IV"] = "II"
    crown_piece_struts: int | None = None
    leave_out: tuple[str, ...] = ()


class LabelsSection(Section):
    """[labels]: the sheet stock, described in mm."""

    paper: Literal["A4", "Letter"] = "A4"
    columns: int = 2
    rows: int = 7
    label_width_mm: float = 99.0
    label_height_mm: float = 38.0
    margin_left_mm: float = 4.5
    margin_top_mm: float = 15.5
    gap_x_mm: float = 3.0
    gap_y_mm: float = 0.0
    scratch_resistant: bool = False
    printer_dpi: int | None = None


class SiteSection(Section):
    """[site]: what phones will find."""

    address: str = "http://10.0.0.1:8000"
    wifi_name: str | None = None
    wifi_password: str | None = None


class Design(Section):
    """The whole design file."""

    frame: FrameSection = FrameSection()
    strut: StrutSection = StrutSection()
    hub: HubSection = HubSection()
    spares: SparesSection = SparesSection()
    crew: CrewSection = CrewSection()
    raising: RaisingSection = RaisingSection()
    labels: LabelsSection = LabelsSection()
    site: SiteSection = SiteSection()
