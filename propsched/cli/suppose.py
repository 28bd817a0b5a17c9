"""``propsched suppose``."""

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from propsched.cli.options import season_argument
from propsched.cli.output import data, notes, show
from propsched.cli.planning import end_with, planning_options
from propsched.cli.running import run_planning

if TYPE_CHECKING:
    from rich.console import RenderableType

    from propsched.service.garden import Rebuilt, Room

_AREA = re.compile(r"(\d+(?:\.\d+)?) ?(?:m2|m²)?|(\d+) ?trays?")


def _parts(
    ctx: click.Context, param: click.Parameter, value: tuple[str, ...], example: str
) -> list[tuple[str, str]]:
    found = []
    for word in value:
        name, equals, rest = (part.strip() for part in word.partition("="))
        if not (name and equals and rest):
            raise click.BadParameter(f"{word!r} – write it as {example}", ctx, param)
        found.append((name, rest))
    return found


def _areas(
    ctx: click.Context, param: click.Parameter, value: tuple[str, ...]
) -> tuple[tuple[str, float, int], ...]:
    """Space, m², trays; of the last two one is 0."""
    found = []
    for name, size in _parts(ctx, param, value, "bench=0.3 or bench=2trays"):
        match = _AREA.fullmatch(size)
        m2, trays = (match[1], match[2]) if match else (None, None)
        if match is None or float(m2 or trays or 0) <= 0:
            raise click.BadParameter(
                f"{size!r} is no area – write 0.3 for 0.3 m², or 2trays", ctx, param
            )
        found.append((name, float(m2 or 0), int(trays or 0)))
    return tuple(found)


def _days(
    ctx: click.Context, param: click.Parameter, value: tuple[str, ...]
) -> tuple[tuple[str, date], ...]:
    try:
        return tuple(
            (name, date.fromisoformat(day))
            for name, day in _parts(ctx, param, value, "hotbed=2027-01-23")
        )
    except ValueError as error:
        raise click.BadParameter(
            f"{error} – write the day as 2027-01-23", ctx, param
        ) from None


def _degrees(
    ctx: click.Context, param: click.Parameter, value: tuple[str, ...]
) -> tuple[tuple[str, float], ...]:
    found = []
    for name, set_c in _parts(ctx, param, value, "bench=20"):
        if not re.fullmatch(r"\d+(\.\d+)?", set_c):
            raise click.BadParameter(f"{set_c!r} is no temperature in °C", ctx, param)
        found.append((name, float(set_c)))
    return tuple(found)


@click.command("suppose")
@season_argument
@click.option(
    "--more",
    metavar="SPACE=AREA",
    multiple=True,
    callback=_areas,
    help="More room: bench=0.3 (m²) or bench=2trays (standard seed trays).",
)
@click.option(
    "--less",
    metavar="SPACE=AREA",
    multiple=True,
    callback=_areas,
    help="Less room, written the same way.",
)
@click.option(
    "--another",
    metavar="SPACE",
    multiple=True,
    help="A second space like it; further options name it SPACE-2.",
)
@click.option(
    "--make-up",
    metavar="BED=DATE",
    multiple=True,
    callback=_days,
    help="The hotbed made up on that day.",
)
@click.option(
    "--heat",
    metavar="SPACE=SET",
    multiple=True,
    callback=_degrees,
    help="Its thermostat set to so many °C.",
)
@click.option(
    "--afresh",
    is_flag=True,
    help="Forget the plan in force: what it has decided may be changed for nothing.",
)
@planning_options(least_s=8, gap=0.001, search="each of the two searches")
def command(
    season: Path,
    more: tuple[tuple[str, float, int], ...],
    less: tuple[tuple[str, float, int], ...],
    another: tuple[str, ...],
    make_up: tuple[tuple[str, date], ...],
    heat: tuple[tuple[str, float], ...],
    time_limit_s: float | None,
    gap: float,
    reproducible: bool,
    afresh: bool,
    quiet: bool,
    today: date | None,
    seed: int,
    winters: int,
    form: str,
) -> None:
    """What another garden would be worth: more room, a second bench, a bed sooner.

    Plans the season as it is and as supposed, in equal time, and says what the
    difference is worth. Several things are supposed together. Without any it lists
    what one more tray would be worth in each space. Saves nothing.
    """
    from propsched.report import suppose as report
    from propsched.service.garden import Another, MadeUp, SetTo
    from propsched.service.request import Request
    from propsched.service.suppose import suppose, tray_places

    garden: list[Rebuilt] = [Another(space=name) for name in another]
    garden += [_room(*one, sign=1) for one in more]
    garden += [_room(*one, sign=-1) for one in less]
    garden += [MadeUp(space=name, day=day) for name, day in make_up]
    garden += [SetTo(space=name, set_c=set_c) for name, set_c in heat]
    request = Request(
        folder=season,
        today=today,
        seed=seed,
        reproducible=reproducible,
        time_limit_s=time_limit_s,
        gap=gap,
        winters=winters,
        save=False,
    )
    views: tuple[Callable[[], RenderableType], Callable[[], str], Callable[[], str]]
    if garden:
        answer = run_planning(
            lambda emit, cancel: suppose(request, garden, emit, cancel, afresh=afresh),
            quiet=quiet,
        )
        said, plan = answer.notes, answer.as_supposed
        views = (
            lambda: report.suppose_report(answer),
            lambda: report.suppose_csv(answer),
            lambda: report.suppose_json(answer),
        )
    else:
        places = run_planning(
            lambda emit, cancel: tray_places(request, emit, cancel, afresh=afresh),
            quiet=quiet,
        )
        said, plan = places.notes, places.plan
        views = (
            lambda: report.places_report(places),
            lambda: report.places_csv(places),
            lambda: report.places_json(places),
        )
    if not quiet:
        notes(said)
    table, as_csv, as_json = views
    if form == "table":
        show(lambda width: table())
    else:
        data(as_csv() if form == "csv" else as_json())
    end_with(plan.status)


def _room(name: str, m2: float, trays: int, *, sign: int) -> "Room":
    from propsched.service.garden import Room, trays_m2

    area = trays_m2(trays) if trays else m2
    return Room(space=name, more_m2=sign * area, trays=trays)
