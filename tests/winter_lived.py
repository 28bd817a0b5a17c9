"""Thirty weeks in the garden: each Saturday what a careful, forgetful grower does."""

import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from io import StringIO
from pathlib import Path

import numpy as np
from winter_garden import (
    CLOSED,
    PROBE_C,
    SNAP,
    START,
    WEEKS,
    saturday,
    write_garden,
)
from winter_truth import Truth

from propsched.advice.by_itself import ends_with
from propsched.advice.job import DUTIES, Job
from propsched.advice.state import BatchState
from propsched.domain.plan import Plan
from propsched.files.pasted import PastedTold
from propsched.service.amend import set_batch
from propsched.service.answers import JobsAnswer
from propsched.service.check import check
from propsched.service.events import Event
from propsched.service.jobs import jobs
from propsched.service.note import note_reading
from propsched.service.note_event import note_event
from propsched.service.noted import Place, When
from propsched.service.opened import Opened, open_season
from propsched.service.replan import Replanned, replan
from propsched.service.request import Request
from propsched.service.tick import BEGINNINGS, event_of, tick
from propsched.service.tonight import TonightAnswer, tonight
from propsched.service.undo import undo
from propsched.service.weather import import_weather, take_forecast

WINTERS = 4
FORECAST_D = 6
FORGETS = 0.25
"""Share of what shows by itself that is noted some weeks late."""
SKIPS = 0.1
"""Share of jobs that are put off for a week."""
LOSABLE = ("cabbages", "leeks", "celery")
LOSS_WEEK, CLOSED_WEEK, LATE_WEEK, SLIP_WEEK, FROST_WEEK = 21, 16, 9, 12, 10


@dataclass(frozen=True, kw_only=True)
class Week:
    """One Saturday: what was there when all was planned, and what was then done."""

    today: date
    opened: Opened
    """Once all that was seen is noted, before anything is done."""
    before: Plan | None
    answer: Replanned
    overdue: JobsAnswer | None
    """Of the plan of the week before."""
    jobs: JobsAnswer
    done: tuple[Job, ...]
    put_off: tuple[Job, ...]
    quiet: bool
    """Nothing was lost, closed or late in this week."""
    tonight: TonightAnswer | None

    @property
    def plan(self) -> Plan:
        return self.answer.outcome.plan


@dataclass(kw_only=True)
class Winter:
    """All that happened, and the garden as it is left."""

    folder: Path
    truth: Truth
    weeks: list[Week] = field(default_factory=list)
    came: dict[str, tuple[date, date, date]] = field(default_factory=dict)
    """Begun, really through, and noted, of each start that was seen to be over."""
    grown_only: bool = True
    """No command has shortened or rewritten readings.csv or daybook.csv."""


def live(where: Path, seed: int, *, weeks: int = WEEKS) -> Winter:
    """Go through the winter, week by week."""
    folder = write_garden(where / "garden")
    winter = Winter(folder=folder, truth=Truth(folder, where / "truth", seed))
    grower = _Grower(winter, np.random.default_rng(seed))
    for week in range(weeks):
        grower.week(week)
    return winter


