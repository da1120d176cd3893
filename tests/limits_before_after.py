"""Prints the limits of the designs in `tests/data/limits` as they were told before, as they are, and what governs.

    python tests/limits_before_after.py [--every] [--forgives] [DESIGN …]

One line a kind: the least over all steps of one way (of wind, over those that stand above the ground), then with
`--every` each limit of each step; what joints and feet must hold, the most over all steps; with `--forgives` also who
may hang or lean and what a loss leaves (minutes).
`before.csv` holds the numbers of an older program, which knew some kinds only, and is never made again; see its first
line.
"""

import csv
import sys
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design_file import read_design
from fieldapp.kit import build_kit
from fieldapp.plan.case import Case, case_of
from fieldapp.plan.compare import judged_way
from fieldapp.plan.forgives import what_it_forgives
from fieldapp.plan.forgives.record import HANG, LADDER
from fieldapp.plan.joint_bounds import most_pulled
from fieldapp.plan.judge import Judged, wind_limits
from fieldapp.plan.stages import analysis, fitted_after
from fieldapp.prints.limits_table import limit_rows
from fieldapp.statics.governs import JOINT, SPREAD, WIND, Limit

DEMO = "orchard-hall"
"""As it is now, with what holds its feet; its file here has the answers that an older program knew."""
DATA = Path(__file__).parent / "data" / "limits"
KINDS = {"own weight": "× 1.35 weight", "own weight, fit": "× 1.35 weight", "push": "N", "free end": "N",
         "low hub": "mm", "lag": "mm", SPREAD: "mm", "wind": "m/s", HANG: "N", LADDER: "N", "push after a loss": "N",
         "wind after a loss": "m/s"}
MUST_HOLD = {JOINT: "N, pulled apart", "foot up": "N", "foot sideways": "N"}
"""Of these the most counts."""
Key = tuple[int, str, str]
Found = dict[Key, tuple[float, str]]


def before() -> dict[str, tuple[str, Found]]:
    """Design → its way and what was told: (step, kind, place) → number and cause."""
    with (DATA / "before.csv").open(encoding="utf-8", newline="") as file:
        next(file)
        rows = list(csv.DictReader(file))
    found: dict[str, tuple[str, Found]] = {}
    for row in rows:
        _, told = found.setdefault(row["design"], (row["way"], {}))
        told[_key(int(row["step"]), row["kind"], row["at"])] = (_value(row["value"]),
                                                                f"{row['governs']} {row['where']}".strip())
    return found


def after(design: str, way: str, *, forgives: bool) -> Found:
    """What is told now: what hands and eyes end is shown as that."""
    kit = build_kit(orchard_hall() if design == DEMO else read_design(DATA / f"{design}.toml"))
    case = case_of(kit)
    judged = judged_way(case, way)
    found: Found = {}
    rows = limit_rows(judged, wind_limits(case, judged))
    rises = next(step.number for step in judged.plan.steps if not case.frame.hub(step.hub).on_ground)
    for step, kind, at, value, _unit, governs, where, *_, told, _joints in rows:
        if kind == WIND and int(str(step)) < rises:
            continue
        ends = "" if told in (value, governs) else f"; told: {told}"
        found[_key(int(str(step)), str(kind), str(at))] = (_value(str(value)), f"{governs} {where}".strip() + ends)
    found |= _must_hold(case, judged)
    return found | _forgiven(case, judged) if forgives else found


def _must_hold(case: Case, judged: Judged) -> Found:
    """What joints are pulled with and feet must be held with, step by step."""
    found: Found = {}
    tested = "" if case.design.hub.pull_test_n else "; not tested"
    for number in range(1, len(judged.plan.steps) + 1):
        bearing = analysis(case, fitted_after(judged.plan, number)).bearing
        if bearing is not None:
            pull = most_pulled(bearing)
            found[number, JOINT, ""] = (pull.value, _cause(pull) + tested)
    for foot in judged.feet:
        for kind, value in (("foot up", foot.must_hold_up_n), ("foot sideways", foot.must_hold_side_n)):
            found[int(foot.stage), kind, foot.foot] = (value, foot.under)
    return found


def _forgiven(case: Case, judged: Judged) -> Found:
    """Who may hang or lean, and what the frame bears without any one part: of the whole frame."""
    (*_, last), number = what_it_forgives(case, judged.plan), len(judged.plan.steps)
    told = (*last.hang, *last.ladder)
    found: Found = {(number, limit.kind, limit.at): (limit.value, _cause(limit)) for limit in told}
    for lost in last.lost:
        for kind, left in (("push after a loss", lost.push), ("wind after a loss", lost.wind)):
            found[number, kind, lost.place] = (left.value, _cause(left)) if lost.stands and left else (0.0, "falls")
    return found


def _cause(limit: Limit) -> str:
    governs = limit.governs
    return " ".join(filter(None, (governs.what, governs.hub, governs.strut))) if governs else ""


def _key(step: int, kind: str, at: str) -> Key:
    """Pushes, free ends and hubs that are spread by place; else one a stage."""
    return step, kind, at if kind in ("push", "free end", SPREAD) else ""


def _value(text: str) -> float:
    return float(text) if text else float("inf")


def main() -> None:
    """The designs that are named, or all."""
    every, names = "--every" in sys.argv, [name for name in sys.argv[1:] if not name.startswith("--")]
    for design, (way, old) in before().items():
        if names and design not in names:
            continue
        new = after(design, way, forgives="--forgives" in sys.argv)
        print(f"\n{design}, {way}: least over all steps")
        least: dict[str, list[Key]] = defaultdict(list)
        for key in sorted(old.keys() | new.keys()):
            least[key[1]].append(key)
        for kind, unit in {**KINDS, **MUST_HOLD}.items():
            if least[kind]:
                was, now = (_first(one, least[kind], max if kind in MUST_HOLD else min) for one in (old, new))
                print(f"  {kind:<15} {was:<44} -> {now}   [{unit}]")
        for key in sorted(old.keys() | new.keys()) if every else ():
            print(f"    step {key[0]:>3} {key[1]:<11} {key[2]:<5} {_said(old, key):<32} -> {_said(new, key)}")


def _first(found: Found, keys: list[Key], first: Callable[..., Key]) -> str:
    """The least, or the most, of some numbers."""
    there = [key for key in keys if key in found]
    if not there:
        return "-"
    key = first(there, key=lambda one: found[one][0])
    return f"{_said(found, key)}, step {key[0]}{f' at {key[2]}' if key[2] else ''}"


def _said(found: Found, key: Key) -> str:
    if key not in found:
        return "-"
    value, cause = found[key]
    return f"{value:.4g} ({cause})" if cause else f"{value:.4g}"


if __name__ == "__main__":
    main()
