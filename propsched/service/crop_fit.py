"""One's own trial to rows of the crop table."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor, isnan, log10
from pathlib import Path

from propsched.biology.trial import AtTemperature, TrialFit, at_temperatures, fit_trial
from propsched.biology.trial_model import Estimate, Times
from propsched.domain.crop import Crop, Method
from propsched.domain.trial import Dish
from propsched.errors import PropschedError
from propsched.files.crop_table import OWN_SOURCE, shipped_table
from propsched.files.trial import Counts, read_trial
from propsched.service.paste_row import PasteRow


@dataclass(frozen=True, slots=True, kw_only=True)
class FitRow:
    """One fitted figure; the keys of ``crops fit --format csv``."""

    figure: str
    value: float
    error: float | None
    """Standard error; None where the figure was given or lies on a limit."""
    low: float | None
    """Of the 95 % interval."""
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FitTemperature:
    """What came at one temperature by itself, beside the fit for all."""

    temp_c: float
    sown: int
    come: int
    t50_d: float | None
    t50_error: float | None
    fitted_t50_d: float | None
    fraction: float
    fraction_error: float | None
    used: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FitAnswer:
    crop: str
    rows: tuple[FitRow, ...]
    temperatures: tuple[FitTemperature, ...]
    paste: tuple[PasteRow, ...]
    notes: tuple[str, ...] = ()


def fit_file(
    path: Path,
    *,
    crop: str | None = None,
    method: Method = "seed",
    counts: Counts | None = None,
    base_c: float | None = None,
    t50_only: bool = False,
    times: Times = "lognormal",
    up_to_c: float | None = None,
) -> FitAnswer:
    """
    Fit a trial and write its figures as rows for ``crops.csv``.

    Parameters
    ----------
    crop : str, optional
        Of the rows; None takes the name of the file.
    base_c : float, optional
        Known from elsewhere; None fits it. [°C]
    t50_only : bool
        Tell each temperature by itself alone.

    Raises
    ------
    InvalidInputError
        With every fault of the file.
    PropschedError
        If the counts cannot tell the figures apart.
    """
    dishes = read_trial(path, counts)
    alone = at_temperatures(dishes, times=times)
    name, row, notes = _named(crop or path.stem.replace("_", " "), method)
    if t50_only:
        return FitAnswer(
            crop=name, rows=(), paste=(),
            temperatures=tuple(_temperature(one, None) for one in alone),
        )  # fmt: skip
    try:
        fit = fit_trial(dishes, base_c=base_c, times=times, up_to_c=up_to_c)
    except ValueError as error:
        advice = " – give --base, or --t50 for the times alone"
        hint = advice if "base" in str(error) and base_c is None else ""
        raise PropschedError(f"{path}: {error}{hint}") from None
    return FitAnswer(
        crop=name,
        rows=tuple(_rows(fit)),
        temperatures=tuple(_temperature(one, fit) for one in alone),
        paste=tuple(_paste(name, method, row, fit, alone, dishes)),
        notes=(*notes, *_notes(fit, alone)),
    )


def _named(typed: str, method: Method) -> tuple[str, Crop | None, tuple[str, ...]]:
    """The crop's name in the table, its row there, and what there is to say of it."""
    table = shipped_table()
    names = {crop.name for crop in table.find(typed)}
    if len(names) != 1:
        return typed, None, (f'"{typed}" is not in the crop table: give it a row '
                             '"like" in crops.csv beside these',)  # fmt: skip
    name = names.pop()
    rows = table.find(name, method)
    if not rows:
        told = f'{name} by {method} is not in the crop table: give it a row "like"'
        return name, None, (told,)
    return name, rows[0], ()


def _rows(fit: TrialFit) -> Iterator[FitRow]:
    yield _row("base_c", fit.base_c)
    yield _row("sum_c_d", fit.sum_c_d)
    yield _row("spread", fit.spread)
    for temp, share in fit.fractions:
        yield _row(f"fraction at {temp:g}", share)


