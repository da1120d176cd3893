"""Fit-up: what errors of length and angle do to the closing struts and lock into the arms.

Every strut's length and every arm's direction (out of and within the hub's plane) err independently,
evenly spread within ± the tolerance of the design. The frame answers linearly (lack of fit), so that
variances add: each unit error is solved once. Ground hubs are level but settle sideways where the
struts put them.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import PlanError
from fieldapp.base.units import deg_from_rad, rad_from_deg
from fieldapp.frame.frame import FloatArray, IntArray
from fieldapp.plan.case import Case
from fieldapp.plan.plan import Plan
from fieldapp.plan.supports import carried_supports, kept_still
from fieldapp.plan.symmetry import struts_alike
from fieldapp.statics.loads import misfit, unit_misfits
from fieldapp.statics.response import response
from fieldapp.statics.stiffness import Factored, Stage, factored, stage_of, strut_displacements

EVENLY_SPREAD = 1.0 / math.sqrt(3.0)
"""Standard deviation of an error that lies evenly within ± 1."""
NORMAL_95 = 1.959964
"""Nineteen of twenty lie within ± this many standard deviations (normal distribution)."""
ACCEPTABLE_USE = 0.2
"""Locked-in arm use that should not be passed: a fifth of what an arm can take is gone before anybody leans on it."""
STRUTS_AT_ONCE = 24


@dataclass(frozen=True, slots=True)
class RingGap:
    """How badly the closing strut of a ring fits."""

    ring: int
    strut: str
    expected_mm: float
    """Mean size of the gap, too short or too long alike."""
    within_mm: float
    """Nineteen of twenty frames stay within ± this."""


@dataclass(frozen=True, slots=True)
class FitUp:
    """What the tolerances of a design mean for its raising."""

    length_error_mm: float
    angle_error_deg: float
    locked_use: float
    """Arm use locked into the worst arm; one frame in twenty has more there."""
    strut: str
    """Whose arm it is."""
    length_limit_mm: float
    """Largest length error that keeps it acceptable, at the angle error of the design; 0 if that alone is too much."""
    angle_limit_deg: float
    """Largest angle error that keeps it acceptable, at the length error of the design; 0 if that alone is too much."""
    both_mm: float
    both_deg: float
    """A pair that keeps it acceptable, each error taking half of the variance."""
    gaps: tuple[RingGap, ...]


def fit_up(case: Case, plan: Plan) -> FitUp:
    """What the length and angle errors of the design do to a plan.

    Raises
    ------
    PlanError
        If the finished frame does not stand, so that there is nothing to fit.
    """
    length_mm, angle_rad = _tolerances(case)
    lengths, angles, ready = _covariances(case, plan)
    locked, at = _largest_use(lengths * length_mm**2 + angles * angle_rad**2)
    (per_mm, _), (per_rad, _) = _largest_use(lengths), _largest_use(angles)
    half = ACCEPTABLE_USE / math.sqrt(2.0)
    return FitUp(
        length_mm, deg_from_rad(angle_rad), locked, case.model.strut_names[int(ready.stage.struts[at // 4])],
        length_limit_mm=_left(per_rad * angle_rad, per_mm),
        angle_limit_deg=deg_from_rad(_left(per_mm * length_mm, per_rad)),
        both_mm=_share(half, per_mm), both_deg=deg_from_rad(_share(half, per_rad)), gaps=tuple(ring_gaps(case, plan)))


def _largest_use(covariances: FloatArray) -> tuple[float, int]:
    """The arm use that the worst station passes in one frame of twenty, and its number.

    A station's use is the sum of the sizes of three correlated normal parts. Its 95 % point has no
    closed form and is read off a fixed sample; only stations whose variance may win are looked at.
    """
    size = np.einsum("sii->s", covariances)
    most, at = 0.0, int(size.argmax())
    for station in np.argsort(-size)[:_CLOSEST]:
        use = np.abs(_STANDARD @ _root(covariances[station])).sum(axis=1)
        worst = EVENLY_SPREAD * float(np.quantile(use, _NINETEEN_OF_TWENTY))
        most, at = max((most, at), (worst, int(station)))
    return most, at


def _root(covariance: FloatArray) -> FloatArray:
    """Symmetric square root of a (3, 3) covariance."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)) @ vectors.T)


_NINETEEN_OF_TWENTY = 0.95
_CLOSEST = 24
_STANDARD = np.random.default_rng(0).standard_normal((20_000, 3))


