"""Minutes of a day beside what there is time for; what is overdue comes on top."""

from datetime import date, timedelta

from builders import make_season

from propsched.advice.day_work import day_work
from propsched.advice.job import Job
from propsched.advice.labels import LINE_CHARS, label_of
from propsched.domain.season import Work

WED = date(2027, 2, 3)
SAT = WED + timedelta(days=3)
SEASON = make_season(work=Work(minutes_per_day=100, round_minutes=20))


def job(day: date, minutes: int, **over: object) -> Job:
    plain: dict[str, object] = {
        "date": day, "kind": "sow", "batch": "b", "what": "w", "minutes": minutes,
    }  # fmt: skip
    return Job(**{**plain, **over})  # type: ignore[arg-type]


def test_each_day_has_its_sum_and_a_work_day_its_limit() -> None:
    jobs = [
        job(WED, 5),
        job(SAT, 40),
        job(SAT, 30, compost="seed compost", compost_l=4.0),
    ]
    wednesday, saturday = day_work(jobs, SEASON, WED)
    assert (wednesday.minutes, wednesday.of_minutes) == (5, None)
    assert (saturday.minutes, saturday.of_minutes) == (70, 80)
    assert saturday.compost_l == {"seed compost": 4.0}
    assert not saturday.too_much


def test_what_is_overdue_waits_for_the_next_work_day() -> None:
    late = job(WED - timedelta(days=4), 50, overdue=True)
    (alone,) = day_work([late], SEASON, WED)
    assert (alone.date, alone.minutes, alone.overdue_minutes) == (SAT, 0, 50)
    (saturday,) = day_work([late, job(SAT, 40)], SEASON, WED)
    assert (saturday.minutes, saturday.overdue_minutes) == (40, 50)
    assert saturday.too_much


def test_duties_are_apart() -> None:
    assert day_work([job(WED, 0, kind="take readings")], SEASON, WED) == ()


def test_a_label_names_all_in_short_lines() -> None:
    sow = job(SAT, 5, crop="leek", batch="leek-1")
    assert label_of(sow, "Long White", "seed", SAT) == (
        "leek Long White",
        "leek-1, seed",
        "sown 6 Feb 2027",
    )
    long = label_of(sow, "Giant of the Northern Hills Early", "seed", SAT)
    assert all(len(line) <= LINE_CHARS for line in long)
    assert " ".join(long[:-2]) == "leek Giant of the Northern Hills Early"


def test_what_is_only_moved_keeps_its_label() -> None:
    assert label_of(job(SAT, 5, kind="move"), "", "seed", SAT) == ()
