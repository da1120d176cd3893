"""Photos on a database server, by digest: whichever laptop took one, phones at all of them see it."""

from collections.abc import Collection
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.dialects.postgresql import insert

from fieldapp.kit.atomic import write_atomic
from fieldapp.log.baggage import PHOTO_FOLDER, photos_in
from fieldapp.log.shared.tables import MOST_PHOTO_BYTES, photos


def keep(connection: sa.Connection, digest: str, content: bytes) -> None:
    """Put a photo there; harmless a second time."""
    connection.execute(insert(photos).values(digest=digest, content=content).on_conflict_do_nothing())


def find(connection: sa.Connection, digest: str) -> bytes | None:
    """The photo of that digest; None if there is none."""
    found: bytes | None = connection.execute(sa.select(photos.c.content).where(photos.c.digest == digest)).scalar()
    return found


def erase(connection: sa.Connection, digests: Collection[str]) -> None:
    """Take photos away that are among what was forgotten."""
    connection.execute(sa.delete(photos).where(photos.c.digest.in_(digests)))


def bring(connection: sa.Connection, folder: Path, erased: Collection[str]) -> int:
    """Put the photos beside a log there, those that are what their name says; returns how many."""
    taken = [path for path in photos_in(folder)
             if path.stem not in erased and path.stat().st_size <= MOST_PHOTO_BYTES]
    for path in taken:
        keep(connection, path.stem, path.read_bytes())
    return len(taken)


def take_home(connection: sa.Connection, folder: Path) -> int:
    """Write all photos into a folder beside its log, those that are not there yet; returns how many."""
    digests = connection.execute(sa.select(photos.c.digest)).scalars().all()
    lacking = [digest for digest in digests if not (folder / PHOTO_FOLDER / f"{digest}.jpg").exists()]
    for digest in lacking:
        write_atomic(folder / PHOTO_FOLDER / f"{digest}.jpg", find(connection, digest) or b"")
    return len(lacking)
