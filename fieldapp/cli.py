"""The `raisebook` command: one subcommand = parse, call, print."""

import gc
import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from fieldapp import __version__
from fieldapp.base.errors import DesignError, KitError, RaisebookError
from fieldapp.base.said import in_words
from fieldapp.cli_adopt import adopt
from fieldapp.cli_ask import checks, show, sources
from fieldapp.cli_forget import forget
from fieldapp.cli_forgives import forgives
from fieldapp.cli_identify import identify
from fieldapp.cli_log import backup, log, restore
from fieldapp.cli_plan import arm_test, compare, limits, show_progress
from fieldapp.cli_site import STATUSES, demo, serve
from fieldapp.cli_upkeep import upkeep
from fieldapp.cli_yard import yard
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design
from fieldapp.frame.template import STARTER, design_text
from fieldapp.kit import with_parts
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.building import hindrances
from fieldapp.kit.file import DESIGN_FILE, folder_design, has_kit, read_kit
from fieldapp.kit.kit import Kit, Part
from fieldapp.log.entry import LOG_NAME
from fieldapp.plan.telling import listening
from fieldapp.prints.sheets import KINDS, LabelKind

if TYPE_CHECKING:
    from fieldapp.log.state import State

FOLDER = click.Path(path_type=Path)


_LOOKED_THROUGH = (10_000, 10, 10)
"""New objects, and rounds, after which those that hold each other are looked for: as many as a stage makes
(in no formula)."""


class Commands(click.Group):
    """A group that ends with a message and the exit status of our errors, never with a traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the subcommand, and show how far it is where that takes long."""
        speak_to_any_terminal()
        gc.freeze()  # the program itself stays: nobody looks it through for what may be let go
        gc.set_threshold(*_LOOKED_THROUGH)
        try:
            with listening(show_progress):
                return super().invoke(ctx)
        except RaisebookError as error:
            click.echo(f"raisebook: {error}", err=True)
            ctx.exit(error.exit_status)
        except OSError as error:
            if error.filename is None:
                raise  # a closed pipe: click ends quietly
            click.echo(f"raisebook: {error.filename} cannot be read or written: {error.strerror}. Check the path, its "
                       f"permissions and the space on the disk.", err=True)
            ctx.exit(RaisebookError.exit_status)


