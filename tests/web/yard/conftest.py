"""Three small kits in one folder, two of them with the same letters, and phones that look at all of them."""

from datetime import UTC, datetime

import pytest

from fieldapp.frame.design import Design
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.order import level_order
from fieldapp.web.common.rights import Rights
from fieldapp.web.yard.app import create_yard

MORNING = datetime(2027, 4, 28, 10, 14, tzinfo=UTC)


def small_design(name, prefix):
    return Design.model_validate({
        "frame": {"name": name, "prefix": prefix, "frequency": 2, "cut": "1/2", "diameter_m": 4.0},
        "strut": {"section": "rod", "material": "C24", "outer_mm": 32.0}})


@pytest.fixture(scope="session")
def designs():
    return [small_design("Mill Dome", "MD"), small_design("Rope Dome", "RD"), small_design("Old Rope Dome", "RD")]


@pytest.fixture
def books(tmp_path, designs):
    opened = []
    for number, design in enumerate(designs):
        folder = tmp_path / f"kit-{number}"
        folder.mkdir()
        kit = build_kit(design)
        write_kit(folder, kit)
        opened.append((folder, SiteBook.open(kit, level_order(kit.frame, kit.design), folder / "log.sqlite")))
    yield opened
    for _folder, book in opened:
        book.close()


@pytest.fixture
def app(tmp_path, books):
    return create_yard(tmp_path, books, Rights(also=("POSTER",)), clock=lambda: MORNING)
