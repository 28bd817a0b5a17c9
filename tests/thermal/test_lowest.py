"""The coldest hour of a night, its range and what is likely."""

from datetime import date

import numpy as np
import pytest
from builders import make_outlook, make_site, make_space, make_zone, run_spaces
from scipy.stats import norm

from propsched.domain.space import Variant
from propsched.thermal.lowest import (
    OUTDOORS_SD_C,
    Lowest,
    lowest_air,
    night_minima,
)
from propsched.thermal.simulate import simulate
from propsched.thermal.snap import Spell, colder


def test_a_night_runs_from_afternoon_to_morning() -> None:
    """A frost at dawn belongs to the night before; one by noon to none."""
    hours = np.full(24 * 3, 5.0, np.float32)
    hours[24 + 6] = -3.0
    hours[24 + 12] = -9.0
    assert night_minima(hours, 0) == -3.0
    assert night_minima(hours, 1) == 5.0


def test_probability_is_that_of_the_printed_range() -> None:
    """A tenth lies below the lower end, a tenth above the upper one."""
    lowest = Lowest(-2.0, 1.0, 2.5)
    assert lowest.below(-2.0) == pytest.approx(0.1, abs=1e-4)
    assert lowest.below(1.0) == pytest.approx(0.5)
    assert lowest.below(2.5) == pytest.approx(0.9, abs=1e-4)


def test_probabilities_hold_for_other_winters_of_the_same_kind() -> None:
    """Weather and model error drawn anew: what is called 20 % happens one time in 5."""
    rng = np.random.default_rng(4)
    happened, promised = [], []
    for _ in range(300):
        winters = rng.normal(2.0, 3.0, 25)
        hourly = np.repeat(winters[None, :, None], 48, axis=2)
        zone = make_zone(10.0, hourly, spaces=[make_space()], days=2, winters=25)
        lowest = lowest_air(zone, 0, 0)
        truth = rng.normal(2.0, 3.0, 50) + rng.normal(0, OUTDOORS_SD_C, 50)
        for limit in (-3.0, 0.0, 3.0):
            promised.append(lowest.below(limit))
            happened.append((truth < limit).mean())
    for low, high in ((0.02, 0.15), (0.15, 0.35), (0.5, 0.75)):
        among = [(low <= p < high) for p in promised]
        said = np.mean(np.array(promised)[among])
        came = np.mean(np.array(happened)[among])
        assert came == pytest.approx(said, abs=0.04)


def test_with_one_known_night_the_model_error_is_left() -> None:
    zone = make_zone(10.0, 1.0, spaces=[make_space()], days=2)
    lowest = lowest_air(zone, 0, 0)
    assert lowest.below(0.0) == pytest.approx(norm.cdf(-1 / OUTDOORS_SD_C), abs=0.002)


def test_a_cover_laid_one_evening_changes_nothing_before() -> None:
    """And from then on it warms as a cover does, on ground that it did not warm."""
    outlook = make_outlook(days=60, first=date(2026, 12, 1))
    frame = make_space(id="frame", kind="cold-frame", area_m2=1.4)
    matted = make_space(id="frame", kind="cold-frame", area_m2=1.4, night_mat=True)
    site, work = run_spaces(frame, outlook=outlook), np.ones(60, bool)
    both = simulate(
        make_site(latitude=52.0),
        [Variant(frame), Variant(matted, "mat")],
        outlook,
        work_day=work,
        before=([Variant(frame), Variant(frame, "mat")], 50),
    )
    np.testing.assert_allclose(both.air_c[0], site.air_c[0], atol=1e-4)
    before = slice(0, 24 * 50)
    np.testing.assert_allclose(both.air_c[1, :, before], both.air_c[0, :, before])
    gain = night_minima(both.air_c[1], 50) - night_minima(both.air_c[0], 50)
    always = run_spaces(matted, outlook=outlook)
    longer = night_minima(always.air_c[0], 50) - night_minima(both.air_c[0], 50)
    assert 0.5 < float(gain[0]) < float(longer[0])


def test_a_snap_is_cold_in_every_winter_on_its_days_alone() -> None:
    """Days that were observed stay as they were measured."""
    kind = ("observed",) * 5 + ("forecast",) * 2 + ("outlook",) * 13
    outlook = make_outlook(days=20, winters=3, spread_k=1.0, kind=kind)
    first = outlook.horizon.date(4)
    cold = colder(outlook, [Spell(first=first, days=4, drop_k=8.0)])
    for new, old in ((cold.tmin_c, outlook.tmin_c), (cold.tmax_c, outlook.tmax_c)):
        drop = old - new
        assert drop[:, 5:8] == pytest.approx(8.0)
        assert not drop[:, :5].any()
        assert not drop[:, 8:].any()
    assert colder(outlook, []) is outlook
