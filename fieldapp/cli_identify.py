"""`raisebook identify`: what frame a heap of measured parts may be."""

import json
from pathlib import Path
from typing import Any

import click

from fieldapp.identify.heap_file import read_heap
from fieldapp.identify.rank import Identified, Match
from fieldapp.identify.rank import identify as identified
from fieldapp.identify.told import frame_words, heap_lines


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON record instead of words.")
def identify(file: Path, as_json: bool) -> None:
    """Say which frames the measured parts in FILE may be, the likeliest first.

    FILE is a .csv (or .toml) of lengths: length_mm, plus_minus_mm, count. Tables of hubs (arms, count) and of what was
    measured besides (measured, value_mm, plus_minus_mm with span, height or take_up) help. Pieces may be missing, a few
    may be foreign.
    """
    verdict = identified(read_heap(file))
    if as_json:
        click.echo(json.dumps(_record(verdict), indent=1))
        return
    for line in heap_lines(verdict):
        click.echo(line)


def _record(verdict: Identified) -> dict[str, Any]:
    """The same for programs."""
    return {"answer": verdict.sure, "struts": verdict.heap.struts, "stretch": round(verdict.stretch, 2),
            "frames": [_frame(match) for match in verdict.matches]}


def _frame(match: Match) -> dict[str, Any]:
    known = match.known
    return {
        "name": frame_words(known), "base": known.base, "class": known.sphere_class, "steps": known.steps,
        "division": known.division, "cut": known.cut, "level_base": known.level, "share": round(match.share, 4),
        "misfit_mm": round(match.off_mm, 1), "diameter_mm": round(2 * match.fit.radius_mm, 1),
        "diameter_95_mm": [round(end, 1) for end in match.diameter_mm],
        "take_up_mm": round(match.fit.take_up_mm, 1), "take_up_95_mm": [round(end, 1) for end in match.take_up_mm],
        "lacking": [{"length_mm": round(mm, 1), "count": count} for mm, count in match.lacking],
        "too_many": match.over, "foreign": round(match.foreign),
        "hubs_lacking": [{"arms": arms, "count": count} for arms, count in match.hubs_lacking],
    }
