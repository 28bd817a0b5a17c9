"""Counts of a trial as cells between looks, and what a model expects in them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, nan, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc, ndtr

from propsched.biology.likelihood import Floats, Found, maximise
from propsched.domain.trial import Dish

Times = Literal["lognormal", "normal"]
"""How plants of a batch differ in heat sum."""
_SPREAD = log(0.01), log(2.0)
"""Limits of ln spread."""
_LOGIT = 9.0
"""Limit of the logit of a final fraction: 0.9999."""
_WARMTH = log(0.05), log(60.0)
"""Limits of ln (coldest temperature − base), so that the base stays below it. [K]"""
_FEW = 2.0
"""Cells that expect fewer are thrown together before the fit is judged."""
_DOUBT = 0.05
"""Probability by chance below which a fit is said not to hold; convention."""
_ROOT_2_PI = sqrt(2 * np.pi)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with its standard error; NaN where it lies on a limit or was given."""

    value: float
    error: float = nan

    def near(self) -> tuple[float, float]:
        """The 95 % interval, by the normal approximation."""
        return self.value - 1.96 * self.error, self.value + 1.96 * self.error


class TrialModel:
    """Cells of some dishes; parameters ln sum, ln spread, [ln warmth], logits."""

    def __init__(
        self,
        dishes: Sequence[Dish],
        temps: tuple[float, ...],
        base_c: float | None,
        times: Times,
    ) -> None:
        self.temps, self.base_c, self.times = temps, base_c, times
        self.first = 2 if base_c is not None else 3
        rows = [
            (dish.temp_c, day, temps.index(dish.temp_c))
            for dish in dishes
            for day in dish.days
        ]
        self.temp, self.day = np.array([r[:2] for r in rows]).T
        self.which = np.array([r[2] for r in rows])
        self.begins = np.cumsum([0, *(len(d.days) for d in dishes)])
        self.dish_of = np.repeat(
            np.arange(len(dishes)), [len(d.days) + 1 for d in dishes]
        )
        self.counts = np.array(
            [n for d in dishes for n in (*d.new, d.sown - sum(d.new))], float
        )
        self.trials = np.array(
            [d.sown for d in dishes for _ in range(len(d.days) + 1)], float
        )
        self.come = [
            (
                sum(sum(d.new) for d in dishes if d.temp_c == t),
                sum(d.sown for d in dishes if d.temp_c == t),
            )
            for t in temps
        ]

    def fit(self, heat_sum: float, warmth: float) -> Found:
        logits = [log((c + 0.5) / (n - c + 0.5)) for c, n in self.come]
        middle = [] if self.base_c is not None else [log(max(warmth, 0.1))]
        start = np.array([log(heat_sum), log(0.2), *middle, *logits])
        ends = [] if self.base_c is not None else [_WARMTH]
        pairs = [(-7.0, 12.0), _SPREAD, *ends, *[(-_LOGIT, _LOGIT)] * len(logits)]
        low, high = np.array(pairs).T
        return maximise(self.cells, self.counts, self.trials, start, (low, high))

    def cells(self, at: Floats) -> tuple[Floats, Floats]:
        """Probabilities of all cells, dish by dish, and their slopes."""
        heat_sum, spread = exp(at[0]), exp(at[1])
        if self.base_c is None:
            warmth = exp(at[2])
            above = self.temp - (self.temps[0] - warmth)
        else:
            above = self.temp - self.base_c
        logit = at[self.first :][self.which]
        final = 1 / (1 + np.exp(-logit))
        if self.times == "lognormal":
            z = (np.log(np.maximum(above * self.day, 1e-12)) - at[0]) / spread
            by_sum = np.full_like(z, -1 / spread)
            by_above = 1 / (spread * above)
        else:
            ratio = above * self.day / heat_sum
            z = (ratio - 1) / spread
            by_sum, by_above = -ratio / spread, self.day / (heat_sum * spread)
        share, dense = ndtr(z), np.exp(-z * z / 2) / _ROOT_2_PI
        slopes = np.zeros((z.size, at.size))
        slopes[:, 0] = final * dense * by_sum
        slopes[:, 1] = final * dense * -z
        if self.base_c is None:
            slopes[:, 2] = final * dense * by_above * warmth
        slopes[np.arange(z.size), self.first + self.which] = share * final * (1 - final)
        return self._apart(final * share), self._apart(slopes, last=0.0)

    def _apart(self, cumulative: Floats, last: float = 1.0) -> Floats:
        """Steps of what is summed up over the looks at each dish, the rest last."""
        shape = cumulative.shape[1:]
        parts = []
        for a, b in zip(self.begins[:-1], self.begins[1:], strict=True):
            edge = np.concatenate(
                [np.zeros((1, *shape)), cumulative[a:b], np.full((1, *shape), last)]
            )
            parts.append(np.diff(edge, axis=0))
        return np.concatenate(parts)

    def sum_and_spread(self, got: Found, misfit: float = 1.0) -> tuple[Estimate, ...]:
        """Back from logarithms; errors by the slope of the exponential."""
        return tuple(
            Estimate(
                exp(got.values[i]),
                exp(got.values[i]) * sqrt(got.covariance[i, i]) * misfit,
            )
            for i in (0, 1)
        )

    def base(self, got: Found, misfit: float) -> Estimate:
        warmth = exp(got.values[2])
        error = warmth * sqrt(got.covariance[2, 2]) * misfit
        return Estimate(self.temps[0] - warmth, error)

    def fractions(self, got: Found, misfit: float = 1.0) -> tuple[Estimate, ...]:
        found = []
        for i in range(self.first, got.values.size):
            share = 1 / (1 + exp(-got.values[i]))
            error = share * (1 - share) * sqrt(got.covariance[i, i]) * misfit
            found.append(
                Estimate(share if not got.at_limit[i] else round(share), error)
            )
        return tuple(found)

    def misfit(self, got: Found) -> float:
        """√(χ² ÷ degrees of freedom) where chance alone seldom gives as much."""
        prob, _ = self.cells(got.values)
        expected, seen = _thrown_together(prob * self.trials, self.counts, self.dish_of)
        free = expected.size - len(self.begins[:-1]) - got.values.size
        square = float(((seen - expected) ** 2 / expected).sum())
        if free < 1 or chdtrc(free, square) > _DOUBT:
            return 1.0
        return max(1.0, sqrt(square / free))


def _thrown_together(
    expected: Floats, seen: Floats, dish_of: NDArray[np.intp]
) -> tuple[Floats, Floats]:
    """Neighbouring cells of a dish, thrown together until each expects a few."""
    groups: list[list[float]] = []
    before = -1
    for e, s, dish in zip(expected, seen, dish_of, strict=True):
        if groups and dish == before and groups[-1][0] < _FEW:
            groups[-1][0] += e
            groups[-1][1] += s
        else:
            groups.append([e, s])
        before = dish
    both = np.array([g for g in groups if g[0] > 1e-6] or [[1.0, 1.0]])
    return both[:, 0], both[:, 1]
