"""Desks in every state, of the garden of ``tui_season``, and a backend by script."""

import math
import threading
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

from textual.pilot import Pilot
from tui_season import TODAY, garden_plan, write_garden

from propsched.domain.plan import Plan
from propsched.errors import InputProblem, InvalidInputError
from propsched.files.write import write_plan
from propsched.service.answers import TempsAnswer, TempsRow
from propsched.service.at_risk import Help, Risk
from propsched.service.comparison import CompareAnswer, CompareDay, CompareRow
from propsched.service.differences import Difference, Differences
from propsched.service.events import Event, Improved, Outcome, Step
from propsched.service.jobs import jobs
from propsched.service.looked_back import Came, LookBack, Losses, SpaceWarmth
from propsched.service.looked_back import Outcome as Became
from propsched.service.noted import NoteAnswer
from propsched.service.opened import Opened, fill_of, open_season
from propsched.service.replan import Beside, Replanned
from propsched.service.settling import SoFar
from propsched.service.tonight import TonightAnswer
from propsched.thermal.compare import Interval
from propsched.tui import asks
from propsched.tui.app import PropschedApp
from propsched.tui.backend import Backend, Emit
from propsched.tui.desk import (
    Begun,
    Desk,
    Excerpt,
    Faulty,
    Happening,
    Read,
    Tried,
    Warm,
    after,
)

State = Literal[
    "unread", "faulty", "empty", "unplanned", "planned", "planning", "tried"
]
FOLDER = Path("garden")
"""What desks are told of: where it was read from must not show in a picture."""
FAULTS = (
    InputProblem(
        "garden/batches.csv", 7, 'crop "tomatoe"', "one of tomato, tomatillo, potato"
    ),
    InputProblem("garden/season.toml", 24, "area_m2 = -1", "must be 0 or more"),
    InputProblem("garden/weather.csv", 0, "is missing", "one row a day"),
)
EVENTS: tuple[Event, ...] = (
    Step("Reading"),
    Step("Simulating"),
    Step("Solving"),
    Improved(6.9, 7.6, 1.5),
    Improved(7.3, 7.5, 3.25),
)


