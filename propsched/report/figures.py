"""The season as pictures: who stands where and when, and how warm a space is."""

from collections.abc import Sequence
from datetime import date, timedelta
from io import BytesIO
from typing import Any, Literal

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from propsched.domain.plan import Placement, Plan
from propsched.domain.season import Season
from propsched.report.words import clean, day_text
from propsched.service.answers import TempsRow

Form = Literal["svg", "png"]
STILL: dict[Any, Any] = {"svg.hashsalt": "propsched", "svg.fonttype": "none"}
"""The same picture has the same bytes, and its words stay words."""
HATCHES = ("", "//", "..", "xx", "--", "\\\\\\\\", "oo")
"""Stages are told apart in black and white too."""
GREYS = ("0.85", "0.7", "0.95", "0.6", "0.9", "0.75", "0.8")
LANE = 0.34
"""Height of one batch on a timeline. [inch]"""


def timeline_figure(plan: Plan, season: Season, today: date) -> Figure:
    """Spaces one below another, each batch in a lane of its own."""
    lanes = {
        space.id: _lanes([p for p in plan.placements if p.space == space.id])
        for space in season.spaces
        if space.stands
    }
    stages = list(dict.fromkeys(p.stage for p in plan.placements))
    count = sum(max(1, len(rows)) for rows in lanes.values())
    fig = Figure(figsize=(16, 1.6 + LANE * (count + len(lanes))), layout="constrained")
    ax = fig.add_subplot()
    y, ticks = 0.0, []
    for space, rows in lanes.items():
        height = max(1, len(rows))
        ticks.append((y + height / 2 - 0.5, space))
        for k, row in enumerate(rows):
            for one in row:
                _bar(ax, one, y + k, stages.index(one.stage))
        y += height + 0.4
        ax.axhline(y - 0.7, color="0.4", linewidth=0.6)
    ax.set_ylim(y - 0.7, -0.7)
    ax.set_yticks([at for at, _ in ticks], [clean(name) for _, name in ticks])
    _dates(ax, season.start, season.end)
    ax.axvline(_at(today), color="black", linewidth=1.2)
    ax.set_title(
        f"{clean(season.name)}: who stands where; the line is {day_text(today)}",
        parse_math=False,
    )
    for k, stage in enumerate(stages):
        ax.bar(0, 0, color=_grey(k), hatch=_hatch(k), edgecolor="0.2", label=stage)
    if stages:
        ax.legend(ncols=len(stages), loc="upper left", bbox_to_anchor=(0, -0.03))
    return fig


def _lanes(placements: Sequence[Placement]) -> list[list[Placement]]:
    """As few lanes as will do, a batch staying in its own."""
    lanes: list[list[Placement]] = []
    for one in sorted(placements, key=lambda p: (p.start, p.batch)):
        own = [lane for lane in lanes if lane[-1].batch == one.batch]
        free = [lane for lane in (*own, *lanes) if lane[-1].end <= one.start]
        if free:
            free[0].append(one)
        else:
            lanes.append([one])
    return lanes


def _bar(ax: Axes, one: Placement, y: float, stage: int) -> None:
    start, end = _at(one.start), _at(one.end)
    ax.broken_barh(
        [(start, end - start)],
        (y - 0.42, 0.84),
        facecolor=_grey(stage),
        hatch=_hatch(stage),
        edgecolor="0.2",
        linewidth=0.5,
    )
    ax.text(
        start + 0.6,
        y,
        clean(one.batch),
        va="center",
        fontsize=8,
        clip_on=True,
        parse_math=False,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
    )


def _grey(stage: int) -> str:
    return GREYS[stage % len(GREYS)]


def _hatch(stage: int) -> str:
    return HATCHES[stage % len(HATCHES)]


def warmth_figure(rows: Sequence[TempsRow], season: Season, today: date) -> Figure:
    """Root zone of one space with its range, readings as points, lowest air."""
    fig = Figure(figsize=(12, 4.5), layout="constrained")
    ax = fig.add_subplot()
    days = [_at(row.date) for row in rows]
    ax.fill_between(
        days,
        [row.low_c for row in rows],
        [row.high_c for row in rows],
        color="0.8",
        label="root zone, 80 % range",
    )
    ax.plot(days, [row.root_mean_c for row in rows], "k-", label="root zone, mean")
    ax.plot(
        days, [row.air_min_c for row in rows], "k:", linewidth=1, label="air, lowest"
    )
    read = [row for row in rows if row.reading_c is not None]
    if read:
        ax.plot(
            [_at(row.date) for row in read],
            [row.reading_c or 0.0 for row in read],
            "kx",
            label="readings",
        )
    ax.axhline(0.0, color="0.4", linewidth=0.6)
    ax.axvline(_at(today), color="black", linewidth=1.2)
    ax.set_ylabel("°C")
    _dates(ax, season.start, season.end)
    name = clean(rows[0].space) if rows else ""
    ax.set_title(f"{name}; the line is {day_text(today)}", parse_math=False)
    ax.legend(loc="upper left", fontsize=9)
    return fig


def _dates(ax: Axes, first: date, last: date) -> None:
    """Firsts of months and Mondays."""
    ax.set_xlim(_at(first), _at(last + timedelta(days=1)))
    firsts = [d for d in _days(first, last) if d.day == 1]
    ax.set_xticks([_at(d) for d in firsts], [f"1 {d:%b}" for d in firsts])
    mondays = [_at(d) for d in _days(first, last) if d.weekday() == 0]
    ax.set_xticks(mondays, minor=True)
    ax.grid(axis="x", which="minor", color="0.9", linewidth=0.5)
    ax.grid(axis="x", color="0.6", linewidth=0.6)
    ax.set_axisbelow(True)


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=k) for k in range((last - first).days + 1)]


def _at(day: date) -> float:
    """Where a day lies on the axis."""
    return float(day.toordinal())


def drawn(figure: Figure, form: Form) -> bytes:
    """The picture as a file; the same figure gives the same bytes."""
    out = BytesIO()
    with mpl.rc_context(STILL):
        metadata = {"Date": None} if form == "svg" else {"Software": None}
        figure.savefig(out, format=form, metadata=metadata, dpi=110)
    return out.getvalue()
