"""Prints the limits of the designs in `tests/data/limits` as they were told before, as they are, and what governs.

    python tests/limits_before_after.py [--every] [DESIGN …]

One line a kind: the least over all steps of one way, then with `--every` each limit of each step. `before.csv` holds
the numbers of an older program and is never made again; see its first line.
"""

import csv
import sys
from collections import defaultdict
from pathlib import Path

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design_file import read_design
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.compare import judged_way
from fieldapp.plan.judge import wind_limits
from fieldapp.prints.limits_table import limit_rows

DEMO = "orchard-hall"
"""As it is now, with what holds its feet; its file here has the answers that an older program knew."""
DATA = Path(__file__).parent / "data" / "limits"
KINDS = {"own weight": "× 1.35 weight", "own weight, fit": "× 1.35 weight",
         "push": "N", "free end": "N", "low hub": "mm", "lag": "mm", "wind": "m/s"}
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


def after(design: str, way: str) -> Found:
    """What is told now: what hands and eyes end is shown as that."""
    kit = build_kit(orchard_hall() if design == DEMO else read_design(DATA / f"{design}.toml"))
    case = case_of(kit)
    judged = judged_way(case, way)
    found: Found = {}
    rows = limit_rows(judged, wind_limits(case, judged))
    for step, kind, at, value, _unit, governs, where, *_, told, _joints in rows:
        ends = "" if told == value else f"; told: {told}"
        found[_key(int(str(step)), str(kind), str(at))] = (_value(str(value)), f"{governs} {where}".strip() + ends)
    return found


def _key(step: int, kind: str, at: str) -> Key:
    """Pushes and free ends by place; else one a stage."""
    return step, kind, at if kind in ("push", "free end") else ""


def _value(text: str) -> float:
    return float(text) if text else float("inf")


def main() -> None:
    """The designs that are named, or all."""
    every, names = "--every" in sys.argv, [name for name in sys.argv[1:] if name != "--every"]
    for design, (way, old) in before().items():
        if names and design not in names:
            continue
        new = after(design, way)
        print(f"\n{design}, {way}: least over all steps")
        least: dict[str, list[Key]] = defaultdict(list)
        for key in sorted(old.keys() | new.keys()):
            least[key[1]].append(key)
        for kind, unit in KINDS.items():
            if least[kind]:
                print(f"  {kind:<11} {_least(old, least[kind]):<44} -> {_least(new, least[kind])}   [{unit}]")
        for key in sorted(old.keys() | new.keys()) if every else ():
            print(f"    step {key[0]:>3} {key[1]:<11} {key[2]:<5} {_said(old, key):<32} -> {_said(new, key)}")


def _least(found: Found, keys: list[Key]) -> str:
    there = [key for key in keys if key in found]
    if not there:
        return "-"
    key = min(there, key=lambda one: found[one][0])
    return f"{_said(found, key)}, step {key[0]}{f' at {key[2]}' if key[2] else ''}"


def _said(found: Found, key: Key) -> str:
    if key not in found:
        return "-"
    value, cause = found[key]
    return f"{value:.4g} ({cause})" if cause else f"{value:.4g}"


if __name__ == "__main__":
    main()
