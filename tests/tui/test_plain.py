"""The dialogue in plain lines."""

import io
from pathlib import Path

import pytest
from tui_desks import ScriptedBackend, State, make_desk
from tui_season import TODAY, write_garden

from propsched.domain.plan import Plan
from propsched.errors import PinsImpossibleError
from propsched.tui import asks
from propsched.tui.backend import Backend
from propsched.tui.plain import Dialogue


def talk(backend: Backend, *typed: str) -> str:
    out = io.StringIO()
    lines = io.StringIO("".join(f"{line}\n" for line in typed))
    Dialogue(backend.folder, backend=backend).run(lines, out)
    return out.getvalue()


def scripted(state: State = "planned") -> ScriptedBackend:
    return ScriptedBackend(make_desk(state))


def test_it_begins_with_the_season_and_what_can_be_asked() -> None:
    said = talk(scripted())
    assert said.startswith("Spring garden (invented) · Sat 6 Mar · 9 of 10 batches")
    assert "4: jobs of the next fortnight" in said


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("1", "propagator"),
        ("w bench", "bench."),
        ("3", "leek: lost."),
        ("b tomato", "the next best place is the windowsill"),
        ("3 aubergine", "not placed: it cannot be ready by 1 April"),
        ("3 pear", "There is no batch pear."),
        ("4", "1. Sow lettuce"),
        ("6 frame border", "frame is warmer than border"),
        ("7", "frame"),
        ("8", "The files are in order"),
        ("9", "When they came"),
        ("accept", "Not done: nothing was tried"),
        ("done 99", "Not done: no job 99"),
        ("done x", "Not done: 'x' is no number"),
        ("5 frame", "Not done: 5 SPACE FIGURES"),
        ("5 frame warm", "Not done: 'warm' is no figure"),
        ("6 frame", "Not done: 6 SPACE SPACE"),
        ("w nowhere", "Not done: no space nowhere"),
        ("sing", "sing is not known here"),
        ("", "Sat 6 Mar"),
    ],
)
def test_each_page_answers(typed: str, told: str) -> None:
    before = talk(scripted())
    assert told in talk(scripted(), typed).removeprefix(before)


def test_of_one_space_nothing_else_is_told() -> None:
    before = talk(scripted())
    said = talk(scripted(), "2 bench").removeprefix(before)
    assert said.startswith("bench.")
    assert "windowsill." not in said


def test_a_reading_a_tick_and_an_undo_reach_the_service() -> None:
    backend = scripted()
    talk(backend, "5 frame 9,7 9.9", "done 1 lost 2 on 2027-03-05", "u", "u reading")
    reading, tick, undo, of_readings = backend.heard
    assert isinstance(reading, asks.NoteReading)
    assert (reading.space, reading.temps_c) == ("frame", (9.7, 9.9))
    assert isinstance(tick, asks.Tick)
    assert (tick.job.kind, tick.lost, str(tick.day)) == ("sow", 2, "2027-03-05")
    assert isinstance(undo, asks.Undo)
    assert isinstance(of_readings, asks.Undo)
    assert of_readings.what == "reading"


def test_planning_tells_its_steps_and_keeps_the_plan() -> None:
    backend = scripted("unplanned")
    said = talk(backend, "p", "q", "never read")
    assert "Planning – solving, 0 s – ctrl-c stops" in said
    assert "A new plan is saved" in said
    assert isinstance(backend.heard[-1], Plan)
    assert "never" not in said


def test_a_cold_spell_is_tried_and_accepted() -> None:
    backend = scripted()
    said = talk(backend, "7 8 6", "accept")
    tried = backend.heard[0]
    assert isinstance(tried, asks.TryOut)
    (spell,) = tried.change.cold
    assert (spell.drop_k, spell.days, str(spell.first)) == (8.0, 6, "2027-03-07")
    assert "The plan that was tried is in force." in said
    assert "Not done" in talk(scripted(), "7 8 6", "leave", "accept")


def test_what_is_impossible_is_said_and_it_goes_on() -> None:
    backend = scripted()
    backend.fails = PinsImpossibleError("two pins on one tray")
    said = talk(backend, "p", "4")
    assert "Not done: two pins on one tray" in said
    assert "1. Sow lettuce" in said


def test_a_fault_of_ours_is_not_hidden() -> None:
    backend = scripted()
    backend.fails = RuntimeError("no such thing")
    with pytest.raises(RuntimeError, match="no such thing"):
        talk(backend, "p")


def test_faulty_files_are_listed_whatever_is_asked() -> None:
    said = talk(scripted("faulty"), "4")
    assert "batches.csv, line 7: crop" in said


def test_files_changed_meanwhile_are_read(tmp_path: Path) -> None:
    write_garden(tmp_path)
    backend = Backend(tmp_path, TODAY)
    said = talk(backend, "5 frame 7.5")
    assert "Noted: frame" in said
    readings = (tmp_path / "readings.csv").read_text()
    assert readings.splitlines()[-1].split(",")[3] == "7.5"


def test_no_control_characters_come_out() -> None:
    said = talk(scripted(), "1", "2", "3", "4", "8", "?", "\x1b[2J")
    assert not [c for c in said if ord(c) < 32 and c != "\n"]
