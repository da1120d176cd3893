"""`raisebook checks`: is the kit complete and fit, and if not, what must be made or mended?"""

import json
from datetime import UTC, datetime
from pathlib import Path

import click

from fieldapp.base.errors import KitError


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--way", help="For this way of raising, for example \"crown first\"; the default is the kit's own.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON record instead of the report.")
@click.option("--paper", is_flag=True, help="Also write the record of the last inspection round, tags for the bundles "
              "and stickers for new places into FOLDER/paper.")
@click.pass_context
def checks(context: click.Context, folder: Path, way: str | None, *, as_json: bool, paper: bool) -> None:
    """Say whether the kit in FOLDER is complete, inspected and fit, by its log; exit status 1 if it is not.

    Reads the log and writes nothing into it, so it may be asked while the kit is served.
    """
    from fieldapp.reports.readiness.folder import folder_readiness  # brings in scipy, which other commands do without
    from fieldapp.reports.readiness.record import readiness_record
    from fieldapp.wording.readiness import readiness_lines

    try:
        ready = folder_readiness(folder, way, now=datetime.now(UTC))
    except OSError as error:        # status 1 says that the kit was judged
        raise KitError(f"{error.filename} cannot be read: {error.strerror}. Check the path and its permissions."
                       ) from error
    if as_json:
        click.echo(json.dumps(readiness_record(ready), indent=1, ensure_ascii=False))
    else:
        for line in readiness_lines(ready):
            click.echo(line)
    if paper:
        from fieldapp.web.inspection.folder import write_inspection_paper  # brings in the PDF library

        for path in write_inspection_paper(folder, ready):
            click.echo(f"Wrote {path}", err=True)
    context.exit(0 if ready.fit else 1)
