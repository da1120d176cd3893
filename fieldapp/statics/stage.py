"""A stage: which hubs and struts stand, and what holds them."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from fieldapp.base.errors import StaticsError
from fieldapp.frame.frame import BoolArray, IntArray
from fieldapp.statics.model import Model


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """What stands, and what it stands on."""

    model: Model
    hubs: IntArray
    """Hub numbers, ascending."""
    struts: IntArray
    """Strut numbers, ascending."""
    fixed: BoolArray
    """(n, 6) True where a degree of freedom is held."""

    @property
    def ends(self) -> IntArray:
        """(k, 2) hub numbers of the stage's struts."""
        return self.model.ends[self.struts]

    def names(self, hubs: IntArray) -> tuple[str, ...]:
        """Names of hub numbers."""
        return tuple(self.model.hub_names[int(i)] for i in hubs)


def stage_of(model: Model, hubs: Iterable[str], struts: Iterable[str] | None = None, *, held: Iterable[str] = (),
             ground: Iterable[str] | None = None) -> Stage:
    """The stage with these places.

    Parameters
    ----------
    model : Model
        The whole frame.
    hubs : iterable of str
        Hub places that stand.
    struts : iterable of str, optional
        Strut places that are in, both hubs standing; None means every strut between the hubs.
    held : iterable of str
        Hubs held by a person or a prop: their translations.
    ground : iterable of str, optional
        Hubs pinned to the ground; None means those of the hubs that are on the ground.

    Raises
    ------
    StaticsError
        If a name is unknown, or a strut lacks one of its hubs.
    """
    standing = np.zeros(len(model.hub_names), dtype=bool)
    standing[_numbers(model.hub_index, hubs, "hub")] = True
    both = np.asarray(standing[model.ends].all(axis=1))
    chosen = np.flatnonzero(both) if struts is None else _numbers(model.strut_index, struts, "strut")
    if not both[chosen].all():
        lacking = model.strut_names[int(chosen[~both[chosen]][0])]
        raise StaticsError(f"strut {lacking} is in this stage but one of its hubs is not; add the hub or leave it out")
    pinned = standing & model.on_ground if ground is None else _flags(model, ground)
    fixed = np.zeros((len(standing), 6), dtype=bool)
    fixed[(pinned | _flags(model, held)) & standing, :3] = True
    return Stage(model, np.flatnonzero(standing), np.unique(chosen), fixed)


def _numbers(index: dict[str, int], names: Iterable[str], kind: str) -> IntArray:
    """Numbers of place names."""
    listed = list(names)
    unknown = [name for name in listed if name not in index]
    if unknown:
        raise StaticsError(f"there is no {kind} place {unknown[0]}; places run from {next(iter(index))} to "
                           f"{next(reversed(index))}")
    return np.array([index[name] for name in listed], dtype=np.int64)


def _flags(model: Model, hubs: Iterable[str]) -> BoolArray:
    """(n,) True at the hubs."""
    flags = np.zeros(len(model.hub_names), dtype=bool)
    flags[_numbers(model.hub_index, hubs, "hub")] = True
    return flags
