"""Which rows stand when others take them back."""

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from propsched.domain.batch import Event
from propsched.domain.undone import named_by, taking_back, without_undone

DAY = datetime(2027, 2, 12)
NOW = datetime(2027, 3, 1, 9, 30)


def row(number: int = 0, **over: object) -> Event:
    plain: dict[str, object] = {
        "time": DAY + timedelta(minutes=number),
        "batch": "leek",
        "event": "sown",
        "space": "bench",
        "count": 12,
    }
    return Event(**{**plain, **over})  # type: ignore[arg-type]


def stands(*rows: Event) -> list[int]:
    return list(without_undone(rows).stands)


def test_the_row_that_takes_back_can_be_read_and_written_by_hand() -> None:
    back = taking_back(row(30), NOW, "wrong bench")
    assert (back.batch, back.event, back.space, back.count) == (
        "leek", "undone", "bench", 12,
    )  # fmt: skip
    assert back.note == "sown of 2027-02-12 00:30; wrong bench"
    by_hand = row(event="undone", note="sown of 2027-02-12")
    assert stands(row(0), row(30), by_hand) == [1]


def test_a_note_that_names_nothing_takes_nothing_back() -> None:
    for note in ("", "sown", "sown of yesterday", "eaten of 2027-02-12",
                 "undone of 2027-02-12", "sown of 2027-02-30"):  # fmt: skip
        assert named_by(row(event="undone", note=note)) is None
        assert without_undone([row(), row(event="undone", note=note)]).idle == (1,)


def test_every_cell_that_names_a_row_must_agree() -> None:
    one = row()
    for other in (row(1), row(batch="onion"), row(space=""), row(count=None),
                  row(event="lost")):  # fmt: skip
        assert stands(one, other, taking_back(other, NOW)) == [0]
    assert stands(row(note="a remark is free"), taking_back(one, NOW)) == []


def test_of_two_rows_alike_one_is_taken_back_at_a_time() -> None:
    one, back = row(event="lost"), taking_back(row(event="lost"), NOW)
    assert len(stands(one, one, back)) == 1
    assert stands(one, one, back, back) == []
    assert stands(one, back, back, one) == [3]  # two people took the same one back


def test_a_row_noted_again_stands_where_it_stood() -> None:
    """Moved after it was sown on the same day, whatever was noted anew."""
    sown, moved = row(), row(event="moved", count=None)
    assert stands(sown, moved, taking_back(sown, NOW), sown) == [3, 1]


def test_a_file_sorted_backwards_says_the_same() -> None:
    rows = [row(0), row(1), taking_back(row(0), NOW)]
    assert stands(*rows) == [1]
    assert stands(*rows[::-1]) == [1]


@given(st.lists(st.one_of(st.integers(0, 3), st.none()), max_size=40))
def test_taking_back_again_and_again_is_a_stack(steps: list[int | None]) -> None:
    """A number is noted; None takes back what was noted last and stands."""
    rows: list[Event] = []
    stack: list[int] = []
    for step in steps:
        if step is not None:
            rows.append(row(step))
            stack.append(len(rows) - 1)
        elif stack:
            last = max(without_undone(rows).stands)
            assert last == stack.pop()
            rows.append(taking_back(rows[last], NOW))
    book = without_undone(rows)
    assert sorted(book.stands) == stack
    assert book.idle == ()
