"""What the app has done for it: the service, so that tests can put another in place."""

import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from propsched.errors import PropschedError
from propsched.tui import asks
from propsched.tui.desk import Read

if TYPE_CHECKING:
    from propsched.service.answers import TempsAnswer
    from propsched.service.comparison import CompareAnswer
    from propsched.service.events import Event
    from propsched.service.noted import NoteAnswer
    from propsched.service.replan import Replanned

Emit = Callable[["Event"], None]


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

    def read(self) -> Read:
        from propsched.service.jobs import jobs
        from propsched.service.opened import open_season

        opened = open_season(self.folder, today=self.today)
        found = None
        if opened.plan is not None:
            found = jobs(self.folder, today=self.today)
        return Read(opened, found)

    def temps(self) -> "TempsAnswer":
        from propsched.service.temps import temps

        return temps(self.folder, today=self.today)

    def compare(self, ask: asks.CompareSpaces) -> "CompareAnswer":
        from propsched.service.compare import compare

        return compare(self.folder, ask.first, ask.second, today=self.today)

    def plan(
        self, emit: Emit, cancel: threading.Event, *, afresh: bool
    ) -> "Replanned | None":
        """Near the plan in force; None where it was planned from nothing."""
        from propsched.service.planner import make_plan
        from propsched.service.replan import replan
        from propsched.service.request import Request

        request = Request(folder=self.folder, today=self.today)
        if afresh:
            make_plan(request, emit, cancel)
            return None
        return replan(request, emit, cancel)

    def try_out(
        self, ask: asks.TryOut, emit: Emit, cancel: threading.Event
    ) -> "Replanned":
        from propsched.service.replan import replan
        from propsched.service.request import Request

        request = Request(folder=self.folder, today=self.today, save=False)
        return replan(request, emit, cancel, change=ask.change)

    def accept(self, answer: "Replanned") -> None:
        from propsched.files.write import write_plan

        write_plan(self.folder, answer.outcome.plan)

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

        return note_event(
            self.folder,
            ask.event,
            ask.words,
            space=ask.space,
            at=When(day=ask.day),
            note=ask.note,
            today=self.today,
        )

    def tick(self, ask: asks.Tick) -> "NoteAnswer":
        raise PropschedError("jobs cannot be ticked off yet")

    def undo(self, ask: asks.Undo) -> "NoteAnswer":
        raise PropschedError("nothing can be taken back yet")

    def amend(self, ask: asks.SetPin | asks.DropPin | asks.SetBatch) -> "NoteAnswer":
        """Change a cell of batches.csv, or a row of pins.csv."""
        raise PropschedError("files cannot be changed from here yet")
