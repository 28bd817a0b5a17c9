"""The answer of ``compare`` in the terminal."""

from math import isinf

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.report.dots import dot_plot
from propsched.report.layout import add, grid, heading, points
from propsched.report.words import clean
from propsched.service.comparison import CompareAnswer, CompareRow


def compare_report(answer: CompareAnswer, width: int) -> Group:
    """Verdict, figures by time of day, plot and what the model says."""
    first, second = clean(answer.first), clean(answer.second)
    parts: list[RenderableType] = [Text(clean(_sentence(answer)), style="bold")]
    if not answer.days:
        parts.append(Text(_what_to_do(first, second)))
        return Group(*parts)
    parts += [
        heading(f"{first} less {second}, °C"),
        _table(answer),
        *_plot(answer, width),
    ]
    said = [*answer.remarks, *_model(answer)]
    parts += [heading("How far to trust it"), *points(said, "·")]
    return Group(*parts)


def _sentence(answer: CompareAnswer) -> str:
    verdict = answer.verdict
    return verdict[0].upper() + verdict[1:] + "." if verdict else ""


def _what_to_do(first: str, second: str) -> str:
    return (
        f"Read {first} and {second} within 90 minutes of one another, at rooting "
        "depth, with the same probe: `propsched note` writes readings down."
    )


def _signed(value: float | None) -> str:
    return "–" if value is None else f"{value:+.1f}"


def _table(answer: CompareAnswer) -> RenderableType:
    level = f"{answer.level * 100:.0f} % interval"
    heads = ("days", "pairs", "mean", level, "counts as", "model")
    table = grid("time of day", *heads, right=heads)
    rows = answer.by_time if len(answer.by_time) > 1 else ()
    for row in (answer.whole, *rows):
        name = row.when or (answer.by_time[0].when if not rows else "all times")
        add(
            table,
            name or "",
            str(row.days),
            str(row.pairs),
            _signed(row.mean_k),
            *_interval(row),
            _signed(row.model_k),
        )
    return table


def _interval(row: CompareRow) -> tuple[str, str]:
    one = row.interval
    if one is None:
        return "too few days", "–"
    size = f"{one.n_eff:.0f} days" if one.n_eff >= 1.5 else "1 day"
    if isinf(one.low):
        return "too much alike", size
    return f"{one.low:+.1f} to {one.high:+.1f}", size


def _plot(answer: CompareAnswer, width: int) -> list[RenderableType]:
    interval = answer.whole.interval
    band = None
    if interval is not None and not isinf(interval.low):
        spread = [d.difference_k for d in answer.days]
        reach = max(spread) - min(spread)
        if interval.high - interval.low <= 4 * max(reach, 0.5):
            band = (interval.low, interval.high)
    lines = dot_plot(
        [d.date for d in answer.days],
        [d.difference_k for d in answer.days],
        band=band,
        width=width,
    )
    legend = "● a day's mean difference"
    if band is not None:
        legend += f"   ··· {answer.level * 100:.0f} % interval of the mean"
    return [Text(""), *(Text(line) for line in lines), Text(legend)]


def _model(answer: CompareAnswer) -> list[str]:
    said = []
    whole, season = answer.whole, answer.season
    if whole.model_k is not None and whole.mean_k is not None:
        line = f"The model has {whole.model_k:+.1f} °C for the same hours"
        one = whole.interval
        if one is not None and not isinf(one.low):
            inside = one.low <= whole.model_k <= one.high
            line += ", within the interval" if inside else ", outside the interval"
        said.append(line + ".")
    if season is not None:
        said.append(
            f"Over the whole season it has {season.mean_k:+.1f} °C, from "
            f"{season.low_k:+.1f} to {season.high_k:+.1f} in 80 % of winters."
        )
    return said
