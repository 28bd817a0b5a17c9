"""``propsched whatif``."""

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from propsched.cli.options import date_option, season_argument
from propsched.cli.replan import replan_options, run_near

if TYPE_CHECKING:
    from propsched.service.change import Change

DROP_C, DAYS = 8.0, 6
LARGEST_DROP_C = 30.0


class WithCounts(click.Command):
    """Lets ``--lost BATCH 12`` be written with or without the number."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        joined: list[str] = []
        for word in args:
            after_batch = len(joined) >= 2 and joined[-2] == "--lost"
            if after_batch and word.isdigit():
                joined[-1] = f"{joined[-1]}={word}"
            else:
                joined.append(word)
        return super().parse_args(ctx, joined)


def _with_count(
    ctx: click.Context, param: click.Parameter, value: tuple[str, ...]
) -> tuple[tuple[str, int | None], ...]:
    found: list[tuple[str, int | None]] = []
    for word in value:
        name, equals, number = word.partition("=")
        if equals and not (number.isdigit() and int(number) > 0):
            raise click.BadParameter(f"{number!r} is no number of plants", ctx, param)
        found.append((name, int(number) if equals else None))
    return tuple(found)


def _with_date(
    ctx: click.Context, param: click.Parameter, value: tuple[tuple[str, str], ...]
) -> tuple[tuple[str, date], ...]:
    try:
        return tuple((name, date.fromisoformat(day)) for name, day in value)
    except ValueError as error:
        raise click.BadParameter(
            f"{error} – write the day as 2027-02-06", ctx, param
        ) from None


@click.command("whatif", cls=WithCounts)
@season_argument
@click.option(
    "--drop",
    "drop_c",
    type=click.FloatRange(-LARGEST_DROP_C, LARGEST_DROP_C),
    help=f"A cold snap: so many °C colder, day and night (8 or -8; else {DROP_C:g}).",
)
@date_option("--from", "first", help="First day of it; else tomorrow.")
@click.option(
    "--days",
    type=click.IntRange(1, 120),
    help=f"How many days the cold lasts (else {DAYS}).",
)
@click.option(
    "--lost",
    metavar="BATCH [N]",
    multiple=True,
    callback=_with_count,
    help="A batch is lost, or N plants of it; may be repeated.",
)
@click.option(
    "--late",
    type=(str, str),
    metavar="BATCH DATE",
    multiple=True,
    callback=_with_date,
    help="Its material comes on that day, not before; may be repeated.",
)
@click.option(
    "--without",
    metavar="SPACE",
    multiple=True,
    help="A space is out of use, from --from (else today) to --to.",
)
@date_option("--to", "last", help="Last day of --without; else the season's end.")
@click.option("--accept", is_flag=True, help="Put the plan in force: save plan.json.")
@replan_options
def command(
    season: Path,
    drop_c: float | None,
    first: date | None,
    days: int | None,
    lost: tuple[tuple[str, int | None], ...],
    late: tuple[tuple[str, date], ...],
    without: tuple[str, ...],
    last: date | None,
    accept: bool,
    **options: Any,
) -> None:
    """Try a change: what it would do to the plan in force. Saves nothing.

    Without any option it is a cold snap of 8 °C for six days from tomorrow. Prints
    what would be done otherwise, and what to protect on those nights.
    """
    if last is not None and not without:
        raise click.UsageError("--to goes with --without")
    if drop_c == 0:
        raise click.UsageError("--drop 0 changes nothing")
    change = _change(
        _today(season, options["today"]), drop_c, first, days, lost, late, without, last
    )
    run_near(season, change, save=accept, **options)


def _today(season: Path, today: date | None) -> date:
    from propsched.service.loaded import WEATHER_ONLY, load

    return today or load(season, None, WEATHER_ONLY).today


def _change(
    today: date,
    drop_c: float | None,
    first: date | None,
    days: int | None,
    lost: tuple[tuple[str, int | None], ...],
    late: tuple[tuple[str, date], ...],
    without: tuple[str, ...],
    last: date | None,
) -> "Change":
    from propsched.service.change import Change, Late, Lost, Without
    from propsched.thermal.snap import Spell

    other = bool(lost or late or without)
    dated = first is not None and not without
    cold = drop_c is not None or days is not None or dated or not other
    spell = Spell(
        first=first or today + timedelta(days=1),
        days=DAYS if days is None else days,
        drop_k=abs(DROP_C if drop_c is None else drop_c),
    )
    return Change(
        cold=(spell,) if cold else (),
        lost=tuple(Lost(batch=name, count=count) for name, count in lost),
        late=tuple(Late(batch=name, first=day) for name, day in late),
        without=tuple(Without(space=s, first=first, last=last) for s in without),
    )
