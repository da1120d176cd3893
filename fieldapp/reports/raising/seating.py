"""Which part is meant for which place, and what stands, from a log that another process may be writing."""

from pathlib import Path

from fieldapp.kit.kit import Kit
from fieldapp.log.fold import fold
from fieldapp.log.store import read_log


def seating(kit: Kit, log: Path) -> tuple[dict[str, str], frozenset[str]]:
    """Part ID → the place it is meant for, and the places filled now; as made if there is no log yet.

    Raises
    ------
    StoreError
        If the log cannot be read.
    """
    state = fold(kit, read_log(log, kit) if log.exists() else ())
    return {part: place for place, part in state.allocation.items()}, frozenset(state.fitted)
