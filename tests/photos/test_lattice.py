"""Closer looks at photos: where the modules of a symbol lie, what is read then, what is believed, what is answered."""

import io
from dataclasses import replace

import numpy as np
import pytest
import qrcode
from photos import hard_set
from PIL import Image

from fieldapp.photos.closer import SIDES
from fieldapp.photos.decoding import SeenSymbol, seen_in, texts_of
from fieldapp.photos.known import KnownLabels, is_believed
from fieldapp.photos.lattice import FINDER_MIDDLE, QUIET, flat_and_bent, flattened, known_modules, laid_out, points_px
from fieldapp.photos.light import likely_cause
from fieldapp.photos.unpack import symbols_in

SIZE_PX = (900, 700)
TURNED = {"round": (1, replace(hard_set.ROUND, arc_deg=(70.0, 71.0), turned_deg=(10.0, 11.0), tilt_deg=(25.0, 26.0)))}


@pytest.mark.parametrize("side", SIDES)
def test_modules_that_are_held_for_known_are_those_of_the_second_encoder(side):
    """`qrcode` draws symbols of ISO/IEC 18004 by itself; its border is the quiet zone."""
    u, v, signs = known_modules(side)
    for text in ("ALPHA", "BETA 2"):
        code = qrcode.QRCode(version=(side - 17) // 4, border=QUIET)
        code.add_data(text)
        code.make(fit=False)
        dark = np.array(code.get_matrix())
        rows, columns = (np.floor((each + 0.5) * side).astype(int) + QUIET for each in (v, u))
        assert (dark[rows, columns] == (signs > 0)).all()
    assert len(signs) == len(set(zip(rows, columns, strict=True)))


def one_photo(kinds, size_px=SIZE_PX):
    return next(iter(hard_set.photos(kinds, hard_set.TUNING, size_px=size_px)))


def test_a_symbol_far_round_a_tube_is_laid_flat():
    photo = one_photo(TURNED)
    grey, side = np.asarray(Image.open(io.BytesIO(photo.jpeg)).convert("L")).astype(np.float32), photo.modules
    off = side / 2 - FINDER_MIDDLE
    finders = np.stack(photo.view.pixels(np.array([-off, off, -off]), np.array([-off, -off, off])), axis=1)
    flat, laid = flat_and_bent([])[4:5], laid_out(grey, finders, side, flat_and_bent([1.0]))
    u, v = (each.ravel() for each in np.meshgrid(np.linspace(-0.45, 0.45, 9), np.linspace(-0.45, 0.45, 9)))
    truth = np.stack(photo.view.pixels(u * side, v * side))
    module_px = photo.view.focal_px / photo.view.distance
    wrong = [np.hypot(*(points_px(finders, side, bend, u, v)[0] - truth)).mean() / module_px
             for bend in (flat, laid.bend[None])]
    assert wrong[0] > 0.5
    assert wrong[1] < 0.2
    assert texts_of(seen_in(flattened(grey, laid, 6))) == (photo.text,)
    assert not texts_of(seen_in(grey.astype(np.uint8)))
    assert symbols_in(photo.jpeg).texts == (photo.text,)


def test_closer_looks_believe_only_right_ids_and_known_codes(monkeypatch):
    monkeypatch.setattr(hard_set, "format_id", lambda *_args, **_width: "AB-S001-0")
    photo = one_photo(TURNED)
    assert symbols_in(photo.jpeg).texts == ()
    assert symbols_in(photo.jpeg, KnownLabels((photo.text.lower(),))).texts == (photo.text,)
    assert is_believed("HTTP://10.0.0.1/p/oh-s073-c", KnownLabels())
    assert not is_believed("http://10.0.0.1/P/OH-S073-C/more", KnownLabels())
    assert not is_believed("OH-Ṡ073-C", KnownLabels())


@pytest.mark.parametrize(("light", "blur", "ground", "cause"), [
    (0.12, 0.2, 200, "dark"), (1.0, 1.2, 5, "blurred"), (1.0, 0.15, 5, "no symbol")])
def test_what_kept_a_label_from_being_read_is_told_by_the_label(light, blur, ground, cause):
    """In the shade before a bright ground; lit and out of focus before a black one; sharp, so something else it was."""
    ranges = replace(hard_set.FLAT, light=(light, light), blur=(blur, blur), motion=(0.0, 0.0), glare=(0.0, 0.0))
    photo = one_photo({"flat": (1, ranges)})
    grey, half = np.asarray(Image.open(io.BytesIO(photo.jpeg)).convert("L")).copy(), photo.modules / 2
    corners = np.stack(photo.view.pixels(np.array([-half, half, half, -half]), np.array([-half, -half, half, half])), 1)
    rows, columns = np.mgrid[:grey.shape[0], :grey.shape[1]]
    middle, reach = corners.mean(axis=0), np.ptp(corners, axis=0).max()
    grey[np.hypot(columns - middle[0], rows - middle[1]) > reach] = ground
    assert likely_cause(Image.fromarray(grey), (SeenSymbol("", corners, 2),)) == cause
    assert likely_cause(Image.fromarray(np.full((300, 400), 5, np.uint8)), ()) == "dark"


def test_a_few_hard_photos_are_read_and_none_wrong():
    """A handful of the set that the bench measures whole."""
    some = {kind: (1, hard_set.HARD[kind][1]) for kind in ("small", "glaring", "round, large", "round, small")}
    photos = list(hard_set.photos(some, size_px=SIZE_PX))
    answers = [symbols_in(photo.jpeg).texts for photo in photos]
    assert all(texts in ((), (photo.text,)) for texts, photo in zip(answers, photos, strict=True))
    assert sum(map(bool, answers)) >= 3
