"""How often parts break and how long they last by the history of all kits, with intervals, or too few to say."""

import math

import pytest
from yard_of_three import NOW, YardOfThree, three_kits

from fieldapp.kit.checklist_defaults import default_checks
from fieldapp.log.entry import Entry, Request
from fieldapp.reports.pool.record import PoolKit
from fieldapp.reports.readiness.spares import PRIOR
from fieldapp.reports.upkeep.pooled import FEWEST_FITTED, lasting_of, pooled, rate_of
from fieldapp.reports.upkeep.winter import upkeep

CHI_SQUARE_5 = {0.05: 1.145, 0.95: 11.070}
"""Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, critical values, 5 degrees of freedom."""


@pytest.mark.parametrize(("kind", "fitted"), [("hub", 75), ("strut", 900)])
def test_the_interval_of_a_rate_is_that_of_the_chi_square_table(kind, fitted):
    """A Gamma of shape 5/2 is half a chi-square of 5 degrees of freedom; the prior's shape is 1/2."""
    found, parts = rate_of(kind, fitted, 2), PRIOR[kind][1] + fitted
    assert found.low == pytest.approx(100.0 * CHI_SQUARE_5[0.05] / 2 / parts, rel=5e-4)
    assert found.high == pytest.approx(100.0 * CHI_SQUARE_5[0.95] / 2 / parts, rel=5e-4)
    assert found.low < found.likely < found.high


def test_the_interval_of_what_lasts_is_greenwoods_on_the_log_log_scale():
    """Ten parts, two break in their first raise: S = 0.8, Greenwood's sum d / (n (n − d)) = 2 / (10 · 8)."""
    (one,) = lasting_of([(1, True)] * 2 + [(1, False)] * 3 + [(2, False)] * 5)
    width = 1.6449 * math.sqrt(2 / (10 * 8)) / abs(math.log(0.8))
    assert (one.raises, one.share) == (1, pytest.approx(0.8))
    assert one.low == pytest.approx(0.8 ** math.exp(width), abs=1e-4)
    assert one.high == pytest.approx(0.8 ** math.exp(-width), abs=1e-4)
    assert lasting_of([(1, True)] + [(2, False)] * 40) == ()        # one that broke says nothing of scatter


@pytest.fixture
def yard(tmp_path):
    made = YardOfThree(tmp_path, three_kits())
    yield made
    made.close()


def kits_of(yard):
    return [PoolKit(kit.design.frame.prefix, kit, book.site.plan, book.state, default_checks(kit.design))
            for _folder, book in yard.books for kit in (book.site.kit,)]


def raised(yard, number, *broken):
    """All struts of a kit go up, and some of them break."""
    book = yard.book(number)
    yard.log(number, "raise_started", name="fair", by="chief", reason="a test")
    for part in book.site.kit.parts:
        if part.kind == "strut" and not part.is_spare:
            request = Request(f"{part.id} {number} {len(book.state.raises)}", "fitted", part.id, chief=True)
            assert isinstance(book.submit(request, NOW), Entry)
    for part in broken:
        yard.log(number, "damaged", part, what="end_split", end=1, severity="bad")


def test_what_kits_of_one_make_went_through_is_told_of_all_of_them(yard):
    kits = kits_of(yard)
    assert all(one.rate is None and not one.lasting for one in pooled(kits))       # too few to say
    struts = yard.book(0).site.kit.by_place
    raised(yard, 0, struts["S001"].id, struts["S002"].id)
    raised(yard, 2)
    found = next(one for one in pooled(kits_of(yard)) if ("MD", ("strut", "A")) in one.members)
    assert [name for name, _key in found.members] == ["MD", "RD", "CD"]
    assert (found.fitted, found.broke) == (50, 2)
    assert found.fitted >= FEWEST_FITTED
    assert found.rate == rate_of("strut", 50, 2)
    assert [one.raises for one in found.lasting] == [1]


def test_what_to_make_reaches_the_chance_for_each_kit_and_no_more_than_it_takes(yard):
    hub = yard.book(0).site.kit.by_place["H11"]
    yard.log(0, "damaged", hub.id, what="arm_snapped", arm=1, severity="bad")
    found = upkeep(kits_of(yard), now=NOW)
    mill, rope, cart = found.kits
    row = next(row for row in mill.rows if row.key == ("hub", hub.part_class))
    assert (row.lacking, mill.chance_now) == (1, 0.0)
    assert min(kit.chance_then for kit in found.kits) >= found.chance == 0.95
    assert sum(row.more for row in rope.rows) < sum(row.more for row in cart.rows)      # its spares count
    assert 0.0 < cart.chance_now < rope.chance_now < 1.0
    assert (mill.due.never, mill.due.now, mill.due.next_day) == (36, 0, None)
