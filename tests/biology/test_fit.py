"""Cardinal temperatures against the emergence table and sums fitted to it before."""

from math import inf

import numpy as np
import pytest
from reference.emergence import TABLE, cells

from propsched.biology.fit import Cardinal, fit_cardinal


def relative_errors(crop: str) -> list[float]:
    temps, days, none = cells(crop)
    figures = fit_cardinal(temps, days, none)
    return [abs(figures.days(t) / d - 1) for t, d in zip(temps, days, strict=True)]


def test_every_crop_of_the_emergence_table_is_told_within_12_percent() -> None:
    """Harrington & Minges 1954: all 132 usable cells, whole days as printed."""
    errors = [e for crop in TABLE for e in relative_errors(crop)]

    assert len(errors) == 132
    assert np.median(errors) <= 0.12


@pytest.mark.parametrize("crop", TABLE)
def test_no_crop_is_off_by_a_quarter_on_average(crop: str) -> None:
    """Harrington & Minges 1954."""
    assert np.mean(relative_errors(crop)) <= 0.25


def test_a_cell_left_out_is_told_within_15_percent() -> None:
    """Harrington & Minges 1954: each inner cell predicted from the others."""
    errors = []
    for temps, days, none in TABLE.values():
        for i in range(1, len(temps) - 1) if len(temps) >= 4 else ():
            rest = fit_cardinal(
                temps[:i] + temps[i + 1 :], days[:i] + days[i + 1 :], none
            )
            errors.append(abs(rest.days(temps[i]) / days[i] - 1))

    assert len(errors) == 82
    assert np.median(errors) <= 0.15


@pytest.mark.parametrize(
    ("crop", "low", "high", "base_c", "sum_c_d"),
    [
        ("cucumber", 15, 30, 10.5, 58),
        ("parsnip", 5, 20, 0.1, 277),
        ("bean, snap (French)", 15, 30, 5.7, 151),
        ("eggplant (aubergine)", 20, 30, 13.5, 87),
        ("celery", 5, 20, 1.6, 141),
        ("cabbage", 10, 25, 2.8, 108),
        ("pepper", 15, 25, 10.1, 123),
    ],
)
def test_base_and_sum_agree_with_a_straight_line_fit(
    crop: str, low: float, high: float, base_c: float, sum_c_d: float
) -> None:
    """Below the optimum, least squares of ln days on S ÷ (T − Tb) by hand."""
    temps, days, none = cells(crop)
    kept = [(t, d) for t, d in zip(temps, days, strict=True) if low <= t <= high]
    figures = fit_cardinal([t for t, _ in kept], [d for _, d in kept], none)

    assert figures.base_c == pytest.approx(base_c, abs=0.5)
    assert figures.sum_c_d == pytest.approx(sum_c_d, rel=0.06)


def test_figures_behind_exact_days_are_found_again() -> None:
    made = Cardinal(4.0, 24.0, 30.0, 40.0, 100.0, 0.0)
    temps = [6.0, 10, 14, 18, 22, 24, 26, 28, 30, 32, 34, 36, 38]

    found = fit_cardinal(temps, [made.days(t) for t in temps])

    assert found.base_c == pytest.approx(4.0, abs=0.15)
    assert found.opt_c == pytest.approx(24.0, abs=0.3)
    assert found.opt_to_c == pytest.approx(30.0, abs=0.3)
    assert found.max_c == pytest.approx(40.0, abs=0.3)
    assert found.sum_c_d == pytest.approx(100.0, rel=0.02)


def test_two_temperatures_give_the_line_through_both() -> None:
    """1/days rises in a straight line: 112 d at 8 °C, 35 d at 18 °C (blackcurrant)."""
    found = fit_cardinal([8, 18], [112, 35])

    assert found.base_c == pytest.approx((18 * 35 - 8 * 112) / (35 - 112), abs=0.1)
    assert found.days(18) == pytest.approx(35, rel=0.02)
    assert found.days(8) == pytest.approx(112, rel=0.02)


def test_nothing_comes_outside_base_and_ceiling() -> None:
    found = fit_cardinal([15, 20, 25, 30], [16, 11, 8, 6], [35])

    assert found.days(found.base_c) == inf
    assert found.days(35) == inf


@pytest.mark.parametrize(
    ("temps", "days"),
    [([10.0], [5.0]), ([10.0, 10.0], [5.0, 5.0]), ([10.0, 20.0], [5.0, 0.0])],
)
def test_too_little_to_fit_is_refused(temps: list[float], days: list[float]) -> None:
    with pytest.raises(ValueError, match=r"needed|above 0"):
        fit_cardinal(temps, days)
