"""A small plot in plain text: dots over days, a zero line and a band."""

from collections.abc import Sequence
from datetime import date
from math import ceil, floor, log10

from propsched.report.words import day_text

ROWS = 13
"""Most rows of a plot."""
_MARGIN = 8
_LEAST_STEP = 0.1


def _step(span: float) -> float:
    """Height of a row: 1, 2 or 5 times a power of ten."""
    least = max(span / (ROWS - 1), _LEAST_STEP)
    power = 10.0 ** floor(log10(least) + 1e-9)
    for times in (1, 2, 5, 10):
        if times * power >= least * (1 - 1e-9):
            return times * power
    return 10 * power


def dot_plot(
    days: Sequence[date],
    values: Sequence[float],
    *,
    band: tuple[float, float] | None = None,
    width: int = 80,
) -> list[str]:
    """
    Lines of a plot of values over days.

    Parameters
    ----------
    days, values : sequence
        At least one, in order.
    band : tuple of float, optional
        Drawn dotted, as the interval of a mean.
    width : int
        Longest line.
    """
    reach = [0.0, *values, *(band or ())]
    step = _step(max(reach) - min(reach))
    top, bottom = ceil(max(reach) / step - 1e-9), floor(min(reach) / step + 1e-9)
    columns = width - _MARGIN
    first, span = days[0], max((days[-1] - days[0]).days, 1)
    columns = min(columns, span + 1) if span >= 10 else min(columns, 4 * span + 1)
    grid = {
        row: ["─" if row == 0 else _ground(row, step, band)] * columns
        for row in range(top, bottom - 1, -1)
    }
    for day, value in zip(days, values, strict=True):
        at = round((day - first).days / span * (columns - 1))
        grid[round(value / step)][at] = "●"
    decimals = 0 if step >= 1 else 1
    lines = []
    for row, cells in grid.items():
        sign = "+" if row > 0 else ""
        label = f"{sign}{row * step:.{decimals}f}" if row else "0"
        lines.append(
            f"{label:>{_MARGIN - 3}} {'┼' if row == 0 else '│'} " + "".join(cells)
        )
    return [line.rstrip() for line in (*lines, _axis(days, columns))]


def _ground(row: int, step: float, band: tuple[float, float] | None) -> str:
    if band is None:
        return " "
    low, high = (round(edge / step) for edge in band)
    return "·" if low <= row <= high else " "


def _axis(days: Sequence[date], columns: int) -> str:
    first, last = day_text(days[0]), day_text(days[-1])
    if days[0] == days[-1]:
        last = ""
    gap = max(columns - len(first) - len(last), 1)
    return " " * _MARGIN + (first + " " * gap + last).rstrip()


def curve_plot(
    xs: Sequence[float], ys: Sequence[float], *, width: int = 72, tick: float = 5.0
) -> list[str]:
    """
    Lines of a plot of a curve from zero up, with marks along the bottom.

    Parameters
    ----------
    xs, ys : sequence
        At least two, ``xs`` rising; between them the curve is straight.
    width : int
        Longest line.
    tick : float
        Distance of the marks, which are multiples of it.
    """
    columns = width - _MARGIN
    step = _step(max([*ys, _LEAST_STEP]))
    top = ceil(max([*ys, _LEAST_STEP]) / step - 1e-9)
    grid = {row: [" " if row else "─"] * columns for row in range(top, -1, -1)}
    span = xs[-1] - xs[0]
    at = 0
    for column in range(columns):
        x = xs[0] + span * column / (columns - 1)
        while at < len(xs) - 2 and xs[at + 1] < x:
            at += 1
        share = (x - xs[at]) / (xs[at + 1] - xs[at])
        y = ys[at] + share * (ys[at + 1] - ys[at])
        grid[round(y / step)][column] = "●"
    decimals = 0 if step >= 1 else 1
    lines = [
        f"{row * step:>{_MARGIN - 3}.{decimals}f} {'┼' if row == 0 else '│'} "
        + "".join(cells)
        for row, cells in grid.items()
    ]
    marks = [" "] * (width + 4)
    mark = ceil(xs[0] / tick) * tick
    while mark <= xs[-1]:
        text = f"{mark:g}"
        place = _MARGIN + round((mark - xs[0]) / span * (columns - 1))
        marks[place : place + len(text)] = text
        mark += tick
    return [line.rstrip() for line in (*lines, "".join(marks))]