class _Grower:
    def __init__(self, winter: Winter, draw: np.random.Generator) -> None:
        self.winter, self.folder, self.truth = winter, winter.folder, winter.truth
        self.draw = draw
        self.forgotten: dict[str, int] = {}
        """Week in which what shows is noted at last."""
        self.late: tuple[Job, ...] = ()

    def week(self, week: int) -> None:
        today = saturday(week)
        held = self._rows()
        self._weather(today)
        self._readings(today)
        self._see(today, week)
        quiet = self._befalls(today, week)
        check(self.folder, today=today)
        before = open_season(self.folder, today=today)
        overdue = jobs(self.folder, today=today) if before.plan is not None else None
        answer = replan(self._request(today), _deaf, threading.Event())
        opened = open_season(self.folder, today=today)
        todo = jobs(self.folder, today=today, days=7)
        cold = None
        if today < SNAP <= today + timedelta(days=FORECAST_D):
            cold = tonight(self.folder, nights=8, today=today, winters=WINTERS)
        done, put_off = self._work(today, todo)
        now = self._rows()
        self.winter.grown_only &= all(now[k].startswith(held[k]) for k in held)
        self.winter.weeks.append(
            Week(
                today=today,
                opened=opened,
                before=before.plan,
                answer=answer,
                overdue=overdue,
                jobs=todo,
                done=done,
                put_off=put_off,
                quiet=quiet,
                tonight=cold,
            )
        )

    def _request(self, today: date) -> Request:
        return Request(
            folder=self.folder,
            today=today,
            reproducible=True,
            gap=0.02,
            winters=WINTERS,
        )

    def _rows(self) -> dict[str, bytes]:
        names = ("readings.csv", "daybook.csv")
        paths = [self.folder / name for name in names]
        return {p.name: p.read_bytes() if p.exists() else b"" for p in paths}

    def _weather(self, today: date) -> None:
        """A station's file of all days so far, and a pasted forecast."""
        days = [START + timedelta(days=n) for n in range((today - START).days + 1)]
        rows = ["date,tmin_c,tmax_c"]
        rows += ["{},{:.1f},{:.1f}".format(day, *self.truth.air(day)) for day in days]
        station = self.folder.parent / "station.csv"
        station.write_text("\n".join(rows) + "\n", encoding="utf-8")
        import_weather(self.folder, station, today=today)
        told = StringIO()
        for n in range(1, FORECAST_D + 1):
            low, high = self.truth.air(today + timedelta(days=n))
            error = self.draw.normal(0, 0.8 + 0.25 * n)
            told.write(f"{today + timedelta(days=n)} {low + error:.0f} ")
            told.write(f"{high + error + 1:.0f}\n")
        take_forecast(self.folder, told.getvalue(), PastedTold(), today=today)

    def _readings(self, today: date) -> None:
        spaces = open_season(self.folder, today=today).season.spaces
        for space in spaces:
            made = space.kind != "hotbed" or space.make_up is not None
            if not made or (space.make_up is not None and space.make_up > today):
                continue
            true = self.truth.root_c(space.id, today, 9)
            shown = true - PROBE_C + self.draw.normal(0, 0.2)
            note_reading(
                self.folder,
                Place(space=space.id),
                [round(shown, 1)],
                at=When(day=today, clock=time(9, 0)),
                today=today,
            )

    def _see(self, today: date, week: int) -> None:
        """What has come up or rooted since; some of it is not noticed for weeks."""
        opened = open_season(self.folder, today=today)
        for name, state in opened.states.items():
            crop = opened.crops[name]
            if not state.standing or state.stage != "start":
                continue
            through = self.truth.day_through(crop, state)
            if through is None or through > today:
                continue
            if name not in self.forgotten:
                late = self.draw.random() < FORGETS
                self.forgotten[name] = week + (3 if late else 0)
            if self.forgotten[name] > week:
                continue
            self.winter.came[name] = (state.since, through, through)
            note_event(
                self.folder,
                ends_with(crop),
                [name],
                at=When(day=through),
                today=today,
            )

    def _befalls(self, today: date, week: int) -> bool:
        """What nobody had planned; whether nothing of it happened."""
        if week == FROST_WEEK:
            note_event(self.folder, "moved", ["geraniums", "house"], today=today)
        elif week == LATE_WEEK:
            set_batch(self.folder, "onions", "available_from", "2027-01-30")
        elif week == SLIP_WEEK:
            note_event(self.folder, "lost", ["poppies", "5"], today=today)
            undo(self.folder, today=today)
        elif week == CLOSED_WEEK:
            path = self.folder / "season.toml"
            text = path.read_text(encoding="utf-8")
            bench = 'id = "bench"\n'
            path.write_text(text.replace(bench, f"{bench}{CLOSED}\n"), encoding="utf-8")
        elif week == LOSS_WEEK:
            name, number = self._standing(today)
            note_event(
                self.folder, "lost", [name, str(number)], note="slugs", today=today
            )
        else:
            return True
        return False

    def _standing(self, today: date) -> tuple[str, int]:
        """A whole batch for the slugs."""
        opened = open_season(self.folder, today=today)
        name = next(n for n in LOSABLE if _stands(opened.states, n))
        return name, opened.states[name].count or opened.sown[name]

    def _work(
        self, today: date, todo: JobsAnswer
    ) -> tuple[tuple[Job, ...], tuple[Job, ...]]:
        """Jobs of this weekend that can be done; the others wait."""
        done, put_off = [], []
        for job in todo.rows:
            if job.kind in DUTIES or job.date > today + timedelta(days=1):
                continue
            if not self._can(job, today):
                continue
            if self.draw.random() < SKIPS:
                put_off.append(job)
                continue
            self._remember(job, today)
            tick(self.folder, job, today=today)
            done.append(job)
        return tuple(done), tuple(put_off)

    def _remember(self, job: Job, today: date) -> None:
        """A job that says in the daybook that a start is over."""
        opened = open_season(self.folder, today=today)
        told, state = event_of(job, opened), opened.states.get(job.batch)
        if (
            told is None
            or state is None
            or told[0] != ends_with(opened.crops[job.batch])
        ):
            return
        through = self.truth.day_through(opened.crops[job.batch], state)
        assert through is not None
        self.winter.came[job.batch] = (state.since, through, today)

    def _can(self, job: Job, today: date) -> bool:
        """What is not ready yet stays where it is, whatever the plan says."""
        if not job.batch or job.kind in BEGINNINGS:
            return True
        opened = open_season(self.folder, today=today)
        state = opened.states.get(job.batch)
        if state is None or not state.standing:
            return False
        if job.stage == state.stage:  # the stage goes on elsewhere
            return True
        through = self.truth.day_through(opened.crops[job.batch], state)
        return through is not None and through <= today


def _stands(states: Mapping[str, BatchState], name: str) -> bool:
    return name in states and states[name].standing


def _deaf(event: Event) -> None:
    del event


def placements_on(
    plan: Plan, batch: str, day: date, *, leaving: bool = False
) -> Iterator[str]:
    """Spaces in which the plan has a batch on a day; with those it leaves on it."""
    for one in plan.placements:
        until = one.end + timedelta(days=leaving)
        if one.batch == batch and one.start <= day < until:
            yield one.space
