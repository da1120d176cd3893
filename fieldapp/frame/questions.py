"""How a question of the design file is written down: its default, its words, its limits; and what a section is."""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

PositiveNumber = Annotated[float, Field(gt=0.0)]
ON_ONE_LINE = (r"^[^\p{C}\p{Zl}\p{Zp}\x{a0}\x{2000}-\x{200a}\x{202f}\x{205f}\x{3000}\x{34f}\x{115f}\x{1160}\x{2800}"
               r"\x{3164}\x{ffa0}\x{fe00}-\x{fe0f}\x{e0100}-\x{e01ef}]+$")
"""Words without line breaks, invisible or direction-changing characters, and with no blank but the plain one: what is
read on a label is what was typed (in no formula). By the general categories of the Unicode Standard; which others look
like nothing is our choice."""
HubName = Annotated[str, Field(pattern=r"^H[0-9]+$")]


def ask(default: object, question: str, advice: str, *, example: object = None, **limits: Any) -> Any:
    """A field: its default, the question to the maker, the advice after a wrong answer, its limits."""
    return Field(default=default, description=question, title=advice,
                 examples=None if example is None else [example], **limits)


class DesignSection(BaseModel):
    """A section of the design file: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=False, allow_inf_nan=False)
