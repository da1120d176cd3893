"""[strut], and [struts.NAME] for a file that names sections: what struts are made of, and how the stock is cut."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from fieldapp.frame.questions import ON_ONE_LINE, DesignSection, PositiveNumber, ask

SectionName = Annotated[str, Field(min_length=1, max_length=60, pattern=ON_ONE_LINE)]
END_SIZES = ("plies", "ply_mm", "arm_depth_mm")
"""Sizes of a strut's own flattened end: asked in [hub] for [strut], here for each other section (in no formula)."""
SHARED = ("stock_mm", "kerf_mm", "length_error_mm")
"""Answers of [strut] that count for a section which does not answer them: the saw is the same (in no formula)."""


class StrutSection(DesignSection):
    """[strut]: what the struts are made of."""

    section: Literal["tube", "rod"] = ask(
        "tube", "Are the struts hollow (tube) or solid round (rod)?", "A broom stick is a \"rod\".")
    material: str = ask(
        "paper tube", "What are they made of?", "Choose the nearest material and give your own values below it.")
    outer_mm: float = ask(60.0, "Outer diameter [mm]", "Measure across the strut.", ge=2.0, le=500.0)
    wall_mm: float | None = ask(
        4.0, "Wall thickness of a tube [mm]", "Measure at the end of the tube.", example=2.0, gt=0.0, le=250.0)
    stock_mm: float = ask(
        2400.0, "How long is the stock you buy? [mm]", "Give the length as delivered.", ge=50.0, le=20000.0)
    kerf_mm: float = ask(
        3.0, "How much does each saw cut take? [mm]", "Measure the slot your saw leaves.", ge=0.0, le=20.0)
    length_error_mm: float = ask(1.0, "By how much may a finished strut be too long or too short? [mm]",
        "Measure ten struts and take the largest error.", ge=0.0, le=50.0)
    youngs_modulus_mpa: float | None = ask(
        None, "Own values beat the table. Stiffness E of the material [N/mm²]",
        "Leave the line out to use the table.", example=11000.0, gt=0.0, le=1e6)
    shear_modulus_mpa: float | None = ask(
        None, "Shear stiffness G [N/mm²]", "Leave the line out to use the table.", example=690.0, gt=0.0, le=1e6)
    density_kg_m3: float | None = ask(
        None, "Density [kg/m³]", "Weigh a piece, or leave the line out to use the table.",
        example=420.0, gt=0.0, le=25000.0)
    bending_strength_mpa: float | None = ask(
        None, "Bending strength [N/mm²]", "Leave the line out to use the table.", example=24.0, gt=0.0, le=5000.0)
    compression_strength_mpa: float | None = ask(
        None, "Compression strength [N/mm²]", "Leave the line out to use the table.", example=21.0, gt=0.0, le=5000.0)

    @model_validator(mode="before")
    @classmethod
    def _rod_has_no_wall(cls, answers: Any) -> Any:
        """A rod without an answer about its wall has none."""
        if isinstance(answers, dict) and answers.get("section") == "rod":
            return {"wall_mm": None, **answers}
        return answers


class NamedStrut(StrutSection):
    """[struts.NAME]: what the struts are made of whose lines name this section, or lie on the layer of this name.

    What they are made of and how thick they are is asked anew; nothing of it is taken over from [strut].
    """

    name: SectionName
    section: Literal["tube", "rod"] = Field(description="Hollow or solid?", title="Answer it for every section.")
    material: str = Field(description="Of what?", title="Answer it for every section.")
    outer_mm: float = Field(description="Outer diameter [mm]", title="Answer it for every section.", ge=2.0, le=500.0)
    wall_mm: float | None = ask(None, "Wall thickness of a tube [mm]", "Measure at the end of the tube.", gt=0.0,
                                le=250.0)
    pull_test_n: tuple[PositiveNumber, ...] = ask(
        (), "Pull tests of joints with such struts: at which pulls did they come apart? [N] Those of [hub] say nothing "
        "of them.", "List one number above zero for each.")
    strut_span_mm: float | None = ask(
        None, "Break tests of such struts: how far apart were the two supports, the load hanging in the middle? [mm] "
        "Those of [strength] are of [strut], and say nothing of them.", "Measure between the supports.", gt=0.0,
        le=20000.0)
    strut_loads_n: tuple[PositiveNumber, ...] = ask(
        (), "… at which loads did they break or fold? [N]", "List one number above zero for each strut you broke.")
    plies: int | None = ask(None, "Ends that are the struts' own: how many layers lie on each other in one end?",
                            "Count them; leave the line out where arms are the hub's.", ge=1, le=20)
    ply_mm: float | None = ask(None, "… how thick is one layer? [mm]", "Measure one end.", gt=0.0, le=100.0)
    arm_depth_mm: float | None = ask(None, "… how wide is the flattened end? [mm]", "Measure its narrowest place.",
                                     gt=0.0, le=1000.0)
    test_lever_mm: float | None = ask(
        None, "Break tests of such ends: how far from the end's root did the load hang? [mm] Those of [hub] are of "
        "[strut].", "Measure from where the end leaves the hub.", gt=0.0, le=10000.0)
    test_loads_n: tuple[PositiveNumber, ...] = ask(
        (), "… at which loads did they break? [N]", "List one number above zero for each end you broke.")


def table_of(name: str) -> str:
    """A section's table as messages name it: "strut", or "struts."pole 48""."""
    return f"struts.\"{name}\"" if name else "strut"


def listed(answers: Mapping[str, Any]) -> dict[str, Any]:
    """The answers of a file, its tables [struts.NAME] as a list in which each has its name; the rest as it is."""
    named = answers.get("struts")
    if not isinstance(named, Mapping):
        return dict(answers)
    of = answers.get("strut")
    shared = {key: of[key] for key in SHARED if key in of} if isinstance(of, Mapping) else {}
    return {**answers, "struts": tuple({**shared, **each, "name": name} if isinstance(each, Mapping) else each
                                       for name, each in named.items())}
