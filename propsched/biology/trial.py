"""Base temperature, heat sum, spread and final fraction from counts by day."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, nan

import numpy as np

from propsched.biology.trial_model import Estimate, Times, TrialModel
from propsched.domain.trial import Dish


@dataclass(frozen=True, slots=True, kw_only=True)
class AtTemperature:
    """What came of the dishes of one temperature, by themselves."""

    temp_c: float
    sown: int
    come: int
    fraction: Estimate
    """Of the seeds sown, in the end."""
    t50_d: Estimate
    """Days to half of those that come; NaN where none came. [d]"""
    spread: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialFit:
    """Figures of one model for all temperatures up to the fastest."""

    base_c: Estimate
    sum_c_d: Estimate
    """To half of those that come. [°C·d]"""
    spread: Estimate
    """Standard deviation of ln time; of time ÷ its mean for normal times."""
    fractions: tuple[tuple[float, Estimate], ...]
    """Final fraction by temperature."""
    temps_c: tuple[float, ...]
    log_likelihood: float
    misfit: float
    """By how much standard errors were widened, 1 where counts fit the model."""
    times: Times = "lognormal"
    warmer_c: tuple[float, ...] = ()
    """Temperatures above the fastest, left out."""

    def t50_d(self, temp_c: float) -> float:
        """Days to half of those that come; inf at or below base."""
        above = temp_c - self.base_c.value
        return self.sum_c_d.value / above if above > 0 else inf


def at_temperatures(
    dishes: Sequence[Dish], *, times: Times = "lognormal"
) -> tuple[AtTemperature, ...]:
    """
    Median time and final fraction of each temperature by itself.

    Interval-censored greatest likelihood [1]_: a seed counted on a day came at
    some time since the look before; one that did not come may yet.

    References
    ----------
    .. [1] C. Ritz, C. B. Pipper and J. C. Streibig, "Analysis of germination data
       from agricultural experiments," Eur. J. Agron., vol. 45, pp. 1–6, 2013.
    """
    found = []
    for temp in sorted({dish.temp_c for dish in dishes}):
        here = [dish for dish in dishes if dish.temp_c == temp]
        sown, come = sum(d.sown for d in here), sum(sum(d.new) for d in here)
        if come == 0:
            nothing = Estimate(nan)
            found.append(
                AtTemperature(
                    temp_c=temp, sown=sown, come=0, fraction=Estimate(0.0),
                    t50_d=nothing, spread=nothing,
                )
            )  # fmt: skip
            continue
        model = TrialModel(here, (temp,), temp - 1.0, times)
        got = model.fit(_first_median(here), 1.0)
        median, spread = model.sum_and_spread(got)
        found.append(
            AtTemperature(
                temp_c=temp, sown=sown, come=come, t50_d=median, spread=spread,
                fraction=model.fractions(got)[0],
            )
        )  # fmt: skip
    return tuple(found)


def fit_trial(
    dishes: Sequence[Dish],
    *,
    base_c: float | None = None,
    times: Times = "lognormal",
    up_to_c: float | None = None,
) -> TrialFit:
    """
    Base temperature and heat sum of a trial at constant temperatures.

    Parameters
    ----------
    dishes : sequence of Dish
        Those in which nothing came tell nothing of the sum and are left out.
    base_c : float, optional
        Held at this; None fits it, which needs two temperatures. [°C]
    times : {"lognormal", "normal"}
        How the heat sums of the seeds of a lot are spread.
    up_to_c : float, optional
        Warmest temperature used; None takes the one with the shortest median
        time, as rate rises in a straight line below the optimum only. [°C]

    Returns
    -------
    TrialFit

    Raises
    ------
    ValueError
        If the counts cannot tell the figures apart; the message says why.

    Notes
    -----
    Share come by day t at T: f(T)·Φ((ln (T − base)·t − ln sum) ÷ spread), a probit
    in thermal time with one base for all seeds [1]_, each count a cell between two
    looks and the rest a cell without end [2]_.  Where Pearson's χ² of the cells
    says that dishes differ by more than chance, standard errors are widened by
    √(χ² ÷ degrees of freedom) [3]_.

    References
    ----------
    .. [1] R. H. Ellis, S. Covell, E. H. Roberts and R. J. Summerfield, "The
       influence of temperature on seed germination rate in grain legumes. II.,"
       J. Exp. Bot., vol. 37, pp. 1503–1515, 1986.
    .. [2] C. Ritz, C. B. Pipper and J. C. Streibig, "Analysis of germination data
       from agricultural experiments," Eur. J. Agron., vol. 45, pp. 1–6, 2013.
    .. [3] D. J. Finney, Probit Analysis, 3rd ed., Cambridge University Press, 1971.
    """
    alone = [one for one in at_temperatures(dishes, times=times) if one.come]
    if not alone:
        raise ValueError("nothing came at any temperature")
    fastest = min(alone, key=lambda one: one.t50_d.value).temp_c
    limit = fastest if up_to_c is None else up_to_c
    used = [one for one in alone if one.temp_c <= limit]
    warmer = tuple(one.temp_c for one in alone if one.temp_c > limit)
    if not used:
        raise ValueError(f"nothing came at {limit:g} °C or below")
    temps = tuple(one.temp_c for one in used)
    if base_c is None and len(temps) < 2:
        raise ValueError(
            f"one temperature ({temps[0]:g} °C) cannot tell base from sum"
            + (": warmer dishes were not faster" if warmer else "")
        )
    if base_c is not None and base_c >= temps[0]:
        raise ValueError(
            f"base {base_c:g} °C is not below {temps[0]:g} °C, where some came"
        )
    first_base = _base_by_line(used) if base_c is None else base_c
    sums = [one.t50_d.value * (one.temp_c - first_base) for one in used]
    first_sum = float(np.exp(np.mean(np.log(sums))))
    model = TrialModel([d for d in dishes if d.temp_c in temps], temps, base_c, times)
    got = model.fit(first_sum, temps[0] - first_base)
    if base_c is None and got.at_limit[2]:
        if got.values[2] > 0:
            raise ValueError("warmth made no difference: base cannot be told from sum")
        raise ValueError(
            f"base cannot be told from sum: {temps[0]:g} °C is too near the base"
        )
    misfit = model.misfit(got)
    heat_sum, spread = model.sum_and_spread(got, misfit)
    return TrialFit(
        base_c=Estimate(base_c) if base_c is not None else model.base(got, misfit),
        sum_c_d=heat_sum,
        spread=spread,
        fractions=tuple(zip(temps, model.fractions(got, misfit), strict=True)),
        temps_c=temps,
        log_likelihood=got.log_likelihood,
        misfit=misfit,
        times=times,
        warmer_c=warmer,
    )


def _base_by_line(used: Sequence[AtTemperature]) -> float:
    """First guess: straight line of 1/t50 on temperature."""
    temp = np.array([one.temp_c for one in used])
    rate = 1 / np.array([one.t50_d.value for one in used])
    slope = float(np.polyfit(temp, rate, 1)[0])
    if slope <= 0:
        raise ValueError("warmer dishes were not faster: base cannot be told from sum")
    base = float(temp.mean() - rate.mean() / slope)
    return min(base, float(temp[0]) - 0.5)


def _first_median(dishes: Sequence[Dish]) -> float:
    """Mean of the days on which seeds were found come, each half a look back."""
    at, weight = [], []
    for dish in dishes:
        before = (0.0, *dish.days[:-1])
        at += [(a + b) / 2 for a, b in zip(before, dish.days, strict=True)]
        weight += list(dish.new)
    return max(float(np.average(at, weights=weight)), 1e-3)
