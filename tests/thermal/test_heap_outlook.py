"""How hot a heap gets, and for how long."""

from datetime import date

import numpy as np
import pytest
from builders import make_outlook, make_site, make_space

from propsched.thermal.guesses import Rotting
from propsched.thermal.heap_outlook import REPORTED, heap_outlook, last_hot_day

OUTLOOK = make_outlook(first=date(2026, 8, 1), days=200, winters=3, spread_k=2.0)


def asked(**over):
    plain = {"id": "heap", "kind": "heap", "material": "mowings", "manure_cm": 90,
             "fill_c": 10.0, "make_up": date(2026, 9, 20)}  # fmt: skip
    heap = make_space(**{**plain, **over})
    return heap_outlook(
        Rotting(
            space=heap,
            site=make_site(latitude=52.0),
            outlook=OUTLOOK,
            work_day=np.ones(200, dtype=bool),
        )
    )


def test_days_above_forty_are_counted_from_one():
    """Hot on the second and fourth day: the last is day 4; never hot is 0."""
    assert last_hot_day(np.array([20.0, 50, 39, 41, 40, 30])) == 4
    assert last_hot_day(np.full(6, 20.0)) == 0


def test_the_log_of_a_home_heap_lies_within_the_ranges():
    """Its owner's log of 2014-17; the defaults were set to it: no validation."""
    heap = asked()
    assert heap is not None
    described = heap.sensitivity[0]
    figures = (described.warmest_c, described.on_day, described.last_hot_day)
    for (name, low, high), value in zip(REPORTED, figures, strict=True):
        assert low <= value <= high, name
        assert heap.at[name].low <= value <= heap.at[name].high, name


def test_more_to_burn_stays_hot_for_longer():
    heap = asked()
    assert heap is not None
    by_name = {row.what: row for row in heap.sensitivity}
    less, more = (by_name[f"{kg} kg/m³ to burn, not 60"] for kg in (35, 100))
    assert less.warmest_c < by_name["as described"].warmest_c < more.warmest_c
    assert less.last_hot_day < by_name["as described"].last_hot_day < more.last_hot_day


@pytest.mark.parametrize("made", [None, date(2026, 7, 1), date(2027, 2, 10)])
def test_nothing_without_the_month_after(made):
    assert asked(make_up=made) is None
