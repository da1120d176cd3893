"""Three kits, two servers, one store, three phones each: a small day of the yard. The whole one is in the bench."""

from datetime import UTC, datetime

import pytest
from log.postgres import Server, binaries
from yard_day import Day
from yard_of_three import three_kits

pytestmark = pytest.mark.skipif(binaries() is None, reason="no PostgreSQL server here: apt-get install postgresql")


def test_a_day_of_the_yard(tmp_path):
    server = Server()
    try:
        server.ask("CREATE ROLE site LOGIN")
        day = Day(tmp_path, three_kits(), server, datetime(2027, 4, 28, 10, 14, tzinfo=UTC))
        try:
            day.whole()
        finally:
            day.close()
    finally:
        server.remove()
