"""``propsched weather``."""

from datetime import date
from pathlib import Path
from typing import IO

import click

from propsched.cli.options import season_argument, today_option
from propsched.cli.output import notes
from propsched.report.words import clean

LAYOUTS = ("plain", "dwd-daily", "gsod", "ghcn-daily")


@click.command("weather")
@season_argument
@click.option("--import", "file", metavar="FILE", type=click.Path(path_type=Path),
              help="Take the measured days of a station's daily file.")  # fmt: skip
@click.option("--layout", type=click.Choice(LAYOUTS), help="Of FILE; else found out.")
@click.option("--station", default="", help="Which of the stations in FILE.")
@click.option("--history", is_flag=True, help="Take past winters into history.csv.")
@click.option("--replace", is_flag=True, help="Over days that were observed otherwise.")
@click.option("--forecast", metavar="FILE", type=click.File("rb"),
              help="Take day, lowest, highest, pasted; - reads them here.")  # fmt: skip
@click.option("--fahrenheit/--celsius", default=None, help="Unit of a pasted forecast.")
@click.option(
    "--day-first/--month-first", default=None, help="Of dates such as 5/11/2026."
)
@today_option
def command(
    season: Path,
    file: Path | None,
    layout: str | None,
    station: str,
    history: bool,
    replace: bool,
    forecast: IO[bytes] | None,
    fahrenheit: bool | None,
    day_first: bool | None,
    today: date | None,
) -> None:
    """Take in weather from elsewhere; without options, say what there is.

    \b
    propsched weather SEASON --import station.csv
    propsched weather SEASON --import station.csv --history
    propsched weather SEASON --forecast -
    """
    from propsched.files.pasted import PastedTold
    from propsched.service.weather import import_weather, take_forecast, weather_there

    if file is not None and forecast is not None:
        raise click.UsageError("--import or --forecast, one at a time")
    if file is None and (layout or station or history or replace):
        raise click.UsageError(
            "--layout, --station, --history, --replace need --import"
        )
    if file is not None:
        answer = import_weather(
            season, file, layout=layout or "", station=station,
            history=history, replace=replace, today=today,
        )  # fmt: skip
    elif forecast is not None:
        text = forecast.read().decode("utf-8-sig", errors="replace")
        told = PastedTold(fahrenheit=fahrenheit, day_first=day_first)
        name = str(getattr(forecast, "name", "-"))
        name = "pasted" if name in ("-", "<stdin>") else name
        answer = take_forecast(season, text, told, source=name, today=today)
    else:
        answer = weather_there(season)
    notes(answer.notes)
    for line in answer.lines:
        click.echo(clean(line))
