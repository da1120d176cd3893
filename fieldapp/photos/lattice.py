"""Where the modules of a symbol lie in a photo: a grid, flat or bent round a tube, laid over three finder patterns.

Three finder centres fix all but the bend and the perspective. Those are found by laying many grids at once over the
modules that every symbol has alike (finders, timing, alignment, quiet zone) and keeping the grid that agrees best.
Equations (T1) to (T3) stand in the README.md of this room.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from fieldapp.photos.decoding import Floats

FINDER_MIDDLE = 3.5
"""From a symbol's edge to the middle of a finder pattern [modules].
Source: ISO/IEC 18004, 6.3.3 (7 modules wide). Test: tests/photos/test_lattice.py"""
QUIET = 4
"""Light modules around a symbol [modules]. Source: ISO/IEC 18004, 6.3.8. Test: tests/photos/test_lattice.py"""
DEPTH = 0.12
"""Width of a symbol divided by its distance, as phones see labels; our choice (T2).
Test: tests/photos/test_lattice.py"""
TURNS_DEG = tuple(range(-44, 45, 8))
"""How far a tube's label may be turned away; our choice [deg]."""
LEANS = (-0.5, -0.33, -0.17, 0.0, 0.17, 0.33, 0.5)
"""Sines of the angle by which a tube may lie out of the picture; our choice."""
FARTHEST_DEG = 80.0
"""Nothing farther round a tube is seen well enough; our choice [deg]."""
ROUNDS = 4
"""Of refining; each halves the steps."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """A grid over one symbol."""

    modules: int
    """Along a side."""
    finders_px: Floats
    """(3, 2): middles of the finder patterns, top left, top right, bottom left [pixels]."""
    bend: Floats
    """(5,): arc [rad], turn [rad], lean, narrowing along and across (T1), (T2)."""
    agreement: float
    """Of the modules that are known, from −1 to 1."""


def flat_and_bent(arcs_rad: Sequence[float]) -> Floats:
    """(k, 5) bends to try first: flat ones, then every tube at every turn and lean."""
    tilts = [(0.0, 0.0, 0.0, p, q) for p in (-0.2, 0.0, 0.2) for q in (-0.2, 0.0, 0.2)]
    turns = np.radians(TURNS_DEG)
    tubes = [(arc, turn, lean, 0.0, 0.0) for arc in arcs_rad for turn in turns for lean in LEANS
             if abs(turn) + arc / 2 < np.radians(FARTHEST_DEG)]
    return np.array(tilts + tubes)


def laid_out(grey: Floats, finders_px: Floats, modules: int, bends: Floats) -> Lattice:
    """The best of these bends, refined.

    Parameters
    ----------
    grey : (height, width) float array
    finders_px : (3, 2) float array
        Middles of the finder patterns, top left, top right, bottom left [pixels].
    modules : int
        Along a side.
    bends : (k, 5) float array
    """
    u, v, signs = known_modules(modules)
    agree = _agreements(grey, points_px(finders_px, modules, bends, u, v), signs)
    best = bends[np.argsort(agree)[-2:]]
    steps = np.array([0.15, 0.07, 0.08, 0.08, 0.08])
    for _ in range(ROUNDS):
        around = np.concatenate([best, *(best + sign * step * np.eye(5)[axis]
                                         for axis, step in enumerate(steps) for sign in (-1, 1)
                                         if axis > 2 or best[:, 0].any())])
        around[:, 0] = np.maximum(around[:, 0], 0.0)
        agree = _agreements(grey, points_px(finders_px, modules, around, u, v), signs)
        order = np.argsort(agree)
        best, steps = around[order[-2:]], steps * (0.6 if order[-1] < 2 else 0.9)
    return Lattice(modules, finders_px, best[-1], float(agree.max()))


def points_px(finders_px: Floats, modules: int, bends: Floats, u: Floats, v: Floats) -> Floats:
    """(k, 2, p) pixels of p points of the symbol under k bends (T3); `u`, `v` in symbol widths from its middle."""
    at = FINDER_MIDDLE / modules - 0.5
    corner_u, corner_v = np.array([at, -at, at]), np.array([at, at, -at])
    x, y = _seen(bends, np.concatenate([corner_u, u]), np.concatenate([corner_v, v]))
    x, y = x - x[:, :1], y - y[:, :1]                               # from the middle of the top left finder
    (x1, x2), (y1, y2) = (x[:, 1:2], x[:, 2:3]), (y[:, 1:2], y[:, 2:3])
    whole = x1 * y2 - x2 * y1
    right, down = (x[:, 3:] * y2 - x2 * y[:, 3:]) / whole, (x1 * y[:, 3:] - x[:, 3:] * y1) / whole
    first, along, across = finders_px[0], finders_px[1] - finders_px[0], finders_px[2] - finders_px[0]
    xy = [first[axis] + right * along[axis] + down * across[axis] for axis in (0, 1)]
    return np.stack(xy, axis=1)                                     # (bend, x or y, point)


def _seen(bends: Floats, u: Floats, v: Floats) -> tuple[Floats, Floats]:
    """(k, p) each: where points of the symbol are seen, but for a plane map (T1), (T2)."""
    arc, turn, lean, along, across = (column[:, None] for column in bends.T)
    safe = np.maximum(arc, 1e-3)
    angle = safe * v + turn
    bent = arc > 1e-3
    y = np.where(bent, (np.sin(angle) - np.sin(turn)) / safe, v)
    z = np.where(bent, (np.cos(turn) - np.cos(angle)) / safe, 0.0)
    x = u + lean * z
    near = 1 + along * u + across * y + DEPTH * z
    return x / near, y / near


def _agreements(grey: Floats, points: Floats, signs: Floats) -> Floats:
    """(k,) how well the picture's grey at known modules follows their colour: a weighted correlation."""
    seen = nearest(grey, points[:, 0], points[:, 1])
    weights = np.abs(signs)
    colour = np.sign(signs) - np.average(np.sign(signs), weights=weights)
    seen = seen - (seen @ weights)[:, None] / weights.sum()
    spread = np.sqrt((seen ** 2) @ weights) * np.sqrt((colour ** 2) @ weights)
    agreement: Floats = -(seen @ (colour * weights)) / np.maximum(spread, 1e-6)
    return agreement


