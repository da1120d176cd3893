"""Checks against the counts of J. D. Clinton, Advanced Structural Geometry Studies, NASA CR-1734, 1971 (from memory).

T = b² + bc + c²: icosahedron 10 T + 2 hubs and 30 T struts, octahedron 4 T + 2 and 12 T. Class I against the tables of
Kenner 1976 by way of our own formula. Chord factors of the other classes: computed once by a program of its own, hence
a regression value and no outside check; no published table was found.
"""

from collections import Counter

import numpy as np
import pytest

from fieldapp.frame.dome import subdivided_sphere
from fieldapp.frame.shape import strut_lengths
from fieldapp.identify.spheres import cut_heights, sphere

CHORDS = {
    ("icosahedron", 1, 1): {.640852: 60, .713644: 30},
    ("icosahedron", 2, 1): {.393466: 60, .453507: 60, .467190: 30, .480483: 60},
    ("icosahedron", 2, 2): {.286505: 60, .333333: 60, .356822: 120, .362843: 120},
    ("icosahedron", 3, 1): {.277145: 60, .322660: 60, .332422: 60, .337255: 30, .342976: 120, .359011: 60},
    ("octahedron", 2, 0): {.765367: 24, 1: 24},
    ("octahedron", 3, 0): {.459506: 24, .632456: 36, .671421: 48},
    ("octahedron", 2, 1): {.504239: 24, .690066: 24, .755929: 12, .816497: 24},
}


@pytest.mark.parametrize("name", CHORDS)
def test_counts_and_chords(name):
    nodes, struts = sphere(*name)
    _, b, c = name
    triangles = b * b + b * c + c * c
    hubs, lines = (10, 30) if name[0] == "icosahedron" else (4, 12)
    assert (len(nodes), len(struts)) == (hubs * triangles + 2, lines * triangles)
    assert Counter(strut_lengths(nodes, struts).round(6).tolist()) == CHORDS[name]


def test_class_one_is_that_of_the_formula():
    ours, known = sphere("icosahedron", 3, 0), subdivided_sphere(3, "equal chords")
    assert np.allclose(np.sort(strut_lengths(*ours)), np.sort(strut_lengths(known.nodes, known.struts)))


def test_every_hub_of_a_cut_has_three_struts_or_more():
    for _share, nodes, struts in cut_heights(*sphere("octahedron", 4, 0)):
        assert np.bincount(struts.ravel(), minlength=len(nodes)).min() >= 3
