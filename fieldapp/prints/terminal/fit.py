"""What tolerances mean for a kit, before anything is cut: as lines for a terminal and as plain values."""

import math
from collections.abc import Iterator

from fieldapp.frame.frame import ShapeWords
from fieldapp.plan.fitup import ACCEPTABLE_UTILISATION, FitUp

GAPS_SHOWN = 6

LEAST_KNOWN = 0.005
"""Less than this that is certain goes unsaid."""

LARGEST_ERROR = {" mm": 50.0, "°": 20.0}
"""Nobody makes parts that are so far off: a tolerance beyond is told in words."""


def number(value: float) -> float | None:
    """Rounded to four places; None if it is infinite, which JSON has no number for."""
    return round(value, 4) if math.isfinite(value) else None


def fit_lines(fit: FitUp, words: ShapeWords) -> Iterator[str]:
    """What the tolerances mean, before anything is cut."""
    yield ""
    yield (f"Fit: with lengths within ± {fit.length_error_mm:g} mm and arms within ± {fit.angle_error_deg:g}°, "
           f"one frame in twenty has more than {_percent(fit.locked_utilisation)} of the strength of its worst arm "
           f"locked in, most often at {fit.strut}.")
    if fit.known_utilisation >= LEAST_KNOWN:
        yield (f"  Of it {_percent(fit.known_utilisation)} at {fit.known_strut} is certain: parts of one class "
               f"are made alike though their places differ. Smaller frame.tolerance_mm and frame.tolerance_deg take it "
               f"away, for more classes.")
    yield from _tolerance_lines(fit)
    worst = sorted(fit.gaps, key=lambda gap: (-gap.within_mm, gap.level))[:GAPS_SHOWN]
    gaps = "; ".join(f"{words.numbered.format(n=gap.level)} at {gap.strut} {gap.expected_mm:.0f} mm "
                     f"(up to {math.ceil(gap.within_mm)})" for gap in sorted(worst, key=lambda gap: gap.level))
    one = words.numbered.split()[0]
    which = f"each {one}" if len(worst) == len(fit.gaps) else f"a {one}, the largest {GAPS_SHOWN} of {len(fit.gaps)}"
    yield f"  Expected gap at the strut that closes {which}, before it is pulled in: {gaps}."


def _percent(share: float) -> str:
    """Rounded up."""
    return f"{math.ceil(100.0 * share - 1e-9)}%"


def _tolerance_lines(fit: FitUp) -> Iterator[str]:
    """Which tolerances would do."""
    limit = f"{ACCEPTABLE_UTILISATION:.0%}"
    if fit.known_utilisation >= ACCEPTABLE_UTILISATION:
        yield f"  No care in sawing and in making hubs brings it under {limit}; smaller class tolerances do."
    elif fit.locked_utilisation > ACCEPTABLE_UTILISATION:
        yield (f"  To keep it under {limit}: lengths within {_within(fit.both_mm, ' mm')} and "
               f"arms within {_within(fit.both_deg, '°')}.")
    else:
        yield (f"  It stays under {limit} with lengths within {_within(fit.length_limit_mm, ' mm')}, or arms within "
               f"{_within(fit.angle_limit_deg, '°')}, the other as it is.")


def _within(limit: float, unit: str) -> str:
    """A tolerance rounded down to two figures; beyond what anybody makes nothing depends on it."""
    if limit >= LARGEST_ERROR[unit]:
        return "whatever anybody makes"
    digits = 1 if limit >= 1.0 else 2
    return f"± {math.floor(limit * 10**digits) / 10**digits:.{digits}f}{unit}"


def fit_record(fit: FitUp) -> dict[str, object]:
    """The same as plain values."""
    return {"fit": {"length_error_mm": fit.length_error_mm, "angle_error_deg": round(fit.angle_error_deg, 3),
                    "locked_use": round(fit.locked_utilisation, 4), "strut": fit.strut,
                    "certain_use": round(fit.known_utilisation, 4), "certain_strut": fit.known_strut,
                    "length_limit_mm": number(fit.length_limit_mm), "angle_limit_deg": number(fit.angle_limit_deg),
                    "both_mm": number(fit.both_mm), "both_deg": number(fit.both_deg),
                    "gaps": [{"ring": gap.level, "strut": gap.strut, "certain_mm": round(gap.known_mm, 1),
                              "expected_mm": round(gap.expected_mm, 1), "within_mm": round(gap.within_mm, 1)}
                             for gap in fit.gaps]}}
