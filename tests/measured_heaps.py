"""Kits drawn at random and measured as people do: piece by piece, or pile by pile; invented, seeds say which."""

import numpy as np

from fieldapp.frame.cuts import cuts
from fieldapp.identify.heap import HubPile, MeasuredHeap, MeasuredStruts, TapeReading
from fieldapp.identify.shapes import _cut_spheres, _dome, _others

SPAN_ERROR_MM = 5.0


def dome(frequency, cut, *, division="equal chords", level=False):
    """One frame by its numbers."""
    return _dome(frequency, division, cut, level=level)


def a_frame(rng):
    """Four of five are domes of frequency 1 to 6; the others have an octahedron in them, or class II or III."""
    while True:
        if rng.random() < 0.8:
            frequency = int(rng.integers(1, 7))
            cut = str(rng.choice(cuts(frequency)[max(0, frequency - 1):]))
            division = str(rng.choice(["equal chords", "equal chords", "equal arcs"]))
            found = dome(frequency, cut, division=division, level=bool(rng.integers(0, 2)))
        else:
            every = [each for each in _others() if each[1] + each[2] <= 6]
            frames = [one for one in _cut_spheres(*every[rng.integers(len(every))]) if one.height > 0.5]
            found = frames[rng.integers(len(frames))]
        if found is not None and found.total >= 10:
            return found


def a_kit(rng):
    """Frame, radius, take-up, what was done to it, and the heap that somebody measured."""
    known = a_frame(rng)
    error, missing, foreign = int(rng.integers(1, 6)), float(rng.uniform(0, 0.2)), int(rng.integers(0, 4))
    radius, take_up = float(rng.uniform(1500, 6000)), float(rng.uniform(0, 120))
    if radius * known.chords.min() - 2 * take_up < 200:
        radius = (250 + 2 * take_up) / known.chords.min()
    heap = measured(rng, known, (radius, take_up), error=error, missing=missing, foreign=foreign)
    return known, radius, take_up, (error, missing, foreign), heap


def measured(rng, known, size, *, error, missing, foreign):
    """The heap: sawn to half a millimetre, some missing, some foreign, a tape that errs evenly within its bounds.

    Two of three have a span or a height taped; where the frame is low, the span, as the words ask.
    """
    radius, take_up = size
    sawn = np.repeat(radius * known.chords - 2 * take_up, known.numbers) + rng.normal(0, 0.5, known.total)
    sawn = sawn[rng.random(len(sawn)) >= missing]
    strange = rng.uniform(sawn.min() * 0.6, sawn.max() * 1.4, foreign)
    piles = _piles(np.sort(sawn), max(3.0, error)) if rng.random() < 0.5 else [[mm] for mm in sawn]
    pieces = [MeasuredStruts(round(rng.choice(pile) + rng.uniform(-error, error)), float(error), len(pile))
              for pile in [*piles, *([mm] for mm in strange)]]
    hubs = [HubPile(arms, int(left)) for arms, count in known.arms if (left := rng.binomial(count, 1 - missing))]
    which = rng.random() if known.height > known.span / 2 else 0.0 if rng.random() < 2 / 3 else 1.0
    return MeasuredHeap(tuple(pieces), tuple(hubs) if rng.random() < 0.7 else (),
                        _taped(rng, radius * known.span) if which < 1 / 3 else None,
                        _taped(rng, radius * known.height) if 1 / 3 <= which < 2 / 3 else None)


def _taped(rng, true_mm):
    return TapeReading(true_mm + rng.uniform(-SPAN_ERROR_MM, SPAN_ERROR_MM), SPAN_ERROR_MM)


def _piles(lengths, within_mm):
    """Lengths put together by eye: each pile as wide as that."""
    piles = [[lengths[0]]]
    for mm in lengths[1:]:
        if mm - piles[-1][0] <= within_mm:
            piles[-1].append(mm)
        else:
            piles.append([mm])
    return piles


def same(one, other):
    """Whether two frames have the same lengths, numbers, arms and height."""
    return (one.chords.shape == other.chords.shape and np.allclose(one.chords, other.chords, atol=1e-6)
            and bool((one.numbers == other.numbers).all()) and one.arms == other.arms
            and abs(one.height - other.height) < 1e-6)
