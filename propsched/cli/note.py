"""``propsched note``."""

from datetime import date, time
from difflib import get_close_matches
from math import isfinite
from pathlib import Path

import click

from propsched.cli.options import date_option, season_argument, today_option
from propsched.cli.output import notes
from propsched.domain.batch import EVENTS, EventName
from propsched.report.words import clean

GROUPS = {
    "A start": "BATCH [COUNT]…: sown, struck, divided, started",
    "It lives": "BATCH [COUNT]…: emerged, rooted, established",
    "The next pot": "BATCH [COUNT]…: pricked-out, potted-up, potted-on, hardening",
    "Elsewhere": "BATCH [COUNT]…: moved, planted-out; BATCH COUNT…: lost",
    "A space": "SPACE…: bed-made-up, heat-on, heat-off, cover-on, cover-off",
    "A reading": "SPACE TEMP…: reading",
    "Taken back": "[BATCH | SPACE] or reading [SPACE]: undo",
    "An offset": "PROBE TEMP… in crushed ice, or --against T: offset (only printed)",
}


class NoteCommand(click.Command):
    """Temperatures below zero are no options; ``--minutes`` takes several numbers."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if "--minutes" in args:
            at = args.index("--minutes") + 1
            end = at
            while end < len(args) and _all_numbers(args[end]):
                end += 1
            args = [*args[:at], " ".join(args[at:end]), *args[end:]]
        return super().parse_args(ctx, args)

    def format_options(
        self, ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        with formatter.section("What"):
            formatter.write_dl(list(GROUPS.items()))
        super().format_options(ctx, formatter)


def _all_numbers(text: str) -> bool:
    return bool(text) and all(_number(word) is not None for word in text.split())


def _number(text: str) -> float | None:
    try:
        value = float(text.replace("−", "-").replace(",", "."))
    except ValueError:
        return None
    return value if isfinite(value) else None


def _numbers(words: tuple[str, ...], what: str) -> tuple[float, ...]:
    found = []
    for word in words:
        value = _number(word.removesuffix("C").removesuffix("°"))
        if word.startswith("--"):
            raise click.NoSuchOption(word, ctx=click.get_current_context())
        if value is None:
            raise click.UsageError(f'{what} "{word}" is no number')
        found.append(value)
    return tuple(found)


def _minutes(
    ctx: click.Context, param: click.Parameter, value: str | None
) -> tuple[float, ...]:
    return _numbers(tuple((value or "").replace(";", " ").split()), "--minutes")


def _when(
    ctx: click.Context, param: click.Parameter, value: str | None
) -> tuple[date | None, time | None]:
    """``08:30`` or ``2027-02-06 08:30`` as day and clock."""
    if value is None:
        return None, None
    day, _, clock = value.strip().replace("T", " ").rpartition(" ")
    right = "write it as 08:30 or 2027-02-06 08:30"
    wrong = click.BadParameter(f"{value!r} is no time – {right}", ctx, param)
    try:
        found = date.fromisoformat(day) if day else None
        at = time.fromisoformat(clock.zfill(5))
    except ValueError:
        raise wrong from None
    if at.tzinfo is not None:  # the site's clock is meant
        raise wrong
    return found, at


@click.command(
    "note", cls=NoteCommand, context_settings={"ignore_unknown_options": True}
)
@season_argument
@click.argument("words", metavar="WHAT…", nargs=-1)
@click.option(
    "--settling",
    is_flag=True,
    help="The readings still rise or fall: store where they end.",
)
@click.option(
    "--minutes",
    metavar="M…",
    callback=_minutes,
    help="With --settling: minutes between readings, or when each was taken.",
)
@click.option("--import", "file", metavar="FILE", type=click.Path(path_type=Path),
              help="Take the readings of a logger's CSV.")  # fmt: skip
@click.option("--space", default="", help="Where: of an event or a logger.")
@click.option(
    "--depth", type=click.FloatRange(0, 300), help="Depth in cm; else the space's."
)
@click.option("--probe", help="Thermometer; else the season's only one.")
@click.option(
    "--time", "when", metavar="TIME", callback=_when, help="08:30, or with the day."
)
@date_option("--date", "day", help="Day it happened; else today.")
@click.option("--note", default="", help="A remark to keep with it.")
@click.option(
    "--compare-model", is_flag=True, help="Say what the model has for that hour."
)
@click.option(
    "--against", type=float, help="With offset: what a better thermometer shows."
)
@click.option("--time-column", default="", help="Of FILE: header or number.")
@click.option("--temp-column", default="", help="Of FILE: header or number.")
@click.option("--fahrenheit/--celsius", default=None, help="Unit of FILE.")
@click.option(
    "--day-first/--month-first", default=None, help="Of dates such as 5/11/2026."
)
@today_option
def command(
    season: Path,
    words: tuple[str, ...],
    settling: bool,
    minutes: tuple[float, ...],
    file: Path | None,
    space: str,
    depth: float | None,
    probe: str | None,
    when: tuple[date | None, time | None],
    day: date | None,
    note: str,
    compare_model: bool,
    against: float | None,
    time_column: str,
    temp_column: str,
    fahrenheit: bool | None,
    day_first: bool | None,
    today: date | None,
) -> None:
    """Note a reading, a logger's file, or what was done; undo takes back the last.

    \b
    propsched note SEASON reading cold-frame 9.7
    propsched note SEASON reading cold-frame 9.7 9.9 9.6
    propsched note SEASON reading cold-frame --settling 10.2 11.2 11.5
    propsched note SEASON --import logger.csv --space cold-frame
    propsched note SEASON sown leek 120 --space propagator
    propsched note SEASON lost leek 12 onion 3
    propsched note SEASON undo
    """
    from propsched.service.noted import Place, When

    what, *rest = words or ("",)
    at = When(day=day or when[0], clock=when[1])
    if file is not None:
        from propsched.files.logger import Told
        from propsched.service.note_import import import_readings

        if what not in ("", "reading"):
            raise click.UsageError(f"--import takes readings, not {what!r}")
        place = Place(
            space=space or " ".join(rest[:1]) or _missing("--space"),
            depth_cm=depth,
            probe=probe,
        )
        told = Told(
            time_column=time_column,
            temp_column=temp_column,
            fahrenheit=fahrenheit,
            day_first=day_first,
        )
        answer = import_readings(season, file, place, told, note=note, today=today)
    elif what == "reading":
        from propsched.service.note import note_reading

        name, *temps = [space, *rest] if space else rest or [""]
        place = Place(space=name or _missing("SPACE"), depth_cm=depth, probe=probe)
        answer = note_reading(
            season,
            place,
            _numbers(tuple(temps), "temperature"),
            at=at,
            minutes=minutes,
            settling=settling,
            note=note,
            today=today,
            model=compare_model,
        )
    elif what == "offset":
        from propsched.service.note_offset import probe_offset

        name, *temps = [probe, *rest] if probe else rest or [""]
        shown = _numbers(tuple(temps), "temperature")
        answer = probe_offset(
            season, name or _missing("PROBE"), shown, true_c=against or 0.0
        )
    elif what == "undo":
        from propsched.service.undo import undo

        if at != When():
            raise click.UsageError("undo takes back what was noted last: no --date")
        named = " ".join([*rest, space]).strip()
        answer = undo(season, named, note=note, today=today)
    else:
        from propsched.service.note_event import note_event

        event = _event(what)
        answer = note_event(
            season, event, rest, space=space, at=at, note=note, today=today
        )
    notes(answer.notes)
    for line in answer.lines:
        click.echo(clean(line))


def _missing(what: str) -> str:
    raise click.UsageError(f"{what} is missing")


def _event(word: str) -> EventName:
    typed = "-".join(word.casefold().replace("_", "-").split())
    for event in EVENTS:
        if typed == event:
            return event
    if word.startswith("-"):
        raise click.NoSuchOption(word, ctx=click.get_current_context())
    known = ("reading", "offset", "undo", *EVENTS)
    near = get_close_matches(typed, known, n=1)
    right = f"did you mean {near[0]}?" if near else "--help lists what there is"
    raise click.UsageError(f"{word!r} cannot be noted – {right}" if word else right)
