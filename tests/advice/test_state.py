"""The daybook read into where batches stand."""

from datetime import date, datetime
from typing import Any

from builders import make_season, make_space

from propsched.advice.state import BatchState, Stay, beds_made_up, standing
from propsched.domain.batch import Event
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs

TRAY = Container(name="tray")
SEASON = make_season(
    spaces=(make_space(id="propagator"), make_space(id="bench"), make_space(id="frame"))
)


def crop(*stages: str, method: str = "seed") -> Crop:
    needs: list[Needs] = [Needs(stage=s, container=TRAY) for s in stages]  # type: ignore[arg-type]
    return Crop(name="leek", method=method, stages=tuple(needs))  # type: ignore[arg-type]


LEEK = crop("start", "seedling", "prick-out", "harden")
ROWAN = crop("chill", "start", "pot-up")


def event(day: int, name: str, space: str = "", **over: Any) -> Event:
    return Event(
        time=datetime(2027, 2, day, 9, 0),
        batch="leek",
        event=name,  # type: ignore[arg-type]
        space=space,
        **over,
    )


def state(*events: Event, of: Crop = LEEK, **over: Any) -> BatchState:
    return standing(events, SEASON, {"leek": of}, **over)["leek"]


def test_a_sown_batch_stands_in_its_start_stage_since_that_day() -> None:
    found = state(event(6, "sown", "propagator", count=60))
    assert (found.stage, found.stage_index, found.space) == ("start", 0, "propagator")
    assert (date(2027, 2, 6), 60) == (found.since, found.count)
    assert found.standing


def test_a_batch_never_started_is_absent() -> None:
    assert standing((), SEASON, {"leek": LEEK}) == {}


def test_emergence_brings_it_to_the_next_stage_where_it_stands() -> None:
    found = state(event(6, "sown", "propagator"), event(18, "emerged"))
    assert (found.stage, found.space) == ("seedling", "propagator")
    assert date(2027, 2, 18) == found.since
    assert date(2027, 2, 6) == found.here_since


def test_emergence_noted_after_pricking_out_takes_nothing_back() -> None:
    found = state(
        event(6, "sown", "propagator"),
        event(20, "pricked-out", "bench"),
        event(21, "emerged"),
    )
    assert (found.stage, found.space) == ("prick-out", "bench")


def test_rooting_of_a_crop_with_no_later_stage_makes_it_done() -> None:
    wood = crop("start", method="hardwood")
    found = state(event(1, "struck", "frame"), event(20, "rooted"), of=wood)
    assert found.done
    assert not found.standing


def test_a_chilled_crop_is_first_sown_into_the_cold_and_later_started() -> None:
    first = state(event(1, "sown", "frame"), of=ROWAN)
    then = state(event(1, "sown", "frame"), event(25, "started", "bench"), of=ROWAN)
    assert (first.stage, first.space) == ("chill", "frame")
    assert (then.stage, then.space) == ("start", "bench")
    assert date(2027, 2, 25) == then.since


def test_emergence_in_the_cold_skips_the_start() -> None:
    found = state(event(1, "sown", "frame"), event(25, "emerged"), of=ROWAN)
    assert (found.stage, found.stage_index) == ("pot-up", 2)


def test_a_move_changes_the_space_and_not_the_stage() -> None:
    found = state(event(6, "sown", "propagator"), event(9, "moved", "bench"))
    assert (found.stage, found.space) == ("start", "bench")
    assert date(2027, 2, 6) == found.since
    assert date(2027, 2, 9) == found.here_since


def test_a_space_that_is_not_in_the_season_counts_as_not_said() -> None:
    found = state(event(6, "sown", "propagator"), event(9, "moved", "attic"))
    assert found.space == "propagator"


def test_hardening_and_planting_out() -> None:
    hard = state(event(6, "sown", "propagator"), event(20, "hardening", "frame"))
    out = state(event(6, "sown", "propagator"), event(21, "planted-out"))
    assert (hard.stage, hard.stage_index, hard.space) == ("harden", 3, "frame")
    assert out.done


def test_losses_reduce_the_count_and_all_of_it_is_lost() -> None:
    some = state(event(6, "sown", "bench", count=60), event(9, "lost", count=25))
    rest = state(
        event(6, "sown", "bench", count=60),
        event(9, "lost", count=25),
        event(10, "lost", count=35),
    )
    whole = state(event(6, "sown", "bench", count=60), event(9, "lost"))
    assert (some.count, some.lost) == (35, False)
    assert rest.lost
    assert (whole.count, whole.lost) == (0, True)


def test_sowing_again_after_a_loss_begins_afresh() -> None:
    found = state(
        event(6, "sown", "bench", count=60),
        event(9, "lost"),
        event(12, "sown", "frame", count=40),
    )
    assert (found.stage, found.space, found.count) == ("start", "frame", 40)
    assert date(2027, 2, 12) == found.since
    assert found.standing


def test_rows_count_in_order_of_time_whatever_their_order_in_the_file() -> None:
    found = state(event(20, "pricked-out", "bench"), event(6, "sown", "propagator"))
    assert found.stage == "prick-out"


def test_what_is_noted_after_today_has_not_happened_yet() -> None:
    events = (event(6, "sown", "propagator"), event(20, "pricked-out", "bench"))
    found = state(*events, today=date(2027, 2, 10))
    assert (found.stage, found.space) == ("start", "propagator")


def test_a_daybook_may_begin_in_the_middle() -> None:
    found = state(event(20, "potted-up", "bench", count=12), of=ROWAN)
    assert (found.stage, found.space, found.count) == ("pot-up", "bench", 12)


