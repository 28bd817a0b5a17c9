"""What the page of batches says, without a terminal."""

from dataclasses import replace
from datetime import date

import pytest
from tui_desks import State, make_desk, read_garden

from propsched.domain.batch import Pin
from propsched.tui.desk import Desk
from propsched.tui.views import asking, batch_forms
from propsched.tui.views.batch import batch_lines, event_text, noted_of
from propsched.tui.views.batches import BatchesOpen, BatchesView, batches_view
from propsched.tui.views.batches_book import (
    ORDERS,
    STATES,
    BatchesBook,
    BatchRow,
    batches_book,
    matching,
    ordered,
)
from propsched.tui.views.pieces import text_of

SIZES = [(80, 19), (120, 36), (160, 46), (44, 22), (20, 5)]
TODAY = date(2027, 3, 6)


def _book(desk: Desk | None = None) -> BatchesBook:
    book = batches_book(desk or make_desk())
    assert book is not None
    return book


def _row(name: str, desk: Desk | None = None) -> BatchRow:
    row = _book(desk).of(name)
    assert row is not None
    return row


def _view(
    desk: Desk, at: BatchesOpen | None = None, size: tuple[int, int] = (80, 40)
) -> BatchesView:
    width, height = size
    return batches_view(
        desk, batches_book(desk), at or BatchesOpen(), width=width, height=height
    )


def _text(desk: Desk, at: BatchesOpen | None = None) -> str:
    return "\n".join(_view(desk, at).lines)


def _one(name: str, desk: Desk | None = None, width: int = 80) -> str:
    desk = desk or make_desk()
    assert desk.opened is not None
    lines, _ = batch_lines(desk.opened, _row(name, desk), width, buttons=True)
    return "\n".join(map(text_of, lines))


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


def test_without_a_plan_batches_are_there_all_the_same() -> None:
    text = _text(make_desk("unplanned"))
    assert "12 of 12 batches" in text
    assert "–/24" in text


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("lost", {"leek"}), ("dead", {"leek"}), ("planted out", {"onion"}),
        ("late", {"tomato", "chilli", "cucumber"}), ("hardened", {"bean"}),
        ("early", {"lettuce-1"}), ("left out", {"aubergine"}),
        ("unplanned", {"aubergine"}), ("germinated", {"tomato"}),
        ("standing border", {"currants"}),
    ],
)  # fmt: skip
def test_words_for_states_and_for_late_and_early_find(
    words: str, names: set[str]
) -> None:
    assert {row.name for row in matching(_book(_timed()).rows, words)} == names


def _timed() -> Desk:
    """With a batch that is ready three weeks before it is wanted."""
    desk = make_desk()
    assert desk.opened is not None
    plan = desk.opened.plan
    assert plan is not None
    own = tuple(
        replace(one, wanted_by=date(2027, 5, 9)) if one.batch == "lettuce-1" else one
        for one in plan.batches
    )
    opened = replace(desk.opened, plan=replace(plan, batches=own))
    return replace(desk, opened=opened)


def test_a_batch_of_which_some_are_lost_is_found_too() -> None:
    desk = make_desk()
    assert desk.opened is not None
    files = desk.opened.files
    gone = replace(files.daybook[-1], batch="tomato", event="lost", count=3)
    files = replace(files, daybook=(*files.daybook, gone))
    opened = replace(desk.opened, loaded=replace(desk.opened.loaded, files=files))
    rows = _book(replace(desk, opened=opened)).rows
    assert {row.name for row in matching(rows, "lost")} == {"leek", "tomato"}


def test_every_batch_has_its_state_in_one_word() -> None:
    assert {row.name: row.state for row in _book().rows} == {
        "currants": "struck", "vine": "rooted", "bean": "hardening", "onion": "out",
        "leek": "lost", "tomato": "emerged", "chilli": "sown", "lettuce-1": "waiting",
        "lettuce-2": "waiting", "lettuce-3": "waiting", "cucumber": "waiting",
        "aubergine": "left out",
    }  # fmt: skip


def test_a_row_has_all_that_is_asked_for() -> None:
    line = next(one for one in _view(make_desk()).lines if " tomato" in one)
    # by the plan of the garden: pricked out on 13 March, ready 22 May at the latest,
    # wanted on 20 May, 23 of 24 plants
    assert line.split() == [
        "tomato", "emerged", "propagator", "prick", "out", "13", "Mar", "22", "May!",
        "23/24", "5",
    ]  # fmt: skip


def test_what_is_planted_out_counts_what_went_out() -> None:
    row = _row("onion")
    assert (row.plants_text, row.next_text, row.ready_text) == ("131 out", "", "")
    assert _row("leek").plants_text == "none"