@dataclass(frozen=True, slots=True)
class MeasuredFit:
    """How parts that were measured go together."""

    locked_use: float
    """Arm use locked into the worst arm."""
    strut: str
    """Whose arm it is."""
    gaps_mm: tuple[tuple[str, float], ...]
    """(closing strut, gap) ring by ring from the ground; negative if the strut is too long [mm]."""


def measured_fit(case: Case, plan: Plan, errors_mm: Mapping[str, float]) -> MeasuredFit:
    """The same for struts whose length errors are known; arms are taken as true.

    Parameters
    ----------
    case : Case
    plan : Plan
    errors_mm : mapping
        Strut place → how much too long its strut is; 0 where nothing is given. [mm]

    Raises
    ------
    FrameError
        If a name is no strut place.
    PlanError
        If the finished frame does not stand.
    """
    for strut in errors_mm:
        case.frame.strut(strut)
    struts = [insertion.strut for step in plan.steps for insertion in step.struts]
    ready = settled(case, tuple(dict.fromkeys(step.hub for step in plan.steps)), struts, held=plan.steps[-1].holds)
    use = np.abs(response(ready, misfit(ready.stage, _errors(ready, errors_mm))).parts[0]).sum(axis=1)
    at = int(use.argmax())
    gaps = tuple((strut, _measured_gap_mm(before, strut, errors_mm)) for _, strut, before in _closings(case, plan))
    return MeasuredFit(float(use.max()), case.model.strut_names[int(ready.stage.struts[at // 4])], gaps)


def _errors(ready: Factored, errors_mm: Mapping[str, float]) -> FloatArray:
    """(1, struts) errors in the order of a stage."""
    names = ready.stage.model.strut_names
    return np.array([[errors_mm.get(names[int(number)], 0.0) for number in ready.stage.struts]])


def _measured_gap_mm(ready: Factored, strut: str, errors_mm: Mapping[str, float]) -> float:
    displacements = response(ready, misfit(ready.stage, _errors(ready, errors_mm))).displacements
    return float(_opening_mm(ready, strut, displacements)[0]) - errors_mm.get(strut, 0.0)


def _tolerances(case: Case) -> tuple[float, float]:
    return case.design.strut.length_error_mm, rad_from_deg(case.design.hub.angle_error_deg)


def _left(taken: float, per_unit: float) -> float:
    """The error that fills the acceptable use when `taken` of it is gone already."""
    return _share(math.sqrt(max(0.0, ACCEPTABLE_USE**2 - taken**2)), per_unit)


def _share(use: float, per_unit: float) -> float:
    """The error that uses an arm so much; infinite if it does nothing to arms."""
    return use / per_unit if per_unit > 0 else math.inf


def settled(case: Case, hubs: Sequence[str], struts: Sequence[str], *, held: Sequence[str] = ()) -> Factored:
    """The stage with its ground hubs level and free to settle sideways.

    A frame of hinges that does not stand so is taken with its ground hubs where they are, and with the
    `held` hubs held.

    Raises
    ------
    PlanError
        If it does not even stand then.
    """
    stage = stage_of(case.model, hubs, struts, ground=())
    grounded = [hub for hub in hubs if case.frame.hub(hub).on_ground]
    words = "does not stand"
    for supports in (carried_supports(case.frame, grounded), kept_still((*grounded, *held))):
        fixed = stage.fixed.copy()
        for hub, rows in supports.items():
            fixed[case.model.hub_index[hub], :3] = np.abs(rows).max(axis=0) > 0
        ready = factored(Stage(case.model, stage.hubs, stage.struts, fixed))
        if isinstance(ready, Factored):
            return ready
        words = ready.words
    raise PlanError(f"fit-up cannot be judged: the frame {words}")


def _covariances(case: Case, plan: Plan) -> tuple[FloatArray, FloatArray, Factored]:
    """(stations, 3, 3) sums of products of the parts of arm use, per mm² and per rad², of the finished frame.

    Worked out for one of the struts that sit alike; the stations of the others stay zero.
    """
    hubs = tuple(dict.fromkeys(step.hub for step in plan.steps))
    struts = [insertion.strut for step in plan.steps for insertion in step.struts]
    ready = settled(case, hubs, struts, held=plan.steps[-1].holds)
    index = {int(number): at for at, number in enumerate(ready.stage.struts)}
    names = [case.model.strut_names[number] for number in index]
    chosen = [index[case.model.strut_index[group[0]]] for group in struts_alike(case.frame, names)]
    sums = np.zeros((2, len(index), 12, 12))  # (kind of error, strut, end dof, end dof)
    for some in np.array_split(np.array(chosen), -(-len(chosen) // STRUTS_AT_ONCE)):
        sums[:, some] = _end_covariances(ready, some)
    # (strut, arm force, end dof)
    rows = case.model.arm_per_displacement[ready.stage.struts] \
        / case.model.arm_capacity[ready.stage.struts][:, :, None]
    # (kind of error, strut, station, component, component)
    parts = (rows.reshape(-1, 4, 3, 12) @ sums[:, :, None] @ rows.reshape(-1, 4, 3, 12).swapaxes(2, 3))
    return parts[0].reshape(-1, 3, 3), parts[1].reshape(-1, 3, 3), ready  # (station, component, component)


def _end_covariances(ready: Factored, struts: IntArray) -> FloatArray:
    """(2, struts, 12, 12) sums of products of how the ends of some struts move against their hubs' places.

    By reciprocity: unit loads at the ends of a strut say what each error anywhere does there.
    """
    stage, units = ready.stage, unit_misfits(ready.stage)
    hubs, at = np.unique(stage.ends[struts], return_inverse=True)
    loads = np.zeros((6 * len(hubs), *stage.fixed.shape))  # (unit load, hub, dof)
    loads[np.arange(6 * len(hubs)), np.repeat(hubs, 6), np.tile(np.arange(6), len(hubs))] = 1.0
    loads *= ~stage.fixed
    displacements = strut_displacements(stage, ready.displacements(loads))
    caused = -(units.transpose(0, 2, 1) @ ready.strut_stiffness) @ displacements  # (strut, error, unit load)
    caused = caused.reshape(len(stage.struts), 5, len(hubs), 6)  # (strut, error, hub, dof)
    found = np.zeros((2, len(struts), 12, 12))  # (kind of error, strut, end dof, end dof)
    for number, (strut, ends) in enumerate(zip(struts, at.reshape(-1, 2), strict=True)):
        seen = caused[:, :, ends].reshape(len(stage.struts), 5, 12)  # (strut with the error, error, end dof)
        seen[strut] += units[strut].T
        for kind, part in enumerate((seen[:, :1], seen[:, 1:])):
            flat = part.reshape(-1, 12)
            found[kind, number] = flat.T @ flat
    return found


def ring_gaps(case: Case, plan: Plan) -> Iterator[RingGap]:
    """The gap at the strut that closes each ring, when all before it are in."""
    length_mm, angle_rad = _tolerances(case)
    for ring, strut, ready in _closings(case, plan):
        variance = EVENLY_SPREAD**2 * (length_mm**2 + _gap_variance(ready, strut, length_mm, angle_rad))
        yield RingGap(ring, strut, math.sqrt(variance * 2.0 / math.pi), NORMAL_95 * math.sqrt(variance))


def _closings(case: Case, plan: Plan) -> Iterator[tuple[int, str, Factored]]:
    """Each ring with its last closing strut and the stage before that strut."""
    last = {step.ring: number for number, step in enumerate(plan.steps) if any(i.closes for i in step.struts)}
    for ring, number in sorted(last.items()):
        struts = [insertion.strut for step in plan.steps[:number + 1] for insertion in step.struts]
        hubs = tuple(dict.fromkeys(step.hub for step in plan.steps[:number + 1]))
        yield ring, struts[-1], settled(case, hubs, struts[:-1], held=plan.steps[max(number - 1, 0)].holds)


def _gap_variance(ready: Factored, strut: str, length_mm: float, angle_rad: float) -> float:
    """Sum of squares of what each error does to the distance between the hubs of `strut`.

    By reciprocity (Maxwell, Betti): what a pair of unit forces along the missing strut does at the place of each
    error says what that error does between its hubs, so that one load case answers for all errors.
    """
    stage, number = ready.stage, ready.stage.model.strut_index[strut]
    pair = np.zeros((1, *stage.fixed.shape))  # (case, hub, dof)
    along = stage.model.axes.local[number, 0]
    pair[0, stage.model.ends[number], :3] = -along, along
    answer = strut_displacements(stage, ready.displacements(pair))
    opening = np.einsum("mik,mij,mje->me", answer, ready.strut_stiffness, unit_misfits(stage), optimize=True)
    return float(np.square(opening[:, 0]).sum() * length_mm**2 + np.square(opening[:, 1:]).sum() * angle_rad**2)


def _opening_mm(ready: Factored, strut: str, displacements: FloatArray) -> FloatArray:
    """(k,) growth of the distance between the hubs of a strut place."""
    model = ready.stage.model
    number = model.strut_index[strut]
    start, end = model.ends[number]
    return np.asarray((displacements[:, end, :3] - displacements[:, start, :3]) @ model.axes.local[number, 0])