def _row(figure: str, one: Estimate) -> FitRow:
    low, high = one.near()
    if figure.startswith("fraction"):
        low, high = max(low, 0.0), min(high, 1.0)
    return FitRow(
        figure=figure, value=one.value, error=_known(one.error),
        low=_known(low), high=_known(high),
    )  # fmt: skip


def _known(value: float) -> float | None:
    return None if isnan(value) else value


def _temperature(one: AtTemperature, fit: TrialFit | None) -> FitTemperature:
    used = fit is not None and one.temp_c in fit.temps_c
    return FitTemperature(
        temp_c=one.temp_c,
        sown=one.sown,
        come=one.come,
        t50_d=_known(one.t50_d.value),
        t50_error=_known(one.t50_d.error),
        fitted_t50_d=fit.t50_d(one.temp_c) if fit and used else None,
        fraction=one.fraction.value,
        fraction_error=_known(one.fraction.error),
        used=used,
    )


def _paste(
    name: str,
    method: Method,
    row: Crop | None,
    fit: TrialFit,
    alone: tuple[AtTemperature, ...],
    dishes: tuple[Dish, ...],
) -> Iterator[PasteRow]:
    """Rows that together make a right stage, whatever the shipped one holds."""
    sown = sum(dish.sown for dish in dishes if dish.temp_c in fit.temps_c)
    temps = " ".join(f"{t:g}" for t in fit.temps_c)
    trial = f"own trial: {sown} sown at {temps} °C"

    def paste(figure: str, value: str, one: Estimate | None = None) -> PasteRow:
        error = "" if one is None or isnan(one.error) else f"; ± {_short(one.error)}"
        return PasteRow(
            crop=name, method=method, stage="start", figure=figure, value=value,
            basis="derived", source=OWN_SOURCE, note=trial + error,
        )  # fmt: skip

    yield paste("base_c", f"{fit.base_c.value:.1f}", fit.base_c)
    yield paste("sum_c_d", f"{fit.sum_c_d.value:.0f}" if fit.sum_c_d.value >= 100
                else f"{fit.sum_c_d.value:.1f}", fit.sum_c_d)  # fmt: skip
    yield paste("spread", f"{fit.spread.value:.2f}", fit.spread)
    shares = [f"{one.temp_c:g}:{one.fraction.value:.2f}" for one in alone]
    yield paste("fraction", " ".join(shares))
    top = max(fit.temps_c)
    start = None if row is None else next(s for s in row.stages if s.stage == "start")
    if start is None or start.opt_c < top:
        yield paste("opt_c", f"{top:g}")
        if start is None or (start.opt_to_c is not None and start.opt_to_c < top):
            yield paste("opt_to_c", f"{top:g}")
        if start is not None and start.max_c <= top:
            yield paste("max_c", f"{top + 10:g}")


def _short(error: float) -> str:
    """A standard error to two figures."""
    digits = max(0, 1 - floor(log10(error))) if error > 0 else 0
    return f"{error:.{digits}f}"


def _notes(fit: TrialFit, alone: tuple[AtTemperature, ...]) -> Iterator[str]:
    if fit.warmer_c:
        yield (
            f"{_list(fit.warmer_c)} °C left out: rate rises in a straight line up to"
            f" the fastest temperature only, {max(fit.temps_c):g} °C"
        )
    none = [one.temp_c for one in alone if not one.come]
    if none:
        yield f"nothing came at {_list(none)} °C, which goes into the fraction alone"
    if fit.misfit > 1:
        yield (
            "counts stray from the model by more than chance: standard errors are"
            f" widened {fit.misfit:.1f} times (Finney 1971)"
            + (
                "; the warmest dishes may lie past the straight part: try --up-to"
                if len(fit.temps_c) > 2
                else ""
            )
        )
    base = fit.base_c
    if base.error > 3:
        yield (
            f"the base is hardly known (± {base.error:.0f} °C): more dishes, further"
            " apart in temperature, or --base"
        )


def _list(temps: tuple[float, ...] | list[float]) -> str:
    return ", ".join(f"{temp:g}" for temp in temps)
