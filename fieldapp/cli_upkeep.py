"""`raisebook upkeep`: what to make, mend and inspect over several kits between seasons."""

from collections import Counter
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from fieldapp.base.errors import KitError

if TYPE_CHECKING:
    from fieldapp.log.state import State


@click.command()
@click.argument("folders", nargs=-1, required=True, metavar="DIR...", type=click.Path(path_type=Path))
@click.option("--chance", type=click.FloatRange(0.5, 0.999), default=0.95, show_default=True,
              help="That each kit can finish its next raise with the parts it has.")
@click.option("--csv", "table", type=click.Path(path_type=Path), help="Also write a table of all classes to this file.")
@click.option("--store", metavar="ADDRESS", default="", envvar="RAISEBOOK_STORE",
              help="Database server that keeps the logs, as for raisebook yard.")
def upkeep(folders: tuple[Path, ...], chance: float, table: Path | None, store: str) -> None:
    """Say what to make this winter for all kits in these folders, what is due, and how their parts last.

    DIR is a kit's folder, or a folder that kits lie in. Logs are only read, also while they are served. Kits whose
    parts may stand in for each other share their history.
    """
    from fieldapp.kit.atomic import write_atomic  # numpy and the database are loaded only by what needs them
    from fieldapp.kit.file import kit_folders, read_kit
    from fieldapp.log.opening import followed_plan, logged_state
    from fieldapp.reports.pool.record import PoolKit
    from fieldapp.reports.readiness import folder_checklist
    from fieldapp.reports.upkeep.winter import upkeep as worked_out
    from fieldapp.wording.upkeep import upkeep_csv, upkeep_lines

    now, kits, seen = datetime.now().astimezone(), [], Counter[str]()
    for place in kit_folders(folders):
        kit = read_kit(place)
        state = _shared_state(place, store) if store else logged_state(place, kit)
        letters = kit.design.frame.prefix
        seen[letters] += 1
        name = letters if seen[letters] == 1 else f"{letters}-{seen[letters]}"
        kits.append(PoolKit(name, kit, followed_plan(kit, state.way)[0], state, folder_checklist(place, kit)))
    if not kits:
        raise KitError("no kit was named")
    found = worked_out(kits, now=now, chance=chance)
    for line in upkeep_lines(found, {kit.name: kit.kit for kit in kits}, now):
        click.echo(line)
    if table is not None:
        write_atomic(table, upkeep_csv(found).encode())
        click.echo(f"Wrote {table}")


def _shared_state(place: Path, store: str) -> "State":
    from fieldapp.log.opening import open_book  # as above

    with open_book(place, store=store) as book:
        return book.state
