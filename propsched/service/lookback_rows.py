"""
What a season's batches say of the crop table, as rows to put into crops.csv.

The heat sum.  A batch that came when it had made P times the sum of the table says
that the sum is P times as large, give or take s = √(batch² + look² + warmth²) in log:
what batches of one crop differ by, days between two looks, and what is not known of the
warmth where it stood.  The table itself speaks with an error t by the basis of its
figure.  Both are weighted by 1/s² and 1/t², so that one batch hardly moves a published
figure and several move a recalled one:

    ln(new ÷ old) = Σ ln P / s² ÷ (1/t² + Σ 1/s²)

The final fraction, likewise, of starts that were counted: plants that came ÷ plants
reckoned to come, with as many plants that came as reckoned as ``FRACTION_PLANTS``.
"""

from collections.abc import Iterator, Mapping, Sequence
from math import exp, log, sqrt

from propsched.domain.crop import Basis, Needs
from propsched.files.crop_table import OWN_SOURCE
from propsched.service.looked_back import Came, CropRow, Losses
from propsched.service.raised import Raised

BATCH_SD = 0.15
"""By which batches of one crop differ, in log time; judgement."""
LOOK_SD_D = 1.5
"""Seedlings are looked for daily to every few days. [d]; judgement"""
TABLE_SD: Mapping[Basis, float] = {
    "published": 0.15, "derived": 0.2, "common practice": 0.3, "memory": 0.35,
}  # fmt: skip
"""How far off a heat sum of the table may be in log, by its basis; judgement."""
LEAST_CHANGE = 0.05
"""Smaller changes of a heat sum are not worth a row."""
FRACTION_PLANTS = 40.0
"""Weight of the table's fraction, in plants; judgement."""
LEAST_FRACTION_CHANGE = 0.1


def crop_rows(
    came: Sequence[Came],
    lost: Sequence[Losses],
    error_c: Mapping[str, float],
    whole: Mapping[str, Raised],
) -> tuple[CropRow, ...]:
    """
    Rows that the season speaks for, by crop.

    Parameters
    ----------
    error_c : mapping
        Standard error of the warmth where each batch began. [K]
    whole : mapping
        Batches with their crops, by name.
    """
    crops = {(one.crop, one.method) for one in came}
    crops |= {(one.crop, one.method) for one in lost}
    found: list[CropRow] = []
    for key in sorted(crops):
        own = [one for one in came if (one.crop, one.method) == key and one.made > 0]
        starts = [
            one
            for one in lost
            if (one.crop, one.method) == key and one.stage == "start"
        ]
        found.extend(_heat_sum(own, error_c, whole))
        found.extend(_fraction([one for one in starts if one.counted], whole))
    return tuple(found)


def _heat_sum(
    came: Sequence[Came], error_c: Mapping[str, float], whole: Mapping[str, Raised]
) -> Iterator[CropRow]:
    if not came:
        return
    one = whole[came[0].batch]
    needs = _start(one)
    basis = _basis(one, "sum_c_d")
    weights = [_error(c, needs, error_c[c.batch]) ** -2 for c in came]
    prior = TABLE_SD[basis] ** -2
    total = prior + sum(weights)
    moved = sum(w * log(c.made) for w, c in zip(weights, came, strict=True)) / total
    error = 1 / sqrt(total)
    if abs(moved) < max(LEAST_CHANGE, error):
        return
    value, was = needs.sum_c_d * exp(moved), needs.sum_c_d
    yield _row(
        one,
        "sum_c_d",
        _short(value),
        _short(was),
        len(came),
        f"{_batches(came)} made {_percent([c.made for c in came])} of {_short(was)};"
        f" ± {100 * error:.0f} %",
    )


def _error(one: Came, needs: Needs, warmth_c: float) -> float:
    """Standard error of the log of what a batch made. See the module."""
    heat_sum = needs.sum_c_d * needs.tray_factor
    look = LOOK_SD_D / max(one.days, LOOK_SD_D)
    # a kelvin more on every day, in shares of what was made; at most all of it
    warm = min(1.0, warmth_c * one.days / (heat_sum * one.made))
    return sqrt(BATCH_SD**2 + look**2 + warm**2)


def _fraction(
    starts: Sequence[Losses], whole: Mapping[str, Raised]
) -> Iterator[CropRow]:
    expected = sum(one.expected for one in starts)
    if not starts or expected <= 0:
        return
    one = whole[starts[0].batch]
    needs = _start(one)
    through = sum(one.through for one in starts)
    factor = (through + FRACTION_PLANTS) / (expected + FRACTION_PLANTS)
    if not needs.fraction or abs(factor - 1) < LEAST_FRACTION_CHANGE:
        return
    new = [(t, min(1.0, share * factor)) for t, share in needs.fraction]
    yield _row(
        one,
        "fraction",
        " ".join(f"{t:g}:{share:.2f}" for t, share in new),
        " ".join(f"{t:g}:{share:.2f}" for t, share in needs.fraction),
        len(starts),
        f"{through} came where {expected:.0f} were reckoned",
    )


def _row(
    one: Raised, figure: str, value: str, was: str, batches: int, note: str
) -> CropRow:
    number = "1 batch" if batches == 1 else f"{batches} batches"
    return CropRow(
        crop=one.crop.name,
        method=one.crop.method,
        stage="start",
        figure=figure,
        value=value,
        basis="derived",
        source=OWN_SOURCE,
        note=f"own season, {number}: {note}",
        was=was,
        batches=batches,
    )


def _start(one: Raised) -> Needs:
    return next(needs for needs in one.crop.stages if needs.stage == "start")


def _basis(one: Raised, name: str) -> Basis:
    return next(
        (f.basis for f in one.crop.figures if (f.stage, f.name) == ("start", name)),
        "memory",
    )


def _short(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.1f}"


def _percent(shares: Sequence[float]) -> str:
    low, high = 100 * min(shares), 100 * max(shares)
    return (
        f"{low:.0f} %" if f"{low:.0f}" == f"{high:.0f}" else f"{low:.0f}–{high:.0f} %"
    )


def _batches(came: Sequence[Came]) -> str:
    return "it" if len(came) == 1 else "they"