def speak_to_any_terminal() -> None:
    """A letter that the terminal does not know is replaced; no command ends over it."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


@click.group(cls=Commands, epilog=STATUSES, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="raisebook")
def main() -> None:
    """The site book of a hub-and-strut frame: from its design to labelled parts, and to phones on site."""


for command in (serve, yard, upkeep, demo, show, compare, limits, forgives, arm_test, identify, adopt, checks, backup,
                restore, log, forget, sources):
    main.add_command(command)


@main.command()
@click.argument("folder", type=FOLDER)
def new(folder: Path) -> None:
    """Write a design file with its questions into FOLDER."""
    path = folder / DESIGN_FILE
    if path.exists():
        raise KitError(f"{path} exists already; allowed is a folder without one. "
                       f"Edit that file, or choose another folder.")
    write_atomic(path, design_text(STARTER).encode())
    for found in hindrances(STARTER, build_frame(STARTER)):
        click.echo(f"Look first: {in_words(found.said)}")
    click.echo(f"Wrote {path}. Answer its questions, then run: raisebook make {folder}")


@main.command()
@click.argument("folder", type=FOLDER)
@click.option("--looked-at", is_flag=True, help="Of a frame from a file: its picture was seen, size and up are right.")
def make(folder: Path, looked_at: bool) -> None:
    """Compute everything from FOLDER/design.toml: kit, tables and labels."""
    from numpy.linalg import LinAlgError

    from fieldapp.prints.folder import make_folder  # brings in scipy and the PDF library, which others do without

    path = folder / DESIGN_FILE
    if not path.is_file():
        raise KitError(f"{folder} is not a kit folder: it has no {DESIGN_FILE}. Check the path, or begin one with: "
                       f"raisebook new {folder}")
    design = folder_design(folder)
    if design.given is not None and not has_kit(folder) and not looked_at:
        _show_drawn(design, folder)
    made_on_site = _made(_logged(folder, read_kit(folder))) if has_kit(folder) else ()
    try:
        lines = make_folder(folder, design, made_on_site, report=_progress)
    except (ArithmeticError, LinAlgError) as error:
        raise DesignError(f"{path.name}: the frame cannot be computed with these answers ({error}). Look for one that "
                          f"is much larger or smaller than in life; nothing was changed.") from error
    for line in lines:
        click.echo(line)


def _show_drawn(design: Design, folder: Path) -> None:
    """Size and picture of a frame from a file, before anything is labelled; goes on if somebody says they are right."""
    from fieldapp.prints.terminal.drawn import drawn_lines  # brings in the pictures, which other commands do without

    for line in drawn_lines(design, folder):
        click.echo(line)
    if not sys.stdin.isatty():
        raise DesignError(f"Nothing was made yet: look at the picture. If size and up are right, run: raisebook make "
                          f"--looked-at {folder}. Else correct drawing.unit and drawing.up.")
    if not click.confirm("Are size and up right?"):
        raise DesignError("Nothing was made. Correct drawing.unit and drawing.up, then run the command again.")


@main.command()
@click.argument("folder", type=FOLDER)
@click.argument("ids", nargs=-1)
@click.option("--kind", type=click.Choice(KINDS), default="part", show_default=True,
              help="Sheet labels of parts, strips round struts, faces of hubs, tags to tie on, or contents of boxes.")
@click.option("--roll", is_flag=True, help="Print for the label roll of the design instead of sheets.")
@click.option("--start", default=1, show_default=True, help="First free label of the first sheet, along the rows.")
@click.option("--out", type=FOLDER, help="File to write; the default is in FOLDER/paper.")
def labels(folder: Path, ids: tuple[str, ...], kind: LabelKind, roll: bool, start: int, out: Path | None) -> None:
    """Write labels of all parts in FOLDER, or of the parts IDS.

    An ID may be typed in any form; with .1 or .2 it means the label of that end of a strut. Bundles and bags are
    those that hold one of IDS; a box holds just IDS, or the spares.
    """
    from fieldapp.prints.sheets.label_kinds import (
        write_kind,  # brings in the PDF library, which other commands do without
    )
    from fieldapp.prints.sheets.labels import chosen_parts

    kit = read_kit(folder)
    state = _logged(folder, kit)
    kit = with_parts(kit, _made(state))
    name = "-".join(("labels", *((kind,) if kind != "part" else ()), *(("roll",) if roll else ()),
                     *(("again",) if ids else ())))
    path = out or folder / "paper" / f"{name}.pdf"
    _progress(f"labels for {', '.join(ids) if ids else f'{len(kit.parts)} parts'}")
    path.parent.mkdir(parents=True, exist_ok=True)
    for warning in write_kind(kit, path, kind, part_ids=ids or None, start=start, on_roll=roll):
        click.echo(f"Note: {warning}", err=True)
    for words in _moved(state, {part.id for part, _ in chosen_parts(kit, ids or None)}) if state else ():
        click.echo(f"Note: {words}", err=True)
    click.echo(f"Wrote {path}")


def _logged(folder: Path, kit: Kit) -> "State | None":
    """What the log of a folder says; None if there is none."""
    if not (folder / LOG_NAME).exists():
        return None
    from fieldapp.log.opening import logged_state  # brings in the database, which a folder without a log does without

    return logged_state(folder, kit)


def _made(state: "State | None") -> tuple[Part, ...]:
    """Parts that the log knows beside those of the kit."""
    return tuple(state.made[part_id] for part_id in sorted(state.made)) if state else ()


def _moved(state: "State", printed: set[str]) -> Iterator[str]:
    """Parts whose label names another place than the one they have now, in words."""
    for place, part_id in sorted(state.allocation.items()):
        made_for = state.part(part_id).made_for
        if part_id in printed and made_for not in (None, place):
            yield (f"{part_id} goes to {place} now, and its label says {made_for}: "
                   f"stick the \"new place\" sticker of raisebook checks --paper beside it")


def _progress(words: str) -> None:
    """One line of progress, on standard error so that output can be piped."""
    click.echo(f"… {words}", err=True)
