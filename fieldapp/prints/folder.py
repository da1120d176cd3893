"""Everything that `raisebook make` writes into a kit's folder."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from fieldapp.frame.design import Design
from fieldapp.kit.cutting import cutting_plan
from fieldapp.kit.kit import Part
from fieldapp.kit.make import make_kit
from fieldapp.prints.labels import write_calibration, write_labels
from fieldapp.prints.summary import summary
from fieldapp.prints.tables import write_tables

Say = Callable[[str], None]


def make_folder(folder: Path, design: Design, made_on_site: Iterable[Part] = (), *, say: Say) -> Iterator[str]:
    """Write `kit.json`, tables and paper of a design; yields the lines of the summary.

    Parameters
    ----------
    folder : Path
    design : Design
    made_on_site : parts
        As `kit.make.make_kit`.
    say
        Called with a few words before each part of the work.

    Raises
    ------
    RaisebookError
        Nothing is written before the kit is known to be good.
    """
    say("frame and kit")
    made = make_kit(folder, design, made_on_site)
    say("cutting plan and tables")
    cutting = cutting_plan(made.kit)
    write_tables(made.kit, cutting, folder / "tables")
    say(f"labels for {len(made.kit.parts)} parts")
    (folder / "paper").mkdir(exist_ok=True)
    warnings = write_labels(made.kit, folder / "paper" / "labels.pdf")
    write_calibration(made.kit, folder / "paper" / "printer-check.pdf")
    yield from summary(made, cutting)
    yield from (f"Note: {warning}" for warning in warnings)
    yield f"Wrote {folder / 'kit.json'}, {folder / 'tables'} and {folder / 'paper'}"
