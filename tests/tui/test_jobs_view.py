"""What the page of jobs says, without a terminal."""

from dataclasses import replace
from datetime import date

import pytest
from tui_desks import State, make_desk, read_garden

from propsched.advice.job import DUTIES, Job
from propsched.service.answers import JobsAnswer
from propsched.tui.desk import Desk
from propsched.tui.views.jobs import JobsOpen, jobs_view
from propsched.tui.views.jobs_book import Ticked, details, jobs_book, key_of, last_tick
from propsched.tui.views.tick_form import asked

SIZES = [(80, 20), (120, 36), (160, 46), (44, 22), (20, 5)]


def _text(desk: Desk, at: JobsOpen | None = None, size: tuple[int, int] = (80, 40)):
    width, height = size
    return "\n".join(
        jobs_view(desk, at or JobsOpen(), width=width, height=height).lines
    )


def _job(day: date, **over: object) -> Job:
    plain = {"kind": "sow", "batch": "leek", "crop": "leek", "stage": "start",
             "what": "Sow leek: 200 in 2 × tray → house", "space": "house",
             "minutes": 10, "count": 200}  # fmt: skip
    return Job(**{"date": day, **plain, **over})  # type: ignore[arg-type]


def _desk(*rows: Job, **over: object) -> Desk:
    desk = make_desk()
    assert desk.opened is not None
    answer = JobsAnswer(today=desk.opened.today, rows=rows, **over)  # type: ignore[arg-type]
    return replace(desk, jobs=answer)


TODAY = date(2027, 3, 6)


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("unread", "Reading the files"),
        ("faulty", "x lists them"),
        ("empty", "leek,leek,seed,200"),
        ("unplanned", "p plans the season"),
    ],
)
def test_with_nothing_to_show_it_says_what_to_do(state: State, said: str) -> None:
    assert said in _text(make_desk(state))


def test_while_the_first_plan_is_made_it_says_so() -> None:
    planning = make_desk("planning").planning
    assert "being made" in _text(make_desk("unplanned", planning=planning))


@pytest.mark.parametrize("state", ["planned", "planning", "tried"])
@pytest.mark.parametrize("size", SIZES)
def test_it_fits_every_size(state: State, size: tuple[int, int]) -> None:
    width, height = size
    view = jobs_view(make_desk(state), JobsOpen(), width=width, height=height)
    assert 0 < len(view.drawn) <= height
    if width >= 44:
        assert max(map(len, view.lines)) <= width
    assert view.book is not None
    keys = [key for key in view.keys if key]
    assert view.at.cursor in keys or height < 10


def test_all_jobs_of_the_answer_are_there() -> None:
    desk = make_desk()
    book = jobs_book(desk)
    assert book is not None
    assert desk.jobs is not None
    assert {row.key for row in book.rows} == {key_of(job) for job in desk.jobs.rows}


def test_overdue_comes_first_then_days_then_duties() -> None:
    late = _job(date(2027, 2, 28), batch="late", overdue=True,
                what="Sow late (was due 28 February)")  # fmt: skip
    duty = Job(date=TODAY, kind="ventilate", what="Open house", space="house",
               until=date(2027, 3, 19))  # fmt: skip
    text = _text(_desk(_job(TODAY), duty, _job(date(2027, 3, 7), batch="b"), late))
    places = [
        text.index(part)
        for part in ("Overdue, 1 job", "overdue 28 Feb", "Sat 6 Mar, today",
                     "Sun 7 Mar, tomorrow", "Besides, on any day", "Open house")
    ]  # fmt: skip
    assert places == sorted(places)
    assert "was due 28 February)" not in text.split("─")[0]


def test_a_day_tells_its_minutes_and_what_is_too_much() -> None:
    read = read_garden()
    assert read.jobs is not None
    work = replace(read.jobs.days[0], date=TODAY, minutes=300, of_minutes=140,
                   overdue_minutes=0, compost_l={"seed compost": 0.5})  # fmt: skip
    text = _text(_desk(_job(TODAY, minutes=300), days=(work,)))
    assert "300 min of 140 – too much for the day; seed compost 0.5 l" in text


