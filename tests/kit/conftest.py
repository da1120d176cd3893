"""One kit for all: the demo frame, with spares."""

from pathlib import Path

import pytest

from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.kit.file import write_kit
from fieldapp.kit.kit import Kit


@pytest.fixture(scope="session")
def kit() -> Kit:
    return build_kit(orchard_hall())


@pytest.fixture
def folder(tmp_path: Path, kit: Kit) -> Path:
    """A folder with a labelled kit."""
    write_kit(tmp_path, kit)
    return tmp_path
