"""Old seed, held against published lives of seed."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from propsched.biology.seed_age import LIFE_YEARS, NEW, life_years, viability


@pytest.mark.parametrize(
    ("latin", "years"),
    [
        ("Allium cepa", 1), ("Allium porrum", 2), ("Pastinaca sativa", 1),
        ("Lactuca sativa", 6), ("Solanum lycopersicum", 4), ("Cucumis sativus", 5),
        ("Capsicum annuum", 2), ("Apium graveolens", 3), ("Zea mays", 2),
        ("Cichorium endivia", 5), ("Cichorium intybus", 4),
    ],
)  # fmt: skip
def test_seed_keeps_as_long_as_published(latin: str, years: float) -> None:
    """Maynard & Hochmuth, Knott's Handbook for Vegetable Growers, 4th ed., 1997."""
    assert life_years(latin) == (years, True)


def test_what_the_table_has_not_is_common_practice() -> None:
    assert life_years("Lathyrus odoratus") == (3, False)
    assert life_years("") == (3, False)


def test_a_good_lot_is_at_the_least_it_may_be_sold_at_when_its_life_is_over() -> None:
    """70 % is the minimum for onion in the US Federal Seed Act Regulations, 7 CFR
    201.31; the curve is set by it, the years are the table's."""
    for years in LIFE_YEARS.values():
        assert viability(NEW, years, years) == pytest.approx(0.70)


def test_it_falls_slowly_and_then_fast() -> None:
    """Ellis & Roberts 1980: normal curve of lives; its steepest fall at one half."""
    left = [viability(0.95, age, 4) for age in range(13)]
    falls = [a - b for a, b in pairwise(left)]
    steepest = falls.index(max(falls))

    assert left[steepest] > 0.5 > left[steepest + 1]
    assert falls[0] < 0.05
    assert left[-1] < 0.05


@given(st.floats(0.05, 0.99), st.floats(0, 30), st.floats(0, 30), st.floats(0.5, 8))
def test_older_seed_is_never_better(
    new: float, age: float, more: float, life: float
) -> None:
    assert viability(new, age + more, life) <= viability(new, age, life) + 1e-12
    assert viability(new, 0, life) == new
