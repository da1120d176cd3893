"""What parts that do not fit lock into a stage: forces, the use by them alone, and what they leave for everything else.

Known are measured lengths and what classes alone do (`misfits.known_errors`); what tolerances may do comes on top
(`tolerances`). It adds to the weight in the verdict, and takes from every limit, wherever these are told (`beside`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.frame.frame import FloatArray
from fieldapp.plan.case import Case
from fieldapp.plan.fitted import Fitted
from fieldapp.plan.misfits import Errors, known_errors
from fieldapp.plan.supports import Supports, carried_supports, kept_still, supported_stage
from fieldapp.statics.limits import ArmUtilisation, worst_arm
from fieldapp.statics.loads import misfit
from fieldapp.statics.response import Response, response
from fieldapp.statics.solved import Solved
from fieldapp.statics.stiffness import Factored, Unstable, factored
from fieldapp.statics.tubes import most_used


@dataclass(frozen=True, slots=True, eq=False)
class LockedIn:
    """What is locked into a stage that stands."""

    answer: Response
    """One case."""
    arm_use: float
    """The largest use of an arm by it alone, of what it bears for as long as the frame stands."""
    use: float
    """The same of an arm or a tube."""

    def with_weight(self, answer: Response) -> Response:
        """An answer with what is locked in: forces alone."""
        return replace(answer, arms=answer.arms + self.answer.arms)

    def design_arm(self, of: Solved) -> ArmUtilisation:
        """The most used arm under 1.35 × weight, by every theory that counts, with what is locked in."""
        uses = ((np.abs(weight.components[0] * GAMMA_G + self.answer.components[0]).sum(axis=1)
                 / of.stage.model.arm_lasting) for weight in of.weights)
        return max((worst_arm(of.stage, use) for use in uses), key=lambda arm: arm.utilisation)


def locked_part(case: Case, fitted: Fitted, tied: Sequence[str]) -> LockedIn | None:
    """What measured lengths and classes that merge places lock into a stage; None if nothing does.

    Source: (P25). Test: tests/plan/test_locked.py
    """
    off_mm = np.zeros(len(case.frame.struts))
    for strut, off in case.off_mm:
        off_mm[case.frame.strut_index[strut]] = off
    found = locked_in(case, fitted, tied, off_mm)
    if found is None:
        return None
    arms = float(found.arm_utilisation.max(initial=0.0)) / case.model.arm_lasting
    return LockedIn(found, arms, max(arms, float(most_used(found, case.tubes.under_weight)[0].max(initial=0.0))))


def settled(case: Case, fitted: Fitted, tied: Sequence[str]) -> Factored | Unstable:
    """What is tied together, each piece level where it stands or is carried and free to give way sideways.

    Source: (P12). Test: tests/plan/test_fitup.py

    Parameters
    ----------
    case : Case
    fitted : Fitted
    tied : sequence of str
        Its struts that are on two hubs.

    Returns
    -------
    Factored or Unstable
        What is a mechanism on such supports, with its feet and held hubs kept still; `Unstable` if it falls even then.
    """
    even: Supports = {}
    for piece in _pieces(case, fitted, tied):
        even |= carried_supports(case.frame, piece)
    ready = factored(supported_stage(case.model, fitted.hubs, tied, even))
    if isinstance(ready, Factored):
        return ready
    still = kept_still((*fitted.stands_on, *fitted.carried_at, *fitted.held))
    return factored(supported_stage(case.model, fitted.hubs, tied, still))


def _pieces(case: Case, fitted: Fitted, tied: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """The hubs that bear each piece, in the order of `fitted`; pieces are what no strut of the stage ties together."""
    piece = {hub: hub for hub in fitted.hubs}

    def root(hub: str) -> str:
        while piece[hub] != hub:
            hub = piece[hub]
        return hub

    for strut in map(case.frame.strut, tied):
        piece[root(strut.end_1.hub)] = root(strut.end_2.hub)
    bearing: dict[str, list[str]] = {}
    for hub in (*fitted.stands_on, *fitted.carried_at):
        bearing.setdefault(root(hub), []).append(hub)
    yield from map(tuple, bearing.values())


def locked_in(case: Case, fitted: Fitted, tied: Sequence[str], off_mm: FloatArray) -> Response | None:
    """What struts that are longer or shorter than their class, and classes that merge places, lock into a stage.

    Source: (S10), (P18). Test: tests/reference/test_pynite_forced.py, tests/plan/test_fitup.py

    Parameters
    ----------
    case, fitted, tied
        As `settled`.
    off_mm : (m,) array
        By how much the strut at each place of the frame is longer than its class says. [mm]

    Returns
    -------
    Response or None
        One load case; None if nothing is locked in or nothing holds it.
    """
    known = known_errors(case)
    errors = Errors(known.length_mm + off_mm, known.out_rad, known.within_rad)
    if not errors.at(np.array([case.model.strut_index[strut] for strut in tied], dtype=np.int64)).any:
        return None
    ready = settled(case, fitted, tied)
    return None if isinstance(ready, Unstable) else forced_fit(ready, errors.at(ready.stage.struts))


def forced_fit(ready: Factored, errors: Errors) -> Response:
    """What sets of errors of the struts of a stage lock into it: one load case for each set."""
    return response(ready, misfit(ready.stage, errors.length_mm, errors.out_rad, errors.within_rad))
