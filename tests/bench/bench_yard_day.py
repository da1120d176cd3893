"""A day of the yard on kits of 26 hubs: everything that happens in the small one, and how soon phones hear of it."""

from datetime import UTC, datetime

import pytest
from log.postgres import Server, binaries
from small_frame import small_design
from yard_day import Day

from fieldapp.frame.design import SparesSection
from fieldapp.kit import build_kit

pytestmark = [pytest.mark.bench,
              pytest.mark.skipif(binaries() is None, reason="no PostgreSQL server here: apt-get install postgresql")]

HEARS_S = 3.0
"""Phones at the other server hear of an entry within so long."""


def kit_of(name, prefix, spares):
    made = small_design(spares=SparesSection(hubs_most_common=spares, hubs_each_other=spares, struts_each=spares))
    return build_kit(made.model_copy(update={"frame": made.frame.model_copy(update={"name": name, "prefix": prefix})}))


def test_a_whole_day_of_the_yard(tmp_path):
    server = Server()
    try:
        server.ask("CREATE ROLE site LOGIN")
        kits = [kit_of("Mill Dome", "MD", 0), kit_of("Rope Dome", "RD", 2), kit_of("Cart Dome", "CD", 0)]
        day = Day(tmp_path, kits, server, datetime(2027, 4, 28, 10, 14, tzinfo=UTC))
        try:
            day.whole()
            heard_s = sorted((*day.one.heard_s, *day.two.heard_s))
            print(f"\nphones at the other server heard {len(heard_s)} entries within {heard_s[-1]:.2f} s, half of them "
                  f"within {heard_s[len(heard_s) // 2]:.2f} s")
            assert heard_s[-1] <= HEARS_S
        finally:
            day.close()
    finally:
        server.remove()
