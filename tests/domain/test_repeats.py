"""Repeated sowings become batches of their own, their dates moved along."""

from datetime import date, timedelta

from builders import make_batch
from hypothesis import given
from hypothesis import strategies as st

from propsched.domain.batch import Repeat
from propsched.domain.repeats import expand, expanded_ids


def test_a_batch_without_repeat_stays_as_it_is() -> None:
    batch = make_batch()
    assert expand([batch]) == (batch,)
    assert expanded_ids(batch) == ("leek",)


def test_four_sowings_a_fortnight_apart() -> None:
    batch = make_batch(
        id="lettuce",
        repeat=Repeat(every_days=14, times=4),
        available_from=date(2027, 1, 20),
        wanted_by=date(2027, 3, 20),
    )
    singles = expand([batch])
    assert [single.id for single in singles] == [f"lettuce-{i}" for i in (1, 2, 3, 4)]
    assert [single.available_from for single in singles] == [
        date(2027, 1, 20),
        date(2027, 2, 3),
        date(2027, 2, 17),
        date(2027, 3, 3),
    ]
    assert singles[-1].wanted_by == date(2027, 5, 1)
    assert all(s.available_to is None and s.repeat is None for s in singles)
    assert all(s.wanted == batch.wanted for s in singles)


@given(st.integers(1, 60), st.integers(1, 60))
def test_every_sowing_keeps_the_span_of_the_first(every: int, times: int) -> None:
    batch = make_batch(
        repeat=Repeat(every_days=every, times=times),
        available_from=date(2027, 1, 1),
        available_to=date(2027, 1, 31),
    )
    singles = expand([batch])
    assert len(singles) == len({single.id for single in singles}) == times
    for i, single in enumerate(singles):
        assert single.available_from == date(2027, 1, 1) + timedelta(days=every * i)
        assert single.available_to == single.available_from + timedelta(days=30)
    assert expand(singles) == singles