@cache
def read_garden(*, planned: bool = True, batches: bool = True) -> Read:
    """The garden as the service reads it."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        texts: dict[str, str | None] = {}
        if not batches:
            texts["batches_csv"] = (
                "batch,crop,method,wanted\ncurrants,blackcurrant,hardwood,40\n"
            )
            texts |= {"daybook_csv": None, "pins_csv": None, "readings_csv": None}
        write_garden(folder, **texts)
        digests = open_season(folder, today=TODAY).files.digests
        if planned:
            write_plan(folder, garden_plan(inputs=dict(digests)))
        found = jobs(folder, today=TODAY) if planned else None
        return Read(_placed(open_season(folder, today=TODAY)), found)


def _placed(opened: Opened) -> Opened:
    files = replace(opened.files, folder=FOLDER)
    if len(opened.whole) < 2:  # nothing to raise is a season too
        files = replace(files, batches=())
        opened = replace(opened, whole=())
    return replace(opened, loaded=replace(opened.loaded, files=files))


@cache
def garden_temps() -> TempsAnswer:
    """A wave for every space, warmer to spring; readings where the garden has some."""
    season = read_garden().opened.season
    means = {"propagator": 21.0, "bench": 16.0, "windowsill": 15.0, "hotbed": 16.0}
    read = {"frame": {55: 5.0, 56: 6.0, 62: 7.0}, "border": {62: 5.5}, "pond": {62: 6}}
    rows = []
    for space in season.spaces:
        for day in range(season.horizon.days):
            mean = means.get(space.id, 4.0 + day / 12) + math.sin(day / 4)
            when = season.start + timedelta(days=day)
            half = 0.8 if when <= TODAY else 2.5
            seen = read.get(space.id, {}).get(day)
            rows.append(
                TempsRow(
                    date=when,
                    space=space.id,
                    root_mean_c=round(mean, 1),
                    root_min_c=round(mean - 1.5, 1),
                    root_max_c=round(mean + 1.5, 1),
                    low_c=round(mean - half, 1),
                    high_c=round(mean + half, 1),
                    air_min_c=round(mean - 4, 1),
                    source="reading" if seen is not None
                    else "model" if when < TODAY
                    else "forecast" if when < TODAY + timedelta(days=3)
                    else "outlook",
                    model_c=round(mean - 0.2, 1),
                    reading_c=seen,
                )
            )  # fmt: skip
    return TempsAnswer(rows=tuple(rows), notes=())


def garden_outcome(plan: Plan | None = None) -> Outcome:
    read = read_garden()
    plan = plan or read.opened.plan
    assert plan is not None
    season = read.opened.season
    warmth = {
        space.id: tuple(
            row.root_mean_c for row in garden_temps().rows if row.space == space.id
        )
        for space in season.spaces
    }
    return Outcome(
        plan=plan,
        season=season,
        jobs=() if read.jobs is None else read.jobs.rows,
        fill=fill_of(plan, season),
        warmth=warmth,
    )


def garden_replanned() -> Replanned:
    """What a cold spell would change."""
    before = read_garden().opened.plan
    assert before is not None
    stays = tuple(
        replace(p, start=p.start + timedelta(days=7))
        if p.batch == "lettuce-2"
        else p
        for p in before.placements
        if p.batch != "cucumber"
    )  # fmt: skip
    after_it = replace(
        before, placements=stays, worth=7.0, bound=7.02, gap=0.003,
        assumed=("8 °C colder on 6 days from 7 March",),
    )  # fmt: skip
    rows = (
        Difference(
            act=date(2027, 3, 6), kind="protect", batch="bean", crop="broad bean",
            from_space="frame", what="lay a fleece over frame this evening",
            reason="the air there may get down to −9 °C",
        ),
        Difference(
            act=date(2027, 3, 20), kind="delayed", batch="lettuce-2", crop="lettuce",
            stage="start", from_space="hotbed", from_date=date(2027, 3, 20),
            to_space="hotbed", to_date=date(2027, 3, 27),
            what="sow in hotbed on 27 March, not on 20 March",
            reason="the hotbed is too cool until then",
        ),
        Difference(
            act=date(2027, 4, 10), kind="given up", batch="cucumber", crop="cucumber",
            stage="start", from_space="propagator", from_date=date(2027, 4, 10),
            what="do not sow in propagator on 10 April",
            reason="no room in the propagator",
        ),
    )  # fmt: skip
    return Replanned(
        outcome=garden_outcome(after_it),
        before=before,
        differences=Differences(
            rows=rows, unchanged=7, changed_placements=6, kept_placements=13
        ),
        near=Beside(
            changed_placements=6, kept_placements=13, worth=7.2, gap=0.003
        ),
        afresh=None,
        to_note=("weather.csv: the forecast of the cold days",),
    )  # fmt: skip


def garden_nights(*, harm: bool = True) -> TonightAnswer:
    """Three nights; on the second frost in the frame, unless nothing is at risk."""
    risk = Risk(
        night=TODAY + timedelta(days=1), space="frame", batch="bean", crop="broad bean",
        stage="harden", harm="frost", limit_c=-6.0, low_c=-9.5, expected_c=-7.0,
        high_c=-4.5, probability=0.62, loss=0.2, where="air",
        helps=(
            Help(what="lay a fleece", gain_k=0.5, probability=0.48),
            Help(what="bring in to house", gain_k=None, probability=0.02),
        ),
    )  # fmt: skip
    safe = replace(risk, expected_c=1.5, low_c=-1.0, high_c=4.0, probability=0.001)
    return TonightAnswer(
        today=TODAY,
        nights=tuple(TODAY + timedelta(days=day) for day in range(3)),
        rows=(risk,) if harm else (),
        nearest=None if harm else safe,
        standing=4,
        cautions=("Shut lids and vents before the evening.",) if harm else (),
    )


def garden_compared(
    first: str = "frame", second: str = "border", *, days: int = 12
) -> CompareAnswer:
    """So many days on which both were read, the first about two degrees warmer."""
    shown = tuple(
        CompareDay(
            date=TODAY - timedelta(days=days - day),
            pairs=1,
            first_c=8.0 + day / 4,
            second_c=6.0 + day / 5,
            difference_k=round(2.0 + day / 20, 2),
            model_k=1.5,
            air_c=5.0,
        )
        for day in range(days)
    )
    told = days >= 5
    interval = Interval(
        mean=2.3, low=1.2, high=3.4, level=0.95, sd=1.0, n=days, n_eff=7.0, r1=0.3
    )
    whole = CompareRow(
        when=None, pairs=days, days=days, mean_k=2.3 if days else None,
        interval=interval if told else None, slope=None, model_k=1.5 if days else None,
    )  # fmt: skip
    wait = "not enough readings yet: both were read on"
    return CompareAnswer(
        first=first, second=second, level=0.95,
        verdict=f"{first} is warmer than {second} by 2.3 °C, between 1.2 and 3.4"
        if told
        else f"{wait} {days} days, at least {5 - days} days more are needed",
        whole=whole, by_time=(replace(whole, when="morning"),) if days else (),
        days=shown, season=None, wanted_half_k=1.15, more_days=0 if told else None,
        remarks=("Each pair was read with one probe: its offset cancels.",),
    )  # fmt: skip


def garden_looked() -> LookBack:
    """Two that came, one late; losses, outcomes, a space read."""
    came = Came(
        batch="onion", crop="onion", method="seed", event="emerged",
        space="windowsill", began=date(2027, 1, 9), came=date(2027, 1, 24),
        usual=date(2027, 1, 23), usual_low=date(2027, 1, 19),
        usual_high=date(2027, 1, 29), reckoned=date(2027, 1, 23), made=1.06,
    )  # fmt: skip
    late = replace(
        came, batch="bean", crop="broad bean", space="frame", began=date(2027, 1, 16),
        came=date(2027, 2, 6), usual=date(2027, 1, 30), usual_low=date(2027, 1, 26),
        usual_high=date(2027, 2, 3), reckoned=date(2027, 2, 2), made=1.21,
    )  # fmt: skip
    return LookBack(
        season="Spring garden (invented)", start=date(2027, 1, 2),
        end=date(2027, 5, 30), today=TODAY, came=(came, late), silent=("currants",),
        losses=(
            Losses(batch="onion", crop="onion", method="seed", stage="start",
                   space="windowsill", of=150, through=131, expected=135.0,
                   counted=True),
        ),
        outcomes=(
            Became(batch="onion", crop="onion", method="seed", wanted=120,
                    wanted_by=date(2027, 3, 6), state="planted out", out=131,
                    out_on=date(2027, 3, 5)),
            Became(batch="leek", crop="leek", method="seed", wanted=200,
                    wanted_by=date(2027, 5, 10), state="lost", out=None, out_on=None),
        ),
        spaces=(
            SpaceWarmth(space="frame", days=9, warmer_c=-1.4, warmer_error_c=0.4,
                        typical_c=1.7, held=0.56),
        ),
        unread=("bench",), by_crop=(), by_space=(), crop_rows=(),
    )  # fmt: skip


def make_desk(state: State = "planned", **over: Any) -> Desk:
    """
    A desk in one of the states a season can be in; ``over`` replaces its fields.

    unread: nothing was read yet; faulty: the files have faults; empty: a season
    without batches; unplanned; planned: with jobs and warmth; planning: a new plan is
    being made; tried: a cold spell was tried out.
    """
    desk = Desk(folder=FOLDER)
    for event in _happenings(state):
        desk = after(desk, event)
    return replace(desk, **over)


def _happenings(state: State) -> Sequence[Happening]:
    warm = Warm(garden_temps())
    planned: tuple[Happening, ...] = (read_garden(), warm)
    trying = Begun("Trying 8 °C colder for 6 days from 7 Mar", 1)
    found: dict[State, tuple[Happening, ...]] = {
        "unread": (),
        "faulty": (Faulty(FAULTS),),
        "empty": (read_garden(planned=False, batches=False), warm),
        "unplanned": (read_garden(planned=False), warm),
        "planned": planned,
        "planning": (*planned, Begun("Planning", 1), *EVENTS),
        "tried": (*planned, trying, *EVENTS, Tried(garden_replanned())),
    }
    return found[state]


class ScriptedBackend(Backend):
    """
    Answers with what a desk holds, and remembers what it was asked.

    With ``hold`` a run of the planner goes on until it is stopped or ``go`` is set.
    """

    def __init__(self, desk: Desk | None = None, *, hold: bool = False) -> None:
        super().__init__(FOLDER, TODAY)
        self.desk = make_desk() if desk is None else desk
        self.hold = hold
        self.go = threading.Event()
        self.begun = threading.Event()
        """A run of the planner has told all it has to tell before its end."""
        self.heard: list[object] = []
        """Asks, in order; of a run of the planner how it ended."""
        self.fails: Exception | None = None
        """Raised by whatever is asked for next but reading."""

    def read(self) -> Read:
        desk = self.desk
        if desk.problems:
            raise InvalidInputError(desk.problems)
        return read_garden() if desk.opened is None else Read(desk.opened, desk.jobs)

    def temps(self) -> TempsAnswer:
        return garden_temps()

    def tonight(self) -> TonightAnswer:
        return garden_nights()

    def settle(self, ask: asks.Settle) -> SoFar:
        self._note(ask)
        return SoFar(
            temps_c=ask.temps_c,
            minutes=ask.minutes,
            end_c=11.8 if len(ask.temps_c) > 2 else None,
            half_c=0.3,
            why="too few: 3 at the least",
        )

    def compare(self, ask: asks.CompareSpaces) -> CompareAnswer:
        self._note(ask)
        return garden_compared(ask.first, ask.second)

    def plan(
        self, emit: Emit, cancel: threading.Event, *, afresh: bool
    ) -> Replanned | None:
        self._run("afresh" if afresh else "plan", emit, cancel)
        return garden_replanned()

    def try_out(
        self, ask: asks.TryOut, emit: Emit, cancel: threading.Event
    ) -> Replanned:
        self._run(ask, emit, cancel)
        return garden_replanned()

    def _run(self, ask: object, emit: Emit, cancel: threading.Event) -> None:
        self._note(ask)
        for event in EVENTS:
            emit(event)
        self.begun.set()
        while self.hold and not cancel.is_set() and not self.go.wait(0.01):
            pass
        self.heard.append("stopped" if cancel.is_set() else "through")

    def keep(self, plan: Plan) -> None:
        """Put in force: read from then on."""
        self._note(plan)
        read = self.read()
        self.desk = replace(self.desk, opened=replace(read.opened, plan=plan))

    def look_back(self) -> LookBack:
        return garden_looked()

    def stamps(self) -> dict[str, tuple[int, int]]:
        return {}

    def lines(self, ask: asks.ShowLines) -> Excerpt:
        rows = tuple((n, f"row {n}") for n in range(1, 13))
        return Excerpt(ask.path, ask.line, rows)

    def accept(self, answer: Replanned) -> None:
        self._note(answer)

    def note_reading(self, ask: asks.NoteReading) -> NoteAnswer:
        return self._noted(ask)

    def note_event(self, ask: asks.NoteEvent) -> NoteAnswer:
        return self._noted(ask)

    def tick(self, ask: asks.Tick) -> NoteAnswer:
        return self._noted(ask)

    def undo(self, ask: asks.Undo) -> NoteAnswer:
        return self._noted(ask)

    def amend(self, ask: asks.SetPin | asks.DropPin | asks.SetBatch) -> NoteAnswer:
        return self._noted(ask)

    def _noted(self, ask: object) -> NoteAnswer:
        self._note(ask)
        return NoteAnswer(lines=("noted",))

    def _note(self, ask: object) -> None:
        self.heard.append(ask)
        if self.fails is not None:
            fails, self.fails = self.fails, None
            raise fails


class UnheatedBackend(Backend):
    """The service itself, but that it simulates nothing."""

    def temps(self) -> TempsAnswer:
        return garden_temps()

    def tonight(self) -> TonightAnswer:
        return garden_nights()


def make_app(state: State | Desk = "planned", **scripted: Any) -> PropschedApp:
    """
    The app over such a desk, its service by script.

    ``app.backend`` is the ``ScriptedBackend``.  Of the states use those that reading
    leads to; the others come by keys.
    """
    desk = make_desk(state) if isinstance(state, str) else state
    return PropschedApp(FOLDER, backend=ScriptedBackend(desk, **scripted))


async def settled(pilot: Pilot[None]) -> None:
    """Until all work behind the pages is done and shown."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