@pytest.mark.parametrize("state", ["planned", "planning", "tried", "unplanned"])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("opened", [False, True])
def test_it_fits_every_size(state: State, size: tuple[int, int], opened: bool) -> None:
    width, height = size
    view = _view(make_desk(state), BatchesOpen(batch="tomato", opened=opened), size)
    assert 0 < len(view.drawn) <= height
    if width >= 44:
        assert max(map(len, view.lines)) <= width


def test_the_cursor_is_among_the_rows_shown() -> None:
    for name in ("currants", "cucumber", "aubergine"):
        view = _view(make_desk(), BatchesOpen(batch=name), (80, 8))
        assert name in view.names
        assert any(line.startswith(f"▸{name}") for line in view.lines)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("seed propagator", {"tomato", "chilli", "cucumber"}),
        ("INVENTED", {"currants"}),
        ("lettuce hotbed", {"lettuce-1", "lettuce-2"}),
        ("pergola", {"vine"}),
        ("left out", {"aubergine"}),
        ("hardwood struck", {"currants"}),
        ("priority 5", {"tomato"}),
        ("tomato lost", set()),
    ],
)
def test_all_words_must_match(words: str, found: set[str]) -> None:
    rows = matching(_book().rows, words)
    # hardening and propagator name spaces and states of several
    assert {row.name for row in rows} & {*found, "leek", "onion", "bean"} == found


def test_how_many_are_shown_is_told() -> None:
    text = _text(make_desk(), BatchesOpen(words="lettuce"))
    assert '3 of 12 batches with "lettuce", by next date' in text
    text = _text(make_desk(), BatchesOpen(words="nothing like it"))
    assert "0 of 12 batches" in text
    assert "esc shows all" in text


def test_orders() -> None:
    rows = _book().rows
    for order in ORDERS:
        assert sorted(r.name for r in ordered(rows, order)) == sorted(
            r.name for r in rows
        )
    names = [row.name for row in ordered(rows, "batch")]
    assert names == sorted(names)
    states = [STATES.index(row.state) for row in ordered(rows, "state")]
    assert states == sorted(states)
    dates = [row.next.date for row in ordered(rows, "next") if row.next]
    assert dates == sorted(dates)
    spaces = [row.space for row in ordered(rows, "space")]
    assert spaces == [*sorted(s for s in spaces if s), *(s for s in spaces if not s)]


def test_one_batch_tells_its_way_its_reason_and_what_was_noted() -> None:
    text = _one("tomato")
    for part in (
        "tomato – tomato from seed",
        "24 wanted by 20 May, priority 5 (5 matters most).",
        "Emerged: seedlings in propagator since 28 Feb, 27 of them.",
        "Expected: 23 plants, ready 16 May, at the latest 22 May – later than wanted!",
        "● 28 Feb – 13 Mar  propagator", "20.7 °C", "stands there",
        "○ 13 Mar – 2 May   bench", "pricked out; 24 × 9cm-pot",
        "the next best place is the windowsill",
        "Sat 13 Mar: Prick out tomato",
        "20 Feb sown 30 in propagator", "28 Feb emerged 27 in propagator",
    ):  # fmt: skip
        assert part in text


def test_hazards_are_told() -> None:
    desk = make_desk()
    assert desk.opened is not None
    assert "Take care" not in _one("vine")
    whole = tuple(
        replace(one, crop=replace(one.crop, hazard="The sap burns skin."))
        for one in desk.opened.whole
    )
    desk = replace(desk, opened=replace(desk.opened, whole=whole))
    assert "Take care\n  ! The sap burns skin." in _one("vine", desk)


def test_states_are_told_in_a_sentence() -> None:
    assert "Out, 131 planted out." in _one("onion")
    assert "Lost: nothing is left." in _one("leek")
    assert "Left out of the plan." in _one("aubergine")
    assert "it cannot be ready by 1 April" in " ".join(_one("aubergine").split())
    assert "stands over the season's end" in _one("currants")
    assert "Waiting to be begun" in _one("cucumber")
    assert "1 Mar lost 240 in windowsill – slugs" in _one("leek")
    assert "eyes from the pergola" in _one("vine")


def _pinned(*pins: Pin) -> Desk:
    desk = make_desk()
    assert desk.opened is not None
    files = replace(desk.opened.files, pins=pins)
    loaded = replace(desk.opened.loaded, files=files)
    return replace(desk, opened=replace(desk.opened, loaded=loaded))


