"""The plan kept beside the kit, so that a site laptop need not work it out at every start.

Derived data: a file that is absent, damaged, or of another design or program, or that is not as it was written, is
passed over, and the plan is worked out again. The same design and program give the same bytes.
"""

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from fieldapp.base.errors import KitError
from fieldapp.base.json_text import from_json
from fieldapp.base.program import program_digest
from fieldapp.base.said import from_plain, plain, said_of
from fieldapp.frame.design import Design
from fieldapp.kit.atomic import write_atomic
from fieldapp.plan.assemble import step_index
from fieldapp.plan.pegs import HeldFoot, Pegging
from fieldapp.plan.plan import Insertion, Plan, Step
from fieldapp.statics.governs import Bound, Governs, Limit

ROOMS = ("base", "frame", "statics", "kit", "plan")
"""Program text that a plan depends on."""


def plan_file(folder: Path, design: Design) -> Path:
    """Where the plan of the design's way is kept."""
    return folder / f"plan-{design.raising.way.replace(' ', '-')}.json"


def kept_or(folder: Path, design: Design, work_out: Callable[[], Plan]) -> Plan:
    """The plan kept in a folder; if there is none for this design, `work_out`'s, which is then kept.

    A folder that cannot be written is no reason to refuse the plan.
    """
    kept = kept_plan(folder, design)
    if kept is not None:
        return kept
    plan = work_out()
    try:
        keep_plan(folder, design, plan)
    except KitError:
        return plan
    return plan


def keep_plan(folder: Path, design: Design, plan: Plan) -> None:
    """Write the plan of a design, whole or not at all.

    Raises
    ------
    KitError
        If it cannot be written.
    """
    steps = ",\n".join(json.dumps(_plain(step), ensure_ascii=False) for step in plan.steps)
    said = json.dumps({"way": plan.way, "left_out": plan.left_out,
                       "peggings": [asdict(pegging) for pegging in plan.peggings],
                       "breaks": plan.breaks and plain(plan.breaks), "helps": plan.helps and plain(plan.helps)},
                      ensure_ascii=False)
    content, own = f'{said[1:-1]}, "steps": [\n{steps}\n]}}\n', mark(design)
    head = json.dumps({"mark": own, "digest": _digest(own, content)})
    write_atomic(plan_file(folder, design), f"{head[:-1]},\n{content}".encode())


def kept_plan(folder: Path, design: Design) -> Plan | None:
    """The plan that `keep_plan` wrote for this very design and program; None if there is none."""
    try:
        text, own = plan_file(folder, design).read_bytes().decode(), mark(design)
        values = from_json(text)
        if (values["mark"], values["digest"]) != (own, _digest(own, text.partition("\n")[2])):
            return None
        steps = tuple(_step(item) for item in values["steps"])
        breaks, helps = (values[name] and said_of(values[name]) for name in ("breaks", "helps"))
        return Plan(values["way"], steps, step_index(steps), tuple(values["left_out"]),
                    tuple(_pegging(item) for item in values["peggings"]), breaks, helps)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def mark(design: Design) -> str:
    """What design and program a plan belongs to."""
    return hashlib.sha256(f"{program_digest(*ROOMS)} {design.model_dump_json()}".encode()).hexdigest()


def _digest(own: str, content: str) -> str:
    """Of all that is kept after the first line, and of the mark before it."""
    return hashlib.sha256(f"{own}\n{content}".encode()).hexdigest()


def _plain(step: Step) -> dict[str, Any]:
    """The step as plain values; what is said in it as such."""
    return {**asdict(step), "stand_on": plain(step.stand_on),
            "cautions": [plain(said) for said in step.cautions]}


def _limit(values: Mapping[str, Any]) -> Limit:
    """The limit of its plain values."""
    beyond = values["beyond"] and Bound(values["beyond"]["value"], _governs(values["beyond"]["governs"]))
    return Limit(**{**values, "governs": _governs(values["governs"]), "beyond": beyond})


def _governs(values: Mapping[str, Any] | None) -> Governs | None:
    return None if values is None else Governs(**values)


def _pegging(values: Mapping[str, Any]) -> Pegging:
    """The pegging of its plain values."""
    return Pegging(values["before"], tuple(HeldFoot(**foot) for foot in values["feet"]))


def _step(values: Mapping[str, Any]) -> Step:
    """The step of its plain values: lists become tuples again."""
    struts = tuple(Insertion(**{**item, "spread_limit": item["spread_limit"] and _limit(item["spread_limit"])})
                   for item in values["struts"])
    limits = tuple(map(_limit, values["limits"]))
    lists = {name: tuple(value) for name, value in values.items() if isinstance(value, list)}
    return Step(**{**values, **lists, "struts": struts, "limits": limits,
                   "stand_on": from_plain(values["stand_on"]), "cautions": tuple(map(said_of, values["cautions"]))})
