"""The table of what a whole frame forgives, for other programs: one row a place.

Forces to 0.1 N and wind to 0.1 m/s, rounded down; a field is empty where there is no answer. A weight of 1000 N, or a
ladder's push of 197 N, with nothing that governs means that, or more.
"""

import math
from collections.abc import Iterator

from fieldapp.base.csv_text import Cells, csv_text
from fieldapp.plan.forgives.record import Forgives
from fieldapp.statics.limits import Governs, Limit

COLUMNS = ("place", "hang_n", "hang_governs", "ladder_n", "ladder_governs", "lost_stands", "lost_use", "lost_push_n",
           "lost_push_at", "lost_push_governs", "lost_wind_m_s", "lost_wind_governs")


def forgives_csv(found: Forgives) -> str:
    """The whole table; its first row, without a place, is the frame with nothing lost."""
    return csv_text(COLUMNS, forgives_rows(found))


def forgives_rows(found: Forgives) -> Iterator[Cells]:
    """One row for nothing lost, then one for each place, hubs first."""
    hang, ladder = ({limit.at: limit for limit in limits} for limits in (found.hang, found.ladder))
    lost = {each.place: each for each in (found.whole, *found.lost)}
    for place in ("", *sorted({*hang, *ladder, *lost} - {""})):
        without = lost.get(place)
        fate = ("", "") if without is None else ("yes" if without.stands else "no", _use(without.use))
        push, wind = (None, None) if without is None else (without.push, without.wind)
        yield (place, *_told(hang.get(place)), *_told(ladder.get(place)), *fate, _down(push), push.at if push else "",
               _governs(push), _down(wind), _governs(wind))


def _told(limit: Limit | None) -> tuple[str, str]:
    return _down(limit), _governs(limit)


def _down(limit: Limit | None) -> str:
    """What the frame bears, rounded down."""
    value = math.inf if limit is None else limit.frame.value
    return "" if math.isinf(value) else f"{math.floor(value * 10 + 1e-9) / 10:.1f}"


def _governs(limit: Limit | None) -> str:
    """What gives way: its name, strut and hub."""
    governs: Governs | None = None if limit is None else limit.frame.governs
    return "" if governs is None else " ".join(filter(None, (governs.what, governs.strut, governs.hub)))


def _use(use: float) -> str:
    return "" if math.isinf(use) else f"{use:.3f}"
