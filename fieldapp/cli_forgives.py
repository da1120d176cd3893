"""`raisebook forgives`: what the whole frame forgives, on the terminal, on a sheet and in a table."""

from pathlib import Path

import click

from fieldapp.kit.file import read_kit


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
def forgives(folder: Path) -> None:
    """Work out whether somebody may hang from the whole frame in FOLDER, a ladder lean, a strut or hub be lost.

    Writes paper/forgives.pdf and tables/forgives.csv.
    """
    from fieldapp.plan.case import case_of  # these bring in scipy, which other commands do without
    from fieldapp.plan.forgives import what_it_forgives
    from fieldapp.plan.order import judged_plan
    from fieldapp.prints.forgives import write_forgives
    from fieldapp.prints.terminal.forgives import forgives_lines

    kit = read_kit(folder)
    plan = judged_plan(kit).plan
    *_, found = what_it_forgives(case_of(kit), plan)
    for line in forgives_lines(found):
        click.echo(line)
    paper, table = write_forgives(kit, plan, found, folder)
    click.echo(f"Wrote {paper} and {table}")
