"""How a question of the design file is written down: its default, its words, its limits; and what a section is."""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

PositiveNumber = Annotated[float, Field(gt=0.0)]
ON_ONE_LINE = r"^[^\x00-\x1f\x7f]+$"
"""Words without line breaks (in no formula)."""
HubName = Annotated[str, Field(pattern=r"^H[0-9]+$")]


def ask(default: object, question: str, advice: str, *, example: object = None, **limits: Any) -> Any:
    """A field: its default, the question to the maker, the advice after a wrong answer, its limits."""
    return Field(default=default, description=question, title=advice,
                 examples=None if example is None else [example], **limits)


class DesignSection(BaseModel):
    """A section of the design file: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=False, allow_inf_nan=False)