def test_pins_stand_beside_their_stage() -> None:
    pin = Pin(batch="cucumber", stage="start", space="bench", start=date(2027, 4, 3))
    text = " ".join(_one("cucumber", _pinned(pin)).split())
    assert "pinned: bench from 3 Apr" in text
    other = Pin(batch="aubergine", stage="start", start=date(2027, 3, 3))
    text = _one("aubergine", _pinned(other))
    assert "Pinned, not in the plan" in text
    assert "pinned: any space from 3 Mar" in text


def test_the_daybook_of_the_whole_is_that_of_the_half() -> None:
    desk = make_desk()
    assert desk.opened is not None
    told = [event_text(one) for one in noted_of(desk.opened, _row("bean"))]
    assert told == [
        "16 Jan sown 52 in frame", "6 Feb emerged 50 in frame",
        "27 Feb hardening 50 in frame",
    ]  # fmt: skip


def test_hostile_text_is_plain() -> None:
    desk = make_desk()
    assert desk.opened is not None
    bad = "\x1b[31m[red]x[/]"
    whole = tuple(
        replace(one, batch=replace(one.batch, variety=bad, note=bad))
        for one in desk.opened.whole
    )
    desk = replace(desk, opened=replace(desk.opened, whole=whole))
    text = _one("tomato", desk) + _text(desk)
    assert "\x1b" not in text
    assert "[red]x[/]" in text


# the questions


def _events(name: str) -> list[str]:
    return list(batch_forms.events_now(_row(name)))


def test_events_are_those_that_may_well_be_next() -> None:
    assert _events("cucumber") == ["sown"]
    assert _events("chilli")[:2] == ["emerged", "pricked-out"]
    assert _events("currants")[0] == "rooted"
    assert "potted-up" not in _events("tomato")
    assert _events("bean") == ["moved", "lost", "planted-out"]
    assert _events("onion") == _events("leek") == []


def test_a_note_needs_what_its_event_needs() -> None:
    desk = make_desk()
    assert desk.opened is not None
    form = batch_forms.note_form(desk.opened, _row("bean"))
    assert form is not None
    assert "where to" in batch_forms.lacking(form)
    form = asking.turned(form, 1)
    assert "how many" in batch_forms.lacking(form)
    form = asking.typed(asking.moved(form, 9), "3")
    assert batch_forms.lacking(form) == ""
    assert batch_forms.told(form) == ("lost", ("3",))
    assert batch_forms.note_form(desk.opened, _row("onion")) is None


def test_a_start_is_noted_where_it_is_planned() -> None:
    desk = make_desk()
    assert desk.opened is not None
    form = batch_forms.note_form(desk.opened, _row("cucumber"))
    assert form is not None
    assert form.text("space") == "propagator"
    assert batch_forms.told(form) == ("sown", ())


def test_a_pin_starts_from_the_plan_and_from_the_pin_there_is() -> None:
    desk, row = _pinned(), _row("cucumber")
    assert desk.opened is not None
    form = batch_forms.pin_form(desk.opened, row)
    assert form is not None
    assert "Planned: propagator, 10 Apr." in form.hint
    pin = batch_forms.pin_of(form, row)
    assert pin == Pin(batch="cucumber", stage="start", space="propagator")
    pin = Pin(batch="cucumber", stage="start", space="bench", start=date(2027, 4, 3))
    form = batch_forms.pin_form(_pinned(pin).opened, row)  # type: ignore[arg-type]
    assert form is not None
    assert "Now pinned: bench from 3 Apr." in form.hint
    assert batch_forms.pin_of(form, row) == pin
    form = asking.rubbed(asking.moved(form, 2))
    while form.text("space") != batch_forms.UNPINNED:
        form = asking.turned(form, 1, 1)
    assert batch_forms.pin_of(form, row) is None


def test_only_stages_that_are_not_over_can_be_pinned() -> None:
    desk = make_desk()
    assert desk.opened is not None
    form = batch_forms.pin_form(desk.opened, _row("tomato"))
    assert form is not None
    stages = [value for value, _ in form.questions[0].options]
    assert "start" not in stages
    assert "harden" in stages
    assert batch_forms.pin_form(desk.opened, _row("leek")) is None


def test_halves_count_as_their_row_where_the_plan_splits_it() -> None:
    desk = make_desk()
    assert desk.opened is not None
    plan = read_garden().opened.plan
    assert plan is not None
    half = [
        replace(p, space="bench", area_m2=p.area_m2 / 2)
        for p in plan.placements
        if p.batch == "cucumber"
    ]
    plan = replace(plan, placements=(*plan.placements, *half))
    split = replace(desk, opened=replace(desk.opened, plan=plan))
    row = _row("cucumber", split)
    assert len(row.ways) == 2
    assert "Way of half 2" in _one("cucumber", split)
    assert row.next is not None
