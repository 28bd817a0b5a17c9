"""What the app has done for it: the service, so that tests can put another in place."""

import contextlib
import itertools
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from propsched.errors import PropschedError
from propsched.service.events import Event, Finished, Outcome
from propsched.tui import asks
from propsched.tui.desk import Excerpt, Read
from propsched.tui.done import Deed, Deeds

if TYPE_CHECKING:
    from propsched.domain.plan import Plan
    from propsched.service.answers import TempsAnswer
    from propsched.service.change import Change
    from propsched.service.comparison import CompareAnswer
    from propsched.service.looked_back import LookBack
    from propsched.service.noted import NoteAnswer
    from propsched.service.replan import Replanned
    from propsched.service.settling import SoFar
    from propsched.service.tonight import TonightAnswer

Emit = Callable[[Event], None]
AROUND = 6
"""Lines shown before and after a fault."""


class Backend:
    """
    The service, for one season looked at on one day.

    What is heavy to import is imported where it is used: the first picture has to be
    there before the simulation's libraries are.  Every method may raise
    ``PropschedError``, and may be called from any thread.
    """

    def __init__(self, folder: Path, today: date | None = None) -> None:
        self.folder = folder
        self.today = today
        self._deeds = Deeds()

    def read(self) -> Read:
        from propsched.service.jobs import jobs_of
        from propsched.service.opened import open_season

        opened = open_season(self.folder, today=self.today)
        found = None
        if opened.plan is not None:
            found = jobs_of(opened)
        return Read(opened, found)

    def temps(self) -> "TempsAnswer":
        from propsched.service.temps import temps

        return temps(self.folder, today=self.today)

    def tonight(self) -> "TonightAnswer":
        from propsched.service.tonight import tonight

        return tonight(self.folder, today=self.today)

    def settle(self, ask: asks.Settle) -> "SoFar":
        from propsched.service.settling import so_far

        return so_far(self.folder, ask.temps_c, ask.minutes, probe=ask.probe)

    def compare(self, ask: asks.CompareSpaces) -> "CompareAnswer":
        from propsched.service.compare import compare

        return compare(self.folder, ask.first, ask.second, today=self.today)

    def look_back(self) -> "LookBack":
        from propsched.service.lookback import look_back

        return look_back(self.folder, self.today)

    def stamps(self) -> dict[str, tuple[int, int]]:
        """Time and size of the season's files: otherwise, and they have changed."""
        found = {}
        for path in self.folder.iterdir():
            if path.suffix in (".csv", ".toml", ".json"):
                with contextlib.suppress(OSError):  # gone since
                    stat = path.stat()
                    found[path.name] = (stat.st_mtime_ns, stat.st_size)
        return found

    def lines(self, ask: asks.ShowLines) -> Excerpt:
        """A file's lines round the one asked for; its first ones for line 0."""
        first = max(1, ask.line - AROUND)
        try:
            with Path(ask.path).open(encoding="utf-8", errors="replace") as file:
                part = itertools.islice(file, first - 1, first + 2 * AROUND)
                rows = tuple(enumerate((row.rstrip("\r\n") for row in part), first))
        except OSError:  # missing: its fault says so
            rows = ()
        return Excerpt(ask.path, ask.line, rows)

    def plan(
        self, emit: Emit, cancel: threading.Event, *, afresh: bool
    ) -> "Replanned | Outcome":
        """
        Near the plan in force, or from nothing; ``keep`` puts it in force.

        Told of is all but that it is finished: so it is once it is kept.
        """
        from propsched.service.planner import make_plan
        from propsched.service.replan import replan
        from propsched.service.request import Request

        request = Request(folder=self.folder, today=self.today, save=False)
        if afresh:
            return make_plan(request, _but_the_end(emit), cancel)
        return replan(request, _but_the_end(emit), cancel)

    def try_out(
        self, ask: asks.TryOut, emit: Emit, cancel: threading.Event
    ) -> "Replanned":
        return self.try_change(ask.change, emit, cancel)

    def try_change(
        self, change: "Change", emit: Emit, cancel: threading.Event
    ) -> "Replanned":
        from propsched.service.replan import replan
        from propsched.service.request import Request

        request = Request(folder=self.folder, today=self.today, save=False)
        return replan(request, _but_the_end(emit), cancel, change=change)

    def close(self) -> None:
        """Nobody asks any more."""

    def keep(self, plan: "Plan") -> None:
        """Put a plan in force."""
        from propsched.files.write import write_plan

        write_plan(self.folder, plan)

    def accept(self, answer: "Replanned") -> None:
        """
        Put what was tried in force.

        Raises
        ------
        PropschedError
            If the files or the plan in force are no longer those it was tried with.
        """
        from propsched.service.opened import open_season

        plan = answer.outcome.plan
        now = open_season(self.folder, today=self.today)
        opened = replace(now, plan=plan)
        if opened.changed:
            names = ", ".join(opened.changed)
            raise PropschedError(f"{names} changed since it was tried – try it again")
        if now.plan != answer.before:
            raise PropschedError(
                "there is another plan in force since it was tried – try it again"
            )
        self.keep(plan)

    def note_reading(self, ask: asks.NoteReading) -> "NoteAnswer":
        from propsched.service.note import note_reading
        from propsched.service.noted import Place

        place = Place(space=ask.space, depth_cm=ask.depth_cm, probe=ask.probe)
        return note_reading(
            self.folder,
            place,
            ask.temps_c,
            minutes=ask.minutes,
            settling=ask.settling,
            note=ask.note,
            today=self.today,
        )

    def note_event(self, ask: asks.NoteEvent) -> "NoteAnswer":
        from propsched.service.note_event import note_event
        from propsched.service.noted import When

        answer = note_event(
            self.folder,
            ask.event,
            ask.words,
            space=ask.space,
            at=When(day=ask.day),
            note=ask.note,
            today=self.today,
        )
        self._deeds.did(Deed(ask.words[0] if ask.words else ask.space))
        return answer

    def tick(self, ask: asks.Tick) -> "NoteAnswer":
        from propsched.service.tick import tick

        answer = tick(
            self.folder,
            ask.job,
            day=ask.day,
            lost=ask.lost,
            count=ask.count,
            today=self.today,
        )
        for _ in range(2 if ask.lost and ask.job.batch else 1):  # a row for each
            self._deeds.did(Deed(ask.job.batch or ask.job.space))
        return answer

    def undo(self, ask: asks.Undo) -> "NoteAnswer":
        from propsched.service.amend import take_back
        from propsched.service.undo import undo

        deed = self._deeds.taken(ask.what, changes=ask.changes)
        if deed is not None and deed.amended is not None:
            return take_back(self.folder, deed.amended)
        return undo(self.folder, ask.what, today=self.today)

    def amend(self, ask: asks.SetPin | asks.DropPin | asks.SetBatch) -> "NoteAnswer":
        """Change a cell of batches.csv, or a row of pins.csv."""
        from propsched.service.amend import drop_pin, set_batch, set_pin

        match ask:
            case asks.SetPin(pin):
                answer = set_pin(self.folder, pin)
            case asks.DropPin(batch, stage):
                answer = drop_pin(self.folder, batch, stage)
            case asks.SetBatch(batch, column, value):
                answer = set_batch(self.folder, batch, column, value)
        self._deeds.did(Deed(answer.batch, answer))
        return answer


def _but_the_end(emit: Emit) -> Emit:
    def told(event: Event) -> None:
        if not isinstance(event, Finished):
            emit(event)

    return told