def test_what_is_ticked_off_stays_until_it_is_taken_back() -> None:
    job = _job(TODAY)
    before = _desk(job)
    ticked = Ticked(job, date(2027, 3, 5), 3, before=before.opened)
    at = JobsOpen(ticked=(ticked,))
    assert "[✓] Sow leek" in _text(before, at)
    read = replace(read_garden().opened)  # read anew: another object
    after = replace(_desk(), opened=read)
    text = _text(after, at)
    assert "[✓] Sow leek" in text
    assert "done 5 Mar, 3 lost" in text
    book = jobs_book(after, 14, at.ticked)
    assert book is not None
    assert last_tick(at.ticked, book) is ticked
    again = replace(_desk(job), opened=read)
    assert "[ ] Sow leek" in _text(again, at)


def test_nothing_to_do_names_the_next_job() -> None:
    desk = make_desk()
    assert desk.opened is not None and desk.jobs is not None  # noqa: PT018
    duties = tuple(job for job in desk.jobs.rows if job.kind in DUTIES)
    text = _text(replace(desk, jobs=replace(desk.jobs, rows=duties)))
    assert "Nothing to do in the next 14 days." in text
    assert "Next: " in text
    assert "+ looks further ahead" in " ".join(text.split())


def test_a_longer_span_has_more_jobs() -> None:
    desk = make_desk()
    few, more = jobs_book(desk, 7), jobs_book(desk, 28)
    assert few is not None
    assert more is not None
    assert {r.key for r in few.rows if r.ticks} < {r.key for r in more.rows if r.ticks}


def test_details_have_containers_compost_label_and_caution() -> None:
    job = _job(TODAY, compost="seed compost", compost_l=8.0, overdue=True,
               label=("leek", "sown 6 Mar 2027"), caution="Poisonous.",
               from_space="frame")  # fmt: skip
    row = next(r for r in jobs_book(_desk(job)).rows)  # type: ignore[union-attr]
    assert details(row, TODAY) == (
        "Sow leek: 200 in 2 × tray → house.",
        "Overdue: was due 6 March.",
        "Stands in frame now.",
        "Fill with seed compost, 8 l.",
        "Label: leek / sown 6 Mar 2027.",
        "Take care: Poisonous.",
    )


def test_hostile_text_is_plain() -> None:
    text = _text(_desk(_job(TODAY, what="Sow \x1b[31m[red]x[/]", caution="a\nb\x07")))
    assert "\x1b" not in text
    assert "\x07" not in text
    assert "[red]x[/]" in text


def test_a_command_is_not_told_where_a_key_does_it() -> None:
    job = _job(
        TODAY,
        kind="note",
        what="Look whether leek is up and note it: propsched note S emerged leek",
    )
    text = _text(_desk(job))  # fmt: skip
    assert "[ ] Look whether leek is up and note it\n" in text
    assert "propsched note" not in text


# the questions


def test_the_questions_start_as_if_all_went_well_today() -> None:
    form = asked(_job(TODAY), TODAY, date(2027, 1, 2))
    assert [one.name for one in form.asking.questions] == ["day", "lost", "count"]
    assert (form.day, form.lost, form.count) == (None, 0, None)
    bed = Job(date=TODAY, kind="make up bed", what="Make up hotbed", space="hotbed")
    alone = asked(bed, TODAY, TODAY).asking.questions
    assert [one.name for one in alone] == ["day"]
    moved = asked(_job(TODAY, kind="move"), TODAY, TODAY).asking.questions
    assert [one.name for one in moved] == ["day", "lost"]


@pytest.mark.parametrize(("size", "high"), [((80, 20), 1), ((44, 30), 3)])
def test_every_button_of_the_questions_can_be_pressed(
    size: tuple[int, int], high: int
) -> None:
    width, height = size
    form = asked(_job(TODAY), TODAY, date(2027, 1, 2))
    view = jobs_view(
        _desk(_job(TODAY)), JobsOpen(form=form), width=width, height=height
    )
    for action in ("form_turn(0, -1)", "form_turn(1, 10)", "form_turn(2, -1)",
                   "form_done", "form_drop"):  # fmt: skip
        spots = [spot for spot in view.spots if spot.action == action]
        assert len(spots) == high
        for spot in spots:
            drawn = view.lines[spot.row][spot.first : spot.last + 1]
            assert drawn.strip() == drawn
            assert len(drawn) == spot.last - spot.first + 1


def test_an_older_plan_is_made_anew_by_a_key() -> None:
    desk = make_desk()
    assert desk.jobs is not None
    told = "noted otherwise than planned – vine: 9 lost"
    again = f"{told}: propsched replan plans again, near it"
    book = jobs_book(replace(desk, jobs=replace(desk.jobs, notes=(again,))))
    assert book is not None
    assert book.notes == (f"{told}: p plans again",)
