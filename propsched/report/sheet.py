"""The week on one sheet of paper: HTML that carries all it needs, printed on A4."""

from collections.abc import Iterator
from datetime import date
from itertools import groupby

from propsched.advice.job import DUTIES, Job, containers_text
from propsched.report.page import page, table, text
from propsched.report.tonight import night_text
from propsched.report.words import day_text, degrees
from propsched.service.protect import chance, harm_text, helps_text
from propsched.service.week import ColdNight, SpaceWeek, Stands, Week

DAYS = 7
"""Days that a line of the sheet has room for."""
BOX = '<span class="box"></span>'


def sheet(week: Week) -> str:
    """The whole page; every name from the files is text in it, never markup."""
    first, last = week.first, week.last
    title = f"{week.season.name}: {day_text(first)} to {_day(last)}"
    parts = [
        f"<h1>{text(title)}</h1>",
        f'<p class="small">By the plan of {text(_day(week.planned))}. Tick what is '
        "done and write the day and any losses beside it; enter both with "
        "<code>propsched note</code>.</p>",
        *_jobs(week),
        *_duties(week),
        *_protect(week),
        *_nights(week.nights),
        *_spaces(week),
        *_warmth(week),
        *_cautions(week),
    ]
    return page(title, parts)


def _day(day: date) -> str:
    return f"{day:%a} {day_text(day)} {day.year}"


def _jobs(week: Week) -> Iterator[str]:
    yield "<h2>To do</h2>"
    rows = [job for job in week.jobs.rows if job.kind not in DUTIES]
    if not rows:
        yield "<p>Nothing to sow, strike or move in these days.</p>"
    for day, group in groupby(rows, key=lambda job: job.date):
        jobs = list(group)
        minutes = sum(job.minutes for job in jobs)
        spent = f", about {minutes} min" if minutes else ""
        late = " (overdue)" if day < week.first else ""
        yield f"<h3>{text(_day(day))}{late}{spent}</h3>"
        yield table(
            ("done", "job", "fill with", "label", "day, losses"),
            (_job(job) for job in jobs),
        )


def _job(job: Job) -> tuple[str, ...]:
    fill = f"{job.compost_l:g} l {job.compost}" if job.compost_l else job.compost
    what = text(job.what)
    if job.batch and job.batch.replace("-", " ") != job.crop:
        what += f" <b>({text(job.batch)})</b>"
    if job.caution:
        what += f'<br><span class="small">Take care: {text(job.caution)}</span>'
    label = "<br>".join(text(line) for line in job.label)
    return BOX, what, text(fill), label, "&nbsp;" * 14


def _duties(week: Week) -> Iterator[str]:
    """A box for each day that a duty holds."""
    rows = [job for job in week.jobs.rows if job.kind in DUTIES]
    if not rows:
        return
    yield "<h2>Small duties, day by day</h2>"
    days = week.days[:DAYS]
    heads = ("duty", *(f"{day:%a} {day.day}" for day in days))

    def cells(job: Job) -> Iterator[str]:
        yield text(job.what)
        for day in days:
            yield BOX if job.date <= day <= (job.until or job.date) else ""

    yield table(heads, (cells(job) for job in rows))


def _protect(week: Week) -> Iterator[str]:
    yield "<h2>What to protect</h2>"
    rows = week.tonight.rows
    if not rows:
        yield "<p>Nothing that stands there is at risk in these nights.</p>"
        return
    yield table(
        ("night", "batch", "space", "harm", "likely", "what helps"),
        (
            (
                text(night_text(row.night)),
                text(row.batch),
                text(row.space),
                text(harm_text(row)),
                text(chance(row.probability)),
                text(helps_text(row)),
            )
            for row in rows
        ),
        right="    n",
    )


