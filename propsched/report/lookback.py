"""A season looked back on, in the terminal and for other programs."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.report.crop_fit import PASTE_KEYS as ROW_KEYS
from propsched.report.crops import figures_as_numbers
from propsched.report.layout import add, grid, heading, points
from propsched.report.machine import as_csv, as_json, record
from propsched.report.words import clean, day_text
from propsched.service.lookback_advice import for_next_year
from propsched.service.looked_back import Came, CropRow, LookBack, SpaceWarmth

CAME_KEYS = (
    "batch", "crop", "method", "event", "space", "began", "came", "days", "usual",
    "usual_low", "usual_high", "reckoned", "error_d", "weather_d", "held", "made",
)  # fmt: skip
LOSS_KEYS = (
    "batch", "crop", "method", "stage", "space", "of", "through", "expected", "counted",
)  # fmt: skip
OUTCOME_KEYS = (
    "batch", "crop", "method", "wanted", "wanted_by", "state", "out", "out_on",
    "late_d",
)  # fmt: skip
SPACE_KEYS = (
    "space", "days", "warmer_c", "warmer_error_c", "typical_c", "held", "stands_out",
)  # fmt: skip
GROUP_KEYS = ("name", "method", "batches", "held", "error_d", "worst_d")
NOTHING = (
    "Nothing to look back on yet. Note what happens as it happens: "
    "propsched note SEASON sown leek 120, then emerged leek on the day it is up; "
    "propsched note SEASON reading cold-frame 9.7 once a week."
)


def lookback_report(back: LookBack, folder: str) -> Group:
    """Dates, losses, outcomes, places; what to do otherwise. Crop rows are the CSV."""
    if back.empty:
        return Group(Text(NOTHING))
    parts: list[RenderableType] = [Text(headline(back), style="bold")]
    parts += [part for own in _SECTIONS for part in own(back)]
    advice = for_next_year(back)
    if advice:
        parts += [heading("For next year"), *points(advice, "→")]
    parts += [heading("Next season"), *points(next_steps(back, folder), "→")]
    return Group(*parts)


def headline(back: LookBack) -> str:
    name = f"{clean(back.season)}, up to {day_text(back.today)} {back.today.year}"
    if not back.came:
        return f"{name}: no day noted yet on which something came up or rooted"
    held = sum(one.held for one in back.came)
    return (
        f"{name}: {held} of {len(back.came)} came on days within those of four winters "
        "in five"
    )


def next_steps(back: LookBack, folder: str) -> Iterator[str]:
    yield f"begin it from this one: propsched new DIR --from {folder}"
    if back.crop_rows:
        yield (
            "with the rows for crops.csv in it, which propsched lookback prints: add "
            "--learnt"
        )


def _dates(back: LookBack) -> Iterator[RenderableType]:
    if not back.came:
        return
    yield heading("When they came")
    table = grid(
        "batch",
        "in",
        "begun",
        "usual winters",
        "this one",
        "came",
        "off",
        right=("off",),
    )
    for one in back.came:
        add(
            table,
            one.batch,
            one.space,
            day_text(one.began),
            usual_text(one),
            day_text(one.reckoned),
            day_text(one.came) + ("" if one.held else " !"),
            off_text(one.error_d),
        )
    yield table
    yield Text("")
    yield Text(
        "Usual winters: day half of them have it, and the days of four in five. This "
        "one: reckoned with the weather that came and your readings. Off: days later "
        "(+) or sooner (−) than that. !: outside the days of four in five, which allow "
        "for weather alone."
    )
    crops = [group for group in back.by_crop if group.batches > 1]
    places = [group for group in back.by_space if group.batches > 1]
    for words, groups in (("crop", crops), ("space", places)):
        if groups:
            table = grid(f"by {words}", "batches", "in time", "off", "worst",
                         right=("batches", "in time", "off", "worst"))  # fmt: skip
            for group in groups:
                method = f", {group.method}" if group.method not in ("", "seed") else ""
                add(
                    table,
                    group.name + method,
                    str(group.batches),
                    str(group.held),
                    off_text(group.error_d),
                    off_text(group.worst_d),
                )
            yield Text("")
            yield table


def _losses(back: LookBack) -> Iterator[RenderableType]:
    if not back.losses:
        return
    yield heading("How many came through")
    table = grid("batch", "stage", "in", "of", "came through", "reckoned",
                 right=("of", "came through", "reckoned"))  # fmt: skip
    for one in back.losses:
        add(
            table,
            one.batch,
            one.stage,
            one.space,
            str(one.of),
            f"{one.through}{'' if one.counted else ' *'}",
            f"{one.expected:.0f}",
        )
    yield table
    if not all(one.counted for one in back.losses):
        yield Text("*: not counted; what noted losses leave")


def _outcomes(back: LookBack) -> Iterator[RenderableType]:
    begun = [one for one in back.outcomes if one.state != "not begun"]
    if begun:
        yield heading("What became of them")
        table = grid("batch", "wanted", "by", "now", "plants", "on", "late",
                     right=("wanted", "plants", "late"))  # fmt: skip
        for one in begun:
            add(
                table,
                one.batch,
                str(one.wanted),
                day_text(one.wanted_by),
                one.state,
                "–" if one.out is None else str(one.out),
                day_text(one.out_on),
                "–" if one.late_d is None else off_text(one.late_d),
            )
        yield table
    rest = [one.batch for one in back.outcomes if one.state == "not begun"]
    if rest:
        yield Text("")
        yield Text(clean(f"Not begun: {', '.join(rest)}."))


def _places(back: LookBack) -> Iterator[RenderableType]:
    if not back.spaces:
        return
    yield heading("Warmth of the places: readings beside the model without them")
    figures = ("days read", "warmer by °C", "typically off", "in the range")
    table = grid("space", *figures, right=figures)
    for one in back.spaces:
        add(table, one.space, str(one.days), warmer_text(one),
            f"{one.typical_c:.1f}", f"{100 * one.held:.0f} %")  # fmt: skip
    yield table


_SECTIONS = (_dates, _losses, _outcomes, _places)


def usual_text(one: Came) -> str:
    """``21 Feb (20–23 Feb)``: day of half the winters, days of four in five."""
    low, high = one.usual_low, one.usual_high
    if low == high == one.usual:
        return day_text(low)
    first = day_text(low)
    if low is not None and high is not None and low.month == high.month:
        first = str(low.day)
    return f"{day_text(one.usual)} ({first}–{day_text(high)})"


def off_text(days: float | None) -> str:
    """``+4 d``, ``−2 d``, ``0 d``; a dash where it is not known."""
    if days is None:
        return "–"
    sign = "+" if days > 0 else "−" if days < 0 else ""
    return f"{sign}{abs(days):g} d"


def warmer_text(one: SpaceWarmth) -> str:
    sign = "+" if one.warmer_c > 0 else "−"
    mark = " !" if one.stands_out else ""
    return f"{sign}{abs(one.warmer_c):.1f} ± {one.warmer_error_c:.1f}{mark}"


def crop_rows_csv(rows: tuple[CropRow, ...]) -> str:
    """The rows with their head, ready to be put into ``crops.csv``."""
    return as_csv(ROW_KEYS, [figures_as_numbers(record(ROW_KEYS, row)) for row in rows])


def lookback_csv(back: LookBack) -> str:
    return as_csv(CAME_KEYS, [_rounded(one) for one in back.came])


def _rounded(one: Came) -> dict[str, object]:
    return {**record(CAME_KEYS, one), "made": round(one.made, 3)}


def lookback_json(back: LookBack) -> str:
    return as_json(
        {
            "season": back.season,
            "today": back.today.isoformat(),
            "came": [_rounded(one) for one in back.came],
            "silent": list(back.silent),
            "losses": [record(LOSS_KEYS, one) for one in back.losses],
            "outcomes": [record(OUTCOME_KEYS, one) for one in back.outcomes],
            "spaces": [record(SPACE_KEYS, one) for one in back.spaces],
            "unread": list(back.unread),
            "by_crop": [record(GROUP_KEYS, one) for one in back.by_crop],
            "by_space": [record(GROUP_KEYS, one) for one in back.by_space],
            "crop_rows": [
                record((*ROW_KEYS, "was", "batches"), one) for one in back.crop_rows
            ],
            "advice": list(for_next_year(back)),
        }
    )
