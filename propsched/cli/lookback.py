"""``propsched lookback``."""

from datetime import date
from pathlib import Path

import click

from propsched.cli.options import format_option, season_argument, today_option
from propsched.cli.output import data, notes, show
from propsched.cli.writing import refuse_own, write


@click.command("lookback")
@season_argument
@click.option(
    "--html",
    type=click.Path(path_type=Path),
    help="Write it as one page, A4, to begin the next season from.",
)
@today_option
@format_option
def command(season: Path, html: Path | None, today: date | None, form: str) -> None:
    """What was to be expected, beside what happened.

    Days on which things came up or rooted, losses, what became of each batch, and
    readings, by batch, crop and space; what to do otherwise, and rows for the season's
    crops.csv. It goes by the daybook and the readings and changes nothing.
    """
    from propsched.report import lookback as report
    from propsched.service.lookback import look_back

    if html is not None:
        refuse_own(season, (html,))
    back = look_back(season, today)
    notes(back.notes)
    if html is not None:
        from propsched.report.lookback_page import lookback_page

        write(html, lookback_page(back, str(season)).encode())
    elif form == "csv":
        data(report.lookback_csv(back))
    elif form == "json":
        data(report.lookback_json(back))
    else:
        show(lambda width: report.lookback_report(back, str(season)))
        if back.crop_rows:
            rows = report.crop_rows_csv(back.crop_rows)
            data(f"\nRows for crops.csv, if you agree\n{rows}")
