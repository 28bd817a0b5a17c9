"""What is supposed and what it would change, without a terminal."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from tui_desks import garden_nights, garden_replanned, make_desk
from tui_season import TODAY

from propsched.service.change import Change, Late, Lost, Without
from propsched.thermal.snap import Spell
from propsched.tui.desk import Desk
from propsched.tui.pages.cold import change_of
from propsched.tui.views.cold import ColdView, cold_view
from propsched.tui.views.nights import night_lines
from propsched.tui.views.supposing import (
    Limits,
    Supposing,
    limits_of,
    moved,
    rubbed,
    said,
    turned,
    typing,
    usual,
    value_text,
)
from propsched.tui.views.tried import accepted_lines, tried_lines

TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def limits() -> Limits:
    found = limits_of(make_desk())
    assert found is not None
    return found


@pytest.fixture
def now(limits: Limits) -> Supposing:
    return usual(limits, make_desk(batch="tomato", space="frame"))


def _keyed(now: Supposing, text: str, limits: Limits) -> Supposing:
    for character in text:
        now = typing(now, character, limits)
    return now


def _on(now: Supposing, field: str) -> Supposing:
    return moved(now, now.fields.index(field) - now.at)  # type: ignore[arg-type]


def _view(desk: Desk, width: int = 80) -> ColdView:
    found = limits_of(desk)
    return cold_view(desk, None if found is None else usual(found, desk), width=width)


def test_it_is_eight_degrees_colder_for_three_days_from_tomorrow(
    now: Supposing,
) -> None:
    assert said(now) == "8 °C colder for 3 days from 7 Mar"
    assert change_of(now) == Change(cold=(Spell(first=TOMORROW, days=3, drop_k=8.0),))


def test_arrows_turn_each_value_within_bounds(now: Supposing, limits: Limits) -> None:
    assert turned(_on(now, "drop"), 1, limits).drop_c == 9
    assert turned(_on(now, "drop"), -20, limits).drop_c == 1
    assert turned(_on(now, "days"), 500, limits).days == 120
    later = turned(_on(now, "first"), 7, limits)
    assert later.first == TOMORROW + timedelta(days=7)
    assert turned(_on(now, "first"), -9, limits).first == TODAY
    assert turned(_on(now, "first"), 999, limits).first == limits.end


def test_numbers_and_days_can_be_typed(now: Supposing, limits: Limits) -> None:
    drop = _keyed(_on(now, "drop"), "12", limits)
    assert (drop.drop_c, drop.refused) == (12, "")
    assert rubbed(drop, limits).drop_c == 1
    much = _keyed(_on(now, "drop"), "45", limits)
    assert much.refused == "45 – must be 1 to 30"
    assert value_text(much, "drop") == "45?"
    day = _keyed(_on(now, "first"), "12.4", limits)
    assert (day.first, day.refused) == (date(2027, 4, 12), "")
    late = _keyed(_on(now, "first"), "12.8", limits)
    assert late.refused == "12 Aug – must be 6 Mar to 30 May"


def test_other_things_can_be_supposed(now: Supposing, limits: Limits) -> None:
    lost = turned(_on(now, "kind"), 1, limits)
    assert said(lost) == "all of tomato lost"
    assert change_of(lost) == Change(lost=(Lost(batch="tomato"),))
    some = _keyed(_on(lost, "count"), "12", limits)
    assert change_of(some) == Change(lost=(Lost(batch="tomato", count=12),))
    other = turned(_on(lost, "batch"), 1, limits)
    assert other.batch == "chilli"
    late = turned(lost, 1, limits)
    assert said(late) == "tomato not to be had before 7 Mar"
    assert change_of(late) == Change(late=(Late(batch="tomato", first=TOMORROW),))
    out = turned(late, 1, limits)
    assert said(out) == "frame out of use from 7 Mar to 13 Mar"
    last = TOMORROW + timedelta(days=6)
    assert change_of(out) == Change(
        without=(Without(space="frame", first=TOMORROW, last=last),)
    )
    assert turned(_on(out, "space"), 1, limits).space == "house"
    assert turned(_on(out, "first"), 30, limits).last == TOMORROW + timedelta(days=30)
    assert turned(_on(out, "last"), -30, limits).last == TOMORROW
    assert turned(out, 1, limits).kind == "cold"
    assert "arrows" in typing(_on(out, "kind"), "1", limits).refused


def test_the_form_stands_above_the_next_nights() -> None:
    view = _view(make_desk(nights=garden_nights()))
    assert view.showing == "form"
    assert [field.here for field in view.fields] == [False, True, False, False]
    told = [line.text for line in view.body]
    assert told[0] == "At risk, nights of 6 Mar to 8 Mar: 1 batch"
    assert "Night of Sun 7 Mar" in told
    assert any(
        line.startswith("! bean in frame: 62 % likely – −7.0 °C (−9.5 to −4.5)")
        for line in told
    )
    helps = "  → lay a fleece (+0.5 °C, 48 % left); or bring in to house (2 % left)"
    assert helps in told
    assert max(len(field.text) for field in view.fields) <= 38


def test_nights_without_risk_say_what_comes_nearest() -> None:
    told = [line.text for line in night_lines(garden_nights(harm=False))]
    assert told[0].startswith("Nothing is at risk")
    assert "Nearest: bean in frame" in told[1]
    nothing = replace(garden_nights(harm=False), nearest=None, standing=0)
    assert "Nothing stands anywhere" in list(night_lines(nothing))[1].text
    assert "Reckoning" in next(night_lines(None)).text


@pytest.mark.parametrize("width", [40, 80, 116])
def test_before_and_after_stand_side_by_side(width: int) -> None:
    told = [line.text for line in tried_lines(garden_replanned(), width)]
    assert told[0] == "1 to protect, 1 delayed, 1 given up; 7 batches unchanged"
    assert told[1] == (
        "6 of 19 placements to come change. Before → after: plants expected 208 → 208, "
        "batches raised 9 → 9, heat to come £17.50 → £17.50, worth 7.41 → 7.20."
    )
    text = "\n".join(told)
    assert "! bean: lay a fleece over frame this evening" in text
    if width >= 70:
        row = next(line for line in told if "lettuce-2" in line)
        assert row.split() == [
            "Sat", "20", "Mar", "delayed", "lettuce-2",
            "hotbed", "20", "Mar", "hotbed", "27", "Mar",
        ]  # fmt: skip
    else:
        assert "  hotbed 20 Mar → hotbed 27 Mar" in told
    assert "no room in the propagator" in text


def test_a_try_out_ends_in_accepting_or_leaving() -> None:
    view = _view(make_desk("tried"))
    assert view.showing == "tried"
    assert "8 °C colder" in view.title
    assert "a puts this plan in force" in view.hint
    done = _view(make_desk(accepted=garden_replanned()))
    assert done.showing == "accepted"
    told = [line.text for line in accepted_lines(garden_replanned())]
    assert told[0].startswith("In force: the plan with 8 °C colder")
    assert "Written: plan.json; the one before is plan.previous.json" in told[1]
    assert "· weather.csv: the forecast of the cold days" in told
    assert "In force" in "\n".join(done.lines)


@pytest.mark.parametrize(
    ("state", "showing", "told"),
    [
        ("unread", "nothing", "Reading the files"),
        ("faulty", "nothing", "x shows them"),
        ("empty", "nothing", "nothing to raise yet"),
        ("unplanned", "nothing", "p plans"),
        ("planning", "busy", "Planning …"),
        ("planned", "form", "What if"),
        ("tried", "tried", "What if: 8 °C colder"),
    ],
)
def test_every_state_says_what_it_is(state: str, showing: str, told: str) -> None:
    view = _view(make_desk(state))  # type: ignore[arg-type]
    assert view.showing == showing
    assert told in "\n".join(view.lines)