def test_a_bed_counts_as_made_up_from_its_latest_row() -> None:
    rows = [
        Event(time=datetime(2027, 2, day, 9), event="bed-made-up", space="hotbed")
        for day in (13, 6)
    ]
    assert {"hotbed": date(2027, 2, 13)} == beds_made_up(rows)
    assert {"hotbed": date(2027, 2, 6)} == beds_made_up(rows, today=date(2027, 2, 9))


def stays(*events: Event, of: Crop = LEEK) -> list[tuple[str, int]]:
    return [(s.space, s.since.day) for s in state(*events, of=of).stays]


def test_every_space_of_the_present_stage_is_kept_with_its_first_day() -> None:
    assert stays(
        event(1, "sown", "frame"),
        event(5, "moved", "propagator"),
        event(9, "moved", "bench"),
    ) == [("frame", 1), ("propagator", 5), ("bench", 9)]


def test_a_new_stage_begins_its_stays_anew_where_the_batch_stands() -> None:
    assert stays(
        event(1, "sown", "frame"),
        event(5, "moved", "propagator"),
        event(9, "emerged"),
        event(12, "moved", "bench"),
    ) == [("propagator", 9), ("bench", 12)]


def test_an_event_of_the_same_stage_and_space_adds_no_stay() -> None:
    assert stays(
        event(1, "sown", "frame"),
        event(5, "pricked-out", "bench"),
        event(7, "pricked-out", "bench"),
        event(8, "emerged"),
        event(9, "moved", "bench"),
    ) == [("bench", 5)]


def test_a_space_left_on_the_day_it_came_there_is_no_stay() -> None:
    there_and_back = (
        event(1, "sown", "frame"),
        event(5, "moved", "propagator"),
        event(5, "moved", "frame"),
    )
    assert stays(*there_and_back) == [("frame", 1)]
    assert stays(event(1, "sown", "frame"), event(1, "moved", "bench")) == [
        ("bench", 1)
    ]


def test_stays_begin_with_the_stage() -> None:
    found = state(event(1, "sown"), event(4, "moved", "bench"))
    assert found.stays == (Stay("", found.since), Stay("bench", date(2027, 2, 4)))


def left(*events: Event, of: Crop = LEEK, **over: Any) -> int | None:
    return state(*events, of=of, **over).count


def test_a_start_without_a_number_counts_as_all_that_was_to_be_started() -> None:
    begun, lost = event(6, "sown", "bench"), event(9, "lost", count=5)
    assert left(begun, sown={"leek": 60}) == 60
    assert left(begun, lost, sown={"leek": 60}) == 55
    assert left(event(6, "sown", count=50), lost, sown={"leek": 60}) == 45
    assert left(begun, lost) is None


def test_seeds_are_no_plants_until_they_are_counted_again() -> None:
    sown = event(6, "sown", "bench", count=60)
    for name in ("emerged", "pricked-out"):
        assert left(sown, event(18, name)) is None
        assert left(sown, event(18, name, count=45)) == 45
    assert left(sown, event(18, "emerged", count=45), event(25, "pricked-out")) == 45


def test_losses_after_an_uncounted_emergence_come_off_the_plants_kept() -> None:
    rows = (
        event(6, "sown", "bench", count=60),
        event(18, "emerged"),
        event(20, "lost", count=12),
    )
    assert left(*rows, wanted={"leek": 40}) == 28
    assert left(*rows) == 48


def test_losses_before_an_uncounted_emergence_are_not_forgotten() -> None:
    rows = (
        event(6, "sown", "bench", count=60),
        event(9, "lost", count=25),
        event(18, "emerged"),
    )
    assert left(*rows, wanted={"leek": 40}) == 35
    assert left(*rows, wanted={"leek": 30}) == 30


def test_planting_out_some_leaves_the_rest_standing() -> None:
    rows = (event(6, "sown", "bench"), event(18, "emerged", count=40))
    some = state(*rows, event(25, "planted-out", count=15))
    rest = state(
        *rows, event(25, "planted-out", count=15), event(27, "planted-out", count=25)
    )
    gone = state(*rows, event(25, "planted-out", count=15), event(27, "lost", count=25))
    assert (some.count, some.standing) == (25, True)
    assert (rest.done, rest.count) == (True, 40)
    assert (gone.done, gone.lost, gone.count) == (True, False, 15)


def test_planting_out_without_a_number_is_all_of_it() -> None:
    rows = (event(6, "sown", "bench"), event(18, "emerged", count=40))
    counted = state(*rows, event(25, "planted-out"))
    unknown = state(event(6, "sown", "bench"), event(25, "planted-out"))
    assert (counted.done, counted.count) == (True, 40)
    assert (unknown.done, unknown.lost) == (True, False)


def test_planting_out_all_that_was_wanted_of_an_uncounted_batch_ends_it() -> None:
    rows = (event(6, "sown", "bench"), event(18, "emerged"))
    known = {"sown": {"leek": 60}, "wanted": {"leek": 40}}
    some = state(*rows, event(25, "planted-out", count=30), **known)
    whole = state(*rows, event(25, "planted-out", count=40), **known)
    assert (some.standing, some.count) == (True, 10)
    assert whole.done


def test_what_is_lost_stays_lost_when_it_is_moved() -> None:
    found = state(event(6, "sown", "bench"), event(9, "lost"), event(10, "moved"))
    assert found.lost


def test_bringing_a_chilled_batch_out_of_the_cold_keeps_its_count() -> None:
    rows = (event(1, "sown", count=30), event(9, "lost", count=4))
    assert left(*rows, event(25, "started", "bench"), of=ROWAN) == 26
