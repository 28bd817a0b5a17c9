"""Batches of which the daybook names a half."""

from datetime import datetime

from builders import make_batch

from propsched.domain.batch import Event, Pin, Repeat
from propsched.domain.halves import half_names, halves_of, noted_in_halves


def event(name: str, batch: str, count: int | None = None) -> Event:
    time = datetime(2027, 2, 20, 10)
    return Event(time=time, batch=batch, event=name, count=count)  # type: ignore[arg-type]


LEEK = make_batch(wanted=41, sown=61, split=True)


def test_the_first_half_has_the_odd_one() -> None:
    first, second = halves_of(LEEK)
    assert (first.id, first.wanted, first.sown) == ("leek (1 of 2)", 21, 31)
    assert (second.id, second.wanted, second.sown) == ("leek (2 of 2)", 20, 30)
    assert first.portion + second.portion == 1
    assert not first.split


def test_what_stays_together_has_no_halves() -> None:
    assert half_names(make_batch(wanted=40)) == ()
    assert half_names(make_batch(wanted=1, split=True)) == ()
    several = make_batch(split=True, repeat=Repeat(every_days=7, times=2))
    assert half_names(several) == ()


def test_a_daybook_that_names_no_half_changes_nothing() -> None:
    book = (event("sown", "leek", 61),)
    assert noted_in_halves((LEEK,), book, ()) == ((LEEK,), book, ())


def test_a_half_that_is_noted_makes_two_batches_of_one() -> None:
    """What was sown and lost before belongs to both, as does a pin."""
    other = make_batch(id="onion")
    book = (
        event("sown", "leek", 61),
        event("sown", "onion", 9),
        event("lost", "leek", 3),
        event("moved", "leek (2 of 2)"),
    )
    pin = Pin(batch="leek", stage="harden", space="frame")
    rows, told, pins = noted_in_halves((other, LEEK), book, (pin,))
    assert [row.id for row in rows] == ["onion", "leek (1 of 2)", "leek (2 of 2)"]
    assert [(e.event, e.batch, e.count) for e in told] == [
        ("sown", "leek (1 of 2)", 31),
        ("sown", "leek (2 of 2)", 30),
        ("sown", "onion", 9),
        ("lost", "leek (1 of 2)", 2),
        ("lost", "leek (2 of 2)", 1),
        ("moved", "leek (2 of 2)", None),
    ]
    assert [one.batch for one in pins] == ["leek (1 of 2)", "leek (2 of 2)"]
