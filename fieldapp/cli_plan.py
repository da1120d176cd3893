"""`raisebook compare` and `raisebook arm-test`: questions to ask before anything is cut or lifted."""

import json
import sys
from pathlib import Path

import click

from fieldapp.base.errors import PlanError
from fieldapp.base.units import nm_from_nmm
from fieldapp.kit import build_kit
from fieldapp.kit.atomic import write_atomic
from fieldapp.kit.file import DESIGN_FILE, folder_design, read_kit
from fieldapp.kit.kit import Kit

FOLDER = click.Path(path_type=Path)
LONG_WORK = 200
"""Steps from which a piece of work is worth a line where nobody watches."""


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON record instead of the table.")
@click.option("--way", help="Only this way, step by step, for example \"crown first\".")
@click.option("--picture", type=FOLDER, help="Also write use over the steps, one line a way, to this SVG file.")
@click.option("--tables", "out", type=FOLDER,
              help="With --way: write its steps.csv, stages.csv and feet.csv into this folder.")
def compare(folder: Path, as_json: bool, way: str | None, picture: Path | None, out: Path | None) -> None:
    """Show the ways of raising the kit in FOLDER side by side, and which one to take.

    Every unfinished stage of every way is computed. Reads FOLDER/design.toml as it is now.
    """
    if out is not None and way is None:
        raise PlanError("--tables writes the tables of one way; name it with --way, for example --way \"ring by ring\"")
    kit = _kit(folder)
    if way is not None:
        _one_way(kit, way, out, as_json=as_json)
        return
    from fieldapp.prints.terminal.comparison import everything  # brings in scipy, which other commands do without

    lines, record, uses = everything(kit)
    if picture is not None and not uses:
        raise PlanError("--picture draws how much of what parts bear is used, and nobody has tested what they bear; "
                        "leave it out, or break some first")
    if picture is not None:
        from fieldapp.prints.pictures.way_chart import way_chart
        from labels.svg import svg

        write_atomic(picture, svg(way_chart(uses)).encode())
        click.echo(f"Wrote {picture}", err=True)
    if as_json:
        click.echo(json.dumps(record, indent=1, ensure_ascii=False))
        return
    for line in lines:
        click.echo(line)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--way", help="Only this way, for example \"crown first\"; else the one that the design chooses.")
def limits(folder: Path, way: str | None) -> None:
    """Print every limit of every stage of the kit in FOLDER as CSV, each with what gives way first, and where.

    Numbers are design values of the frame itself (weight x 1.35, pushes and wind x 1.5); the last column is what crews
    are told, or what ends before the frame does. Reads FOLDER/design.toml as it is now.
    """
    from fieldapp.base.csv_text import csv_text
    from fieldapp.plan.case import case_of  # these bring in scipy, which other commands do without
    from fieldapp.plan.compare import judged_way
    from fieldapp.plan.judge import wind_limits
    from fieldapp.plan.order import judged_plan
    from fieldapp.prints.limits_table import HEADS, limit_rows

    kit = _kit(folder)
    case = case_of(kit)
    judged = judged_plan(kit) if way is None else judged_way(case, way)
    click.echo(csv_text(HEADS, limit_rows(judged, wind_limits(case, judged))), nl=False)


@click.command("arm-test")
@click.argument("loads_n", nargs=-1, required=True, type=float)
@click.option("--lever", "lever_mm", required=True, type=float, help="From the arm's root to the load [mm].")
@click.option("--scatter", type=float, help="Standard deviation over mean, if it is known beforehand.")
@click.option("--factor", default=1.0, show_default=True, help="From characteristic to design; for wood k_mod / γ_M.")
def arm_test(loads_n: tuple[float, ...], lever_mm: float, scatter: float | None, factor: float) -> None:
    """Evaluate break tests: LOADS_N [N] are the loads at which hub arms broke (1 kg hangs with 9.81 N)."""
    from fieldapp.plan.words import SAFETY
    from fieldapp.statics.break_tests import FEWEST_UNKNOWN
    from fieldapp.statics.break_tests import arm_test as evaluated

    test = evaluated(loads_n, lever_mm, scatter, factor=factor)
    arms = "arm" if test.count == 1 else "arms"
    click.echo(f"{test.count} {arms}, mean {nm_from_nmm(test.mean_moment_nmm):.2f} N m, scatter "
               f"{test.measured_scatter:.1%} (measured), counted as {test.scatter:.1%}")
    how = (f"at most half of the lowest, {nm_from_nmm(test.lowest_moment_nmm):.2f} N m; our choice for fewer than "
           f"{FEWEST_UNKNOWN} tests") if test.few else f"5 % fractile, k = {test.fractile_factor:.2f}"
    click.echo(f"Characteristic moment ({how}): {nm_from_nmm(test.characteristic_moment_nmm):.2f} N m")
    click.echo(f"Design moment (factor {test.factor:g}): {nm_from_nmm(test.design_moment_nmm):.2f} N m")
    click.echo(f"Three more tests like these would give {nm_from_nmm(test.three_more_design_moment_nmm):.2f} N m, "
               f"{test.three_more_gain:+.0%}.")
    click.echo(SAFETY)


def _kit(folder: Path) -> Kit:
    """The kit of the design file as it is now, or of the kit file if there is no design file."""
    return build_kit(folder_design(folder)) if (folder / DESIGN_FILE).is_file() else read_kit(folder)


def _one_way(kit: Kit, way: str, out: Path | None, *, as_json: bool) -> None:
    """Judge one way; print it, or write its tables."""
    from fieldapp.plan.case import case_of  # these bring in scipy, which other commands do without
    from fieldapp.plan.compare import Comparison, judged_way, way_report
    from fieldapp.prints.tables import write_plan_tables
    from fieldapp.prints.terminal.comparison import comparison_record, way_lines

    case = case_of(kit)
    report = way_report(kit, judged_way(case, way))
    if out is not None:
        write_plan_tables(case, report.judged, out)
        click.echo(f"Wrote {out / 'steps.csv'}, {out / 'stages.csv'} and {out / 'feet.csv'}")
    if as_json:
        click.echo(json.dumps(comparison_record(Comparison((report,), report.way)), indent=1, ensure_ascii=False))
    elif out is None:
        for line in way_lines(report):
            click.echo(line)


def show_progress(what: str, done: int, total: int) -> None:
    """A line that counts, on standard error; where nobody watches, one line for each long piece of work."""
    if sys.stderr.isatty():
        click.echo(f"\r… {what} {done}/{total}", err=True, nl=done == total)
    elif done == 1 and total >= LONG_WORK:
        click.echo(f"… {what}, {total} steps", err=True)