def nearest(grey: Floats, x: Floats, y: Floats) -> Floats:
    """Grey at the nearest pixels."""
    height, width = grey.shape
    column, row = np.clip(x, 0, width - 1).astype(np.intp), np.clip(y, 0, height - 1).astype(np.intp)
    values: Floats = grey.ravel()[row * width + column]
    return values


def between(grey: Floats, x: Floats, y: Floats) -> Floats:
    """Grey between the four pixels around each point."""
    height, width = grey.shape
    x, y = np.clip(x - 0.5, 0, width - 1.01), np.clip(y - 0.5, 0, height - 1.01)
    column, row = x.astype(np.intp), y.astype(np.intp)
    right, down = (x - column).astype(np.float32), (y - row).astype(np.float32)
    flat, first = grey.ravel(), row * width + column
    upper = flat[first] * (1 - right) + flat[first + 1] * right
    lower = flat[first + width] * (1 - right) + flat[first + width + 1] * right
    values: Floats = upper * (1 - down) + lower * down
    return values


@lru_cache(maxsize=8)
def known_modules(modules: int) -> tuple[Floats, Floats, Floats]:
    """`u`, `v` [symbol widths from the middle] and sign of the modules that symbols of a size have alike.

    Dark is +1 and light −1, timing and alignment patterns count double.
    Source: ISO/IEC 18004, 6.3. Test: tests/photos/test_lattice.py
    """
    signs = {}
    for row in range(-1, modules + 1):
        for column in range(-1, modules + 1):
            if row in (-1, modules) or column in (-1, modules):
                signs[row, column] = -1.0
    for top, left in ((0, 0), (0, modules - 7), (modules - 7, 0)):
        for row in range(top - 1, top + 8):
            for column in range(left - 1, left + 8):
                ring = max(abs(row - top - 3), abs(column - left - 3))
                signs[row, column] = 1.0 if ring in (0, 1, 3) else -1.0
    for at in range(8, modules - 8):
        signs[6, at] = signs[at, 6] = 2.0 if at % 2 == 0 else -2.0
    for row in range(-2, 3) if modules > 21 else ():
        for column in range(-2, 3):
            signs[modules - 7 + row, modules - 7 + column] = -2.0 if max(abs(row), abs(column)) == 1 else 2.0
    places = (np.array(list(signs)) + 0.5) / modules - 0.5
    return places[:, 1], places[:, 0], np.array(list(signs.values()))


def flattened(grey: Floats, lattice: Lattice, module_px: int) -> NDArray[np.uint8]:
    """The symbol with its quiet zone as if it lay flat and straight before the camera."""
    side = (lattice.modules + 2 * QUIET) * module_px
    steps = ((np.arange(side) + 0.5) / module_px - QUIET) / lattice.modules - 0.5
    u, v = (each.ravel() for each in np.meshgrid(steps, steps))
    x, y = points_px(lattice.finders_px, lattice.modules, lattice.bend[None], u, v)[0]
    return np.clip(between(grey, x, y), 0, 255).astype(np.uint8).reshape(side, side)