def _nights(nights: tuple[ColdNight, ...]) -> Iterator[str]:
    """Nights across, as long as a line has room for."""
    yield "<h2>Nights outdoors</h2>"
    for at in range(0, len(nights), DAYS):
        some = nights[at : at + DAYS]
        heads = ("night of", *(f"{n.evening:%a} {day_text(n.evening)}" for n in some))
        rows = (
            ("lowest °C", *(degrees(n.expected_c) for n in some)),
            ("range", *(f"{degrees(n.low_c)} to {degrees(n.high_c)}" for n in some)),
            ("frost", *(text(chance(n.frost)) for n in some)),
            ("from", *("forecast" if n.forecast else "past winters" for n in some)),
        )
        yield f'<div class="whole">{table(heads, rows)}</div>'


def _spaces(week: Week) -> Iterator[str]:
    """One table of all; spaces that are empty in one line."""
    yield "<h2>What stands where</h2>"
    rows = [
        ("" if k else f"<b>{text(one.space.id)}</b><br>{_room(one)}", *_stand(stand))
        for one in week.spaces
        for k, stand in enumerate(one.stands)
    ]
    if rows:
        yield table(("space", "batch", "crop", "stage", "in", "since", "until"), rows)
    empty = [one for one in week.spaces if one.space.stands and not one.stands]
    if empty:
        told = (f"{text(one.space.id)} ({_room(one)})" for one in empty)
        yield f"<p>Empty: {', '.join(told)}.</p>"
    if any(stand.planned for one in week.spaces for stand in one.stands):
        yield '<p class="small">*: by the plan, not noted in the daybook yet.</p>'


def _room(one: SpaceWeek) -> str:
    if one.make_up is not None:
        return f"to be made up {day_text(one.make_up)}"
    if one.trays_free is None:
        return "taken by other things"
    if one.trays_free < 1.0:
        return "full"
    whole = int(one.trays_free)
    return f"room for {whole} tray{'' if whole == 1 else 's'}"


def _stand(one: Stands) -> tuple[str, ...]:
    crop = f"{one.crop} {one.variety}".strip()
    return (
        text(one.batch + (" *" if one.planned else "")),
        text(crop),
        text(one.stage),
        text(containers_text(one.containers, one.container)),
        day_text(one.since),
        day_text(one.until),
    )


def _warmth(week: Week) -> Iterator[str]:
    """What to expect, with room to write beside it what the probe shows."""
    yield "<h2>Root zone, °C: expected, and read</h2>"
    yield (
        "<p>Push the probe in to the depth given, wait until it has not changed for "
        "three minutes, write down °C and the time.</p>"
    )
    days = week.days[:DAYS]
    heads = ("space", *(f"{day:%a} {day.day}" for day in days), "range")

    def cells(one: SpaceWeek) -> Iterator[str]:
        by_day = {row.date: row for row in one.days}
        yield f"{text(one.space.id)}, {one.space.depth_cm:g}&nbsp;cm"
        for day in days:
            yield degrees(by_day[day].root_mean_c) if day in by_day else ""
        lows, highs = [r.low_c for r in one.days], [r.high_c for r in one.days]
        yield f"{degrees(min(lows))} to {degrees(max(highs))}" if lows else ""
        yield "never" if one.read is None else day_text(one.read.date())
        yield "&nbsp;" * 12

    yield table(
        (*heads, "last read", "reading"),
        (cells(one) for one in week.spaces),
        right=" " + "n" * (len(days) + 2),
    )
    yield (
        '<p class="small">Expected: mean of the day at rooting depth; in the range lie '
        "80 % of these days&#8217; means.</p>"
    )


def _cautions(week: Week) -> Iterator[str]:
    said = dict.fromkeys((*week.jobs.cautions, *week.tonight.cautions))
    if said:
        yield "<h2>Take care</h2>"
        yield "<ul>"
        for line in said:
            yield f'<li class="caution">{text(line)}</li>'
        yield "</ul>"
    for note in week.notes:
        yield f'<p class="small">Note: {text(note)}</p>'
