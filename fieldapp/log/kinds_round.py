"""What an entry that opens an inspection round needs: its name, and the list as it is then."""

from typing import Annotated, Literal

from pydantic import StringConstraints

from fieldapp.log.fields import Data, Name, OwnWords


class ListLine(Data):
    """One line of the inspectors' list, as `kit.checklist.Check` has it."""

    item: Name
    look: OwnWords
    source: OwnWords
    critical: bool = False
    each: Literal["arm", "end"] | None = None
    when: Literal["always", "in doubt"] = "always"
    unit: Annotated[str, StringConstraints(max_length=12)] = ""
    at_least: float | None = None
    at_most: float | None = None
    counts_as: Literal["length", "moisture"] | None = None


class RoundData(Data):
    """What this inspection round is called, and with which list.

    The rule fills in the lines, so that the round keeps its list whatever becomes of `checks.toml`.
    """

    name: Name
    checklist: OwnWords = ""
    hub: tuple[ListLine, ...] = ()
    strut: tuple[ListLine, ...] = ()
    label: tuple[ListLine, ...] = ()
