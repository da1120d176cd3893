"""Bar codes drawn by their published patterns are read; damaged, doubtful and unchecked ones are not believed."""

import io

import numpy as np
import pytest
from PIL import Image

from fieldapp.photos.unpack import symbols_in

LEFT = ("0001101", "0011001", "0010011", "0111101", "0100011", "0110001", "0101111", "0111011", "0110111", "0001011")
"""ISO/IEC 15420 Table 1, number set A (from memory); B is C backwards, C the complement of A."""
SETS = ("AAAAAA", "AABABB", "AABBAB", "AABBBA", "ABAABB", "ABBAAB", "ABBBAA", "ABABAB", "ABABBA", "ABBABA")


def _modules(number):
    """Dark and light modules of an EAN-13."""
    c = [code.translate(str.maketrans("01", "10")) for code in LEFT]
    of = {"A": LEFT, "B": [code[::-1] for code in c], "C": c}
    half = "".join(of[name][int(digit)] for name, digit in zip(SETS[int(number[0])], number[1:7], strict=True))
    return f"101{half}01010{''.join(c[int(digit)] for digit in number[7:])}101"


def _photo(number, *, module_px=4, noise=6.0, turn=0.0, smear=()):
    bars = np.array([[0 if dark == "1" else 255 for dark in f"{'0' * 12}{_modules(number)}{'0' * 12}"]], np.uint8)
    picture = np.full((420, bars.shape[1] * module_px + 80), 235, np.uint8)
    picture[80:340, 40:-40] = np.repeat(np.repeat(bars, module_px, axis=1), 260, axis=0)
    for at in smear:
        picture[:, 88 + at * module_px:88 + (at + 1) * module_px] = 0
    seen = picture + np.random.default_rng(7).normal(0.0, noise, picture.shape)
    image = Image.fromarray(np.clip(seen, 0, 255).astype(np.uint8)).rotate(turn, expand=True, fillcolor=235)
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=85)
    return stream.getvalue()


@pytest.mark.parametrize(("number", "told"), [
    ("4006381333931", "4006381333931"), ("6291041500213", "6291041500213"), ("0036000291452", "036000291452")])
def test_numbers_that_check_themselves_are_read(number, told):
    assert symbols_in(_photo(number)).texts == (told,)
    assert symbols_in(_photo(number, module_px=3, turn=8.0)).texts == (told,)


def test_a_wrong_check_digit_and_a_smeared_bar_are_not_believed():
    assert symbols_in(_photo("4006381333932")).texts == ()
    assert symbols_in(_photo("4006381333931", smear=(11, 24, 25, 37))).texts in ((), ("4006381333931",))


def test_stripes_are_no_code():
    stripes = np.tile(np.repeat(np.array([30, 220], np.uint8), 9), 40)[None, :].repeat(300, axis=0)
    stream = io.BytesIO()
    Image.fromarray(stripes).save(stream, "PNG")
    assert symbols_in(stream.getvalue()).texts == ()
