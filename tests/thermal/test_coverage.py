"""
Whole winters left out: do the 80 % ranges hold 80 % of what was measured?

The size of the model's error is set on one station and the ranges are scored on the
other: here one way with every second origin, and both ways with all origins where
PROPSCHED_BOTH_STATIONS is set (two to four minutes each).
``tests/benchmarks/coverage.py`` prints the whole table.
"""

import os

import pytest
from benchmarks.coverage import DATA, LEADS, SITES, Case, all_scores, fitted, table

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        not DATA.is_dir(), reason="the stations' measured series are not here"
    ),
]


WHOLE = "PROPSCHED_BOTH_STATIONS" in os.environ
WHICH = sorted(SITES) if WHOLE else ["ie_ballyhaise"]
EVERY = 1 if WHOLE else 2


@pytest.mark.parametrize("name", WHICH)
def test_ranges_hold_what_was_measured_and_are_narrower_than_the_climate(name):
    """At each lead 72 to 88 %; up to a week narrower than the other winters' 80 %."""
    (other,) = SITES.keys() - {name}
    cases = [Case("weekly readings", fitted(other))]
    (found,) = all_scores(name, cases, every=EVERY)
    rows = table(found)
    assert list(rows.index) == list(LEADS)
    assert (rows["n"] > 200 / EVERY).all()
    assert rows["held"].between(0.72, 0.88).all(), rows
    week = rows.loc[[0, 1, 3, 7]]
    assert (week["width"] < week["climate"]).all(), rows
    # a reading a week is worth more than the climate from the first day on
    assert rows["width"][0] < 0.35 * rows["climate"][0]
