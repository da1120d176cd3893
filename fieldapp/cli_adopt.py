"""`raisebook adopt`: a kit around parts that exist."""

from datetime import datetime
from pathlib import Path

import click

from fieldapp.base.errors import FrameError, KitError
from fieldapp.frame.design_file import read_design
from fieldapp.identify.heap import MeasuredHeap
from fieldapp.identify.heap_file import read_heap
from fieldapp.identify.told import frame_words
from fieldapp.kit.atomic import all_at_once
from fieldapp.kit.file import DESIGN_FILE, has_kit


@click.command()
@click.argument("heap", type=click.Path(path_type=Path))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--frame", "number", type=click.IntRange(min=1),
              help="Which of the frames that raisebook identify lists; needed unless it is sure.")
@click.option("--same-marks", is_flag=True,
              help="Marks that stand in two rows are really on two parts: somebody looked.")
def adopt(heap: Path, folder: Path, number: int | None, same_marks: bool) -> None:
    """Make a kit in FOLDER around the measured parts in HEAP.

    HEAP is the list that raisebook identify reads, with old marks, paint and codes. Where FOLDER holds no design.toml,
    the frame that was identified is written there with questions to answer, and nothing else; run it again after that.
    Or put the design (and file) of a frame that you know there first.
    """
    measured = read_heap(heap)
    if has_kit(folder):
        raise KitError(f"{folder} holds a kit already; a kit is adopted once, since its labels never change. Name "
                       f"another folder.")
    if not (folder / DESIGN_FILE).is_file():
        _begin(measured, folder, number)
        return
    if number is not None:
        raise click.UsageError(f"--frame chooses a frame where {folder / DESIGN_FILE} does not exist yet; it does. "
                               f"Leave it out, or name another folder.")
    from fieldapp.adopt.adoption import adoption  # these bring in scipy and the PDF library
    from fieldapp.adopt.folder import write_adopted
    from fieldapp.adopt.told import adoption_lines

    _refuse_unanswered(folder)
    found = adoption(measured, read_design(folder / DESIGN_FILE), same_marks=same_marks)
    lines = write_adopted(folder, found, datetime.now().astimezone(), lambda words: click.echo(f"… {words}", err=True))
    for line in (*adoption_lines(found), *lines):
        click.echo(line)


def _begin(heap: MeasuredHeap, folder: Path, number: int | None) -> None:
    """The design of an identified frame, to be answered."""
    from fieldapp.adopt.drawn import drawn_files
    from fieldapp.identify.rank import identify

    found = identify(heap)
    if not found.matches:
        raise FrameError("No frame that was looked at has so many struts. Put the design of yours into the folder "
                         f"first: raisebook new {folder}, or its drawing as [frame] file.")
    if number is None and found.sure != "sure":
        listed = "; ".join(f"{n}: {frame_words(match.known)}" for n, match in enumerate(found.matches, start=1))
        raise FrameError(f"It is not sure which frame this is ({found.sure}). Choose with --frame: {listed}. Counting "
                         f"hubs by their arms, or measuring a span, tells more.")
    if number is not None and number > len(found.matches):
        raise FrameError(f"--frame is {number}, but {len(found.matches)} frames were found; allowed is 1 to "
                         f"{len(found.matches)}. Look at them with: raisebook identify")
    match = found.matches[(number or 1) - 1]
    with all_at_once(folder, DESIGN_FILE) as ready:
        for name, text in drawn_files(match).items():
            (ready / name).write_text(text, encoding="utf-8")
    click.echo(f"Wrote {folder / DESIGN_FILE}: {frame_words(match.known)}. Answer [strut] and [hub] from the parts "
               f"themselves, and name and prefix; then run the same command again (without --frame).")


def _refuse_unanswered(folder: Path) -> None:
    """KitError where nobody touched the questions yet: examples are no answers."""
    from fieldapp.adopt.drawn import UNANSWERED

    if UNANSWERED in (folder / DESIGN_FILE).read_text(encoding="utf-8-sig", errors="replace"):
        raise KitError(f"{folder / DESIGN_FILE} still has the line \"{UNANSWERED}\": what stands under [strut] and "
                       f"[hub] is an example. Answer it from the parts themselves and take that line out.")
