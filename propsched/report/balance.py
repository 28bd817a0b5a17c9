"""``temps --explain`` in the terminal: a day's flows, a hotbed's outlook, figures."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from math import isnan

from rich.console import Group, RenderableType
from rich.text import Text

from propsched.report.layout import add, grid, heading, points
from propsched.report.words import clean, day_text, degrees
from propsched.service.explanation import ExplainAnswer, Flow, SpaceExplained
from propsched.thermal import bed_outlook as bed_
from propsched.thermal import heap_outlook as heap_
from propsched.thermal.bed_outlook import KILLS_SEED_C, BedChanged, BedOutlook
from propsched.thermal.guesses import Range
from propsched.thermal.heap_outlook import HeapOutlook

BAR = 24
"""Columns of the longest bar."""


def explain_report(answer: ExplainAnswer) -> Group:
    """Each space in turn."""
    parts: list[RenderableType] = []
    for one in answer.spaces:
        if parts:
            parts.append(Text(""))
        parts += _space(one)
    return Group(*parts)


def _space(one: SpaceExplained) -> Iterator[RenderableType]:
    day = f"{day_text(one.on)} {one.on.year}"
    weather: str = one.kind
    if one.winters > 1:
        weather += f", mean of {one.winters} winters"
    yield Text(clean(f"{one.space} on {day} ({weather})"), style="bold")
    yield Text(clean(one.sentence))
    root, corrected = degrees(one.root_mean_c), degrees(one.corrected_mean_c)
    by_readings = "" if root == corrected else f" (readings make it {corrected})"
    yield Text(
        f"Root zone {root} °C{by_readings}, outdoors {degrees(one.outdoor_mean_c)} "
        "°C; means of the 24 hours."
    )
    if one.flows:
        yield Text("")
        yield _flows(one)
    if one.bed is not None:
        yield from _bed(one.bed)
    if one.heap is not None:
        yield from _heap(one.heap)
    yield heading("What the model assumes of it")
    yield _figures(one)


def _flows(one: SpaceExplained) -> RenderableType:
    table = grid("warms and cools it", "W/m²", "", right=("W/m²",))
    most = max(abs(flow.w_m2) for flow in one.flows)

    def row(flow: Flow, sign: str = "") -> None:
        bar = "▒" * round(abs(flow.w_m2) / most * BAR)
        add(table, sign + flow.words, f"{flow.w_m2:+.1f}", bar)

    for flow in one.flows:
        row(flow)
    row(one.storage, "= ")
    return table


def _figures(one: SpaceExplained) -> RenderableType:
    table = grid("figure", "value", "basis", "from", right=("value",))
    for a in one.assumptions:
        add(table, a.what, f"{a.value:.3g} {a.unit}".rstrip(), a.basis, a.source)
    return table


def _bed(bed: BedOutlook) -> Iterator[RenderableType]:
    made = f"{day_text(bed.made_up)} {bed.made_up.year}"
    yield heading(f"Made up on {made}")
    yield from points(_bed_lines(bed), "·")
    yield Text("")
    yield _reported("root zone, °C", bed.at, bed_.REPORTED)
    yield Text(
        "Growers' reports of 60 cm of fresh stable manure in a frame in February, not "
        "a published series; the defaults were set to them."
    )
    yield heading("If one thing were different (median of the winters)")
    yield _sensitivity(bed)
    if any(row.warmest_c <= KILLS_SEED_C for row in bed.sensitivity):
        yield Text(f"*: never above {KILLS_SEED_C:g} °C, sown as soon as it is warm")


def _bed_lines(bed: BedOutlook) -> Iterator[str]:
    low, high = bed_.KILLS_SEED_BAND_C
    if bed.too_hot > 0:
        share = "" if bed.too_hot == 1 else f"In {bed.too_hot * 100:.0f} % of cases "
        said = (
            f"{share}too hot for seed at first (over {KILLS_SEED_C:g} °C; limits in "
            f"use are {low:g} to {high:g}): ready to sow {_days(bed, bed.ready_d)}."
        )
        yield said[0].upper() + said[1:]
    if bed.too_hot < 1:
        other = "Otherwise" if bed.too_hot > 0 else "Never too hot for seed:"
        yield (
            f"{other} it can be sown {_days(bed, bed.warm_d)}, as soon as it is at "
            f"{bed_.TOO_COLD_C:g} °C."
        )
    yield (
        f"Of use for {_span(bed.useful_d)} days, until it is under "
        f"{bed_.TOO_COLD_C:g} °C or less than {bed_.LEAST_LIFT_K:g} °C above the same "
        "frame without manure."
    )
    yield (
        f"Middle and 80 % range of {bed.draws} guesses at the manure in "
        f"{bed.winters} winters. A probe settles it: sow once it reads under "
        f"{KILLS_SEED_C:g} °C and is falling."
    )


def _span(found: Range) -> str:
    if isnan(found.middle):
        return "more than 100"
    low = f"{found.low:.0f}"
    high = "more than 100" if isnan(found.high) else f"{found.high:.0f}"
    return f"{found.middle:.0f} ({low} to {high})"


def _days(bed: BedOutlook, found: Range) -> str:
    """``on day 18 (13 to 36): 24 Feb``."""
    if isnan(found.middle):
        return "not within eight weeks"
    high = "later than 56" if isnan(found.high) else f"{found.high:.0f}"
    when = bed.made_up + timedelta(days=round(found.middle))
    return f"on day {found.middle:.0f} ({found.low:.0f} to {high}), {day_text(when)}"


def _reported(
    head: str,
    at: Mapping[str, Range],
    reported: Sequence[tuple[str, float, float]],
    report_head: str = "growers report",
) -> RenderableType:
    heads = (head, "model", "80 % range", report_head)
    table = grid(*heads, right=heads[1:])
    for name, low, high in reported:
        if name in at:
            found = at[name]
            add(
                table, name, degrees(found.middle),
                f"{degrees(found.low)} to {degrees(found.high)}",
                f"{low:g} to {high:g}",
            )  # fmt: skip
    return table


def _heap(heap: HeapOutlook) -> Iterator[RenderableType]:
    yield heading(f"Made up on {day_text(heap.made_up)} {heap.made_up.year}")
    yield _reported("in its middle", heap.at, heap_.REPORTED, "one heap's log")
    yield Text(
        f"Middle and 80 % range of {heap.draws} guesses in {heap.winters} winters; the "
        "first day is day 1. The log is one owner's, of a heap under 1 m³ filled at 4 "
        "to 13 °C; the defaults were set to it."
    )
    yield heading("If one thing were different (median of the winters)")
    heads = ("warmest °C", "on day", f"last above {heap_.HOT_C:g} °C")
    table = grid("the heap", *heads, right=heads)
    for row in heap.sensitivity:
        last = f"day {row.last_hot_day:.0f}" if row.last_hot_day else "never"
        add(table, row.what, degrees(row.warmest_c), f"{row.on_day:.0f}", last)
    yield table


def _sensitivity(bed: BedOutlook) -> RenderableType:
    heads = ("warmest", "day 28", "day 56", "sow on day", "of use")
    table = grid("the bed", *heads, right=heads)
    for row in bed.sensitivity:
        add(
            table, row.what, degrees(row.warmest_c), degrees(row.day_28_c),
            degrees(row.day_56_c), _sow(row),
            "100+ d" if isnan(row.useful_d) else f"{row.useful_d:.0f} d",
        )  # fmt: skip
    return table


def _sow(row: BedChanged) -> str:
    if isnan(row.ready_d):
        return "never"
    mark = "" if row.warmest_c > KILLS_SEED_C else "*"
    return f"{row.ready_d:.0f}{mark}"
