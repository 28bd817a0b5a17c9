"""The end of a season on one sheet of paper, to begin the next one from."""

from collections.abc import Iterator, Sized

from propsched.report.lookback import (
    headline,
    next_steps,
    off_text,
    usual_text,
    warmer_text,
)
from propsched.report.page import page, table, text
from propsched.report.words import day_text
from propsched.service.lookback_advice import for_next_year
from propsched.service.looked_back import LookBack

MOST = 14
"""Rows of a table: the worst of them, so that all goes on one sheet."""


def lookback_page(back: LookBack, folder: str) -> str:
    """The whole page; every name from the files is text in it, never markup."""
    title = f"Looking back: {back.season}"
    parts = [
        f"<h1>{text(title)}</h1>",
        f"<p>{text(headline(back))}.</p>",
        *_outcomes(back),
        *_dates(back),
        *_losses(back),
        *_places(back),
        *_advice(back),
        *_rows(back),
        "<h2>Next season</h2>",
        "<ul>",
        *(f"<li>{text(step)}</li>" for step in next_steps(back, folder)),
        "</ul>",
    ]
    return page(title, parts)


def _outcomes(back: LookBack) -> Iterator[str]:
    begun = [one for one in back.outcomes if one.state != "not begun"]
    if not begun:
        return
    out = [one for one in begun if one.out_on is not None]
    lost = [one.batch for one in begun if one.state == "lost"]
    on_time = [one for one in out if one.late_d is None or one.late_d <= 0]
    yield "<h2>What became of them</h2>"
    still = len(begun) - len(out) - len(lost)
    yield (
        f"<p>{len(begun)} of {len(back.outcomes)} batches were begun: {len(out)} "
        f"planted out, {len(on_time)} of them by the day wanted; {still} stand on; "
        f"{len(lost)} lost.</p>"
    )
    late = sorted(
        (one for one in out if (one.late_d or 0) > 0),
        key=lambda one: -(one.late_d or 0),
    )
    if late:
        named = (f"{one.batch} ({off_text(one.late_d)})" for one in late[:MOST])
        yield f"<p>Late: {text(', '.join(named))}{_more(late)}.</p>"
    if lost:
        yield f"<p>Lost: {text(', '.join(lost[:MOST]))}{_more(lost)}.</p>"


def _dates(back: LookBack) -> Iterator[str]:
    if not back.came:
        return
    yield "<h2>When they came</h2>"
    worst = sorted(back.came, key=lambda one: -abs(one.error_d or 0))
    yield table(
        ("batch", "in", "begun", "usual winters", "this one", "came", "off"),
        (
            (
                text(one.batch),
                text(one.space),
                day_text(one.began),
                text(usual_text(one)),
                day_text(one.reckoned),
                day_text(one.came) + ("" if one.held else " !"),
                off_text(one.error_d),
            )
            for one in worst[:MOST]
        ),
        right="      n",
    )
    yield (
        '<p class="small">The furthest off first'
        f"{_more(back.came)}. Usual winters: day half of them have it, and the days of "
        "four in five. This one: reckoned with the weather that came. !: outside the "
        "days of four in five.</p>"
    )


def _losses(back: LookBack) -> Iterator[str]:
    if not back.losses:
        return
    yield "<h2>How many came through</h2>"
    worst = sorted(back.losses, key=lambda one: one.through - one.expected)
    yield table(
        ("batch", "stage", "in", "of", "came through", "reckoned"),
        (
            (
                text(one.batch),
                text(one.stage),
                text(one.space),
                str(one.of),
                str(one.through),
                f"{one.expected:.0f}",
            )
            for one in worst[:MOST]
        ),
        right="   nnn",
    )


def _places(back: LookBack) -> Iterator[str]:
    if not back.spaces:
        return
    yield "<h2>Warmth of the places</h2>"
    yield table(
        ("space", "days read", "warmer than reckoned, °C", "days in the range"),
        (
            (
                text(one.space),
                str(one.days),
                text(warmer_text(one)),
                f"{100 * one.held:.0f} %",
            )
            for one in back.spaces
        ),
        right=" nnn",
    )


def _advice(back: LookBack) -> Iterator[str]:
    lines = for_next_year(back)
    if lines:
        yield "<h2>For next year</h2>"
        yield "<ul>"
        yield from (f"<li>{text(line)}</li>" for line in lines)
        yield "</ul>"


def _rows(back: LookBack) -> Iterator[str]:
    if not back.crop_rows:
        return
    yield "<h2>Rows for crops.csv, if you agree</h2>"
    yield table(
        ("crop", "method", "stage", "figure", "was", "value", "note"),
        (
            tuple(
                text(cell)
                for cell in (
                    row.crop, row.method, row.stage, row.figure, row.was, row.value,
                    row.note,
                )
            )
            for row in back.crop_rows
        ),
    )  # fmt: skip


def _more(rows: Sized) -> str:
    """That some are left out."""
    rest = len(rows) - MOST
    return f", and {rest} more" if rest > 0 else ""
