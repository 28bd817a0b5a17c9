"""Rows of the daybook that cannot be quite right."""

from datetime import date, datetime
from typing import Any

from builders import make_season

from propsched.advice.oddities import oddities
from propsched.domain.batch import Event
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs

TRAY = Container(name="tray")
LEEK = Crop(
    name="leek",
    method="seed",
    stages=(
        Needs(stage="start", container=TRAY),
        Needs(stage="prick-out", container=TRAY),
    ),
)
ROSE = Crop(name="rose", method="hardwood", stages=(LEEK.stages[0],))


def event(day: int, name: str, **over: Any) -> Event:
    return Event(
        **{"time": datetime(2027, 2, day, 9), "batch": "leek", "event": name, **over}
    )


def found(*events: Event, crop: Crop = LEEK, **over: Any) -> tuple[str, ...]:
    day = date(2027, 2, 20)
    return oddities(events, make_season(), {"leek": crop}, today=day, **over)


SOWN = event(1, "sown", count=60)


def test_a_plain_daybook_has_nothing_odd() -> None:
    out = event(19, "planted-out", count=15)
    rows = (SOWN, event(9, "lost", count=20), event(12, "emerged", count=40), out)
    assert found(*rows, event(20, "planted-out", count=25)) == ()
    assert found(event(1, "struck"), event(9, "rooted"), out, crop=ROSE) == ()


def test_rows_after_today_are_counted_and_the_first_is_named() -> None:
    (line,) = found(SOWN, event(21, "emerged"), event(22, "pricked-out"))
    assert "2 rows are dated after 2027-02-20" in line
    assert "leek emerged on 2027-02-21" in line
    (line,) = found(event(25, "bed-made-up", batch="", space="hotbed"))
    assert "1 row is dated after 2027-02-20, hotbed bed-made-up" in line


def test_more_lost_or_planted_out_than_there_were() -> None:
    (lost,) = found(SOWN, event(9, "lost", count=61))
    (out,) = found(
        SOWN, event(9, "emerged", count=40), event(12, "planted-out", count=41)
    )
    assert "61 are more than the 60" in lost
    assert "41 are more than the 40" in out
    uncounted = event(1, "sown"), event(9, "lost", count=61)
    assert found(*uncounted) == ()
    assert len(found(*uncounted, sown={"leek": 60})) == 1


def test_what_happens_to_a_batch_that_is_gone() -> None:
    (lost,) = found(SOWN, event(9, "lost"), event(12, "pricked-out"))
    (out,) = found(SOWN, event(9, "planted-out"), event(12, "lost", count=3))
    assert "nothing was left" in lost
    assert "planted out by then" in out


def test_sowing_again_is_not_odd() -> None:
    assert found(SOWN, event(9, "lost"), event(12, "sown"), event(15, "emerged")) == ()


def test_a_second_start_of_what_stands_is_told_one_after_a_loss_is_not() -> None:
    (line,) = found(SOWN, event(9, "sown", count=30))
    assert "leek sown on 2027-02-09, but it stood already" in line
    assert found(SOWN, event(5, "lost", count=60), event(9, "sown")) == ()
    cold = Crop(
        name="rowan",
        method="seed",
        stages=(Needs(stage="chill", container=TRAY), LEEK.stages[0]),
    )
    assert found(SOWN, event(9, "started"), crop=cold) == ()
