"""The app as a dialogue in plain lines, for screen readers and dumb terminals."""

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TextIO, TypeAlias, TypeVar

from propsched.errors import InputProblem, InvalidInputError, PropschedError
from propsched.report.words import clean
from propsched.service.events import Event, Finished, Improved, Outcome, Step
from propsched.tui import asks
from propsched.tui.backend import Backend, Emit
from propsched.tui.desk import (
    Accepted,
    Begun,
    Chosen,
    Compared,
    Desk,
    Ended,
    Faulty,
    Left,
    LookedBack,
    Nights,
    Tried,
    Warm,
    after,
)
from propsched.tui.views.frame import frame_view, plan_told, planning_text
from propsched.tui.views.problems import problems_view
from propsched.tui.views.spoken import batch_lines, job_lines, job_rows

WIDTH = 100
Answer = TypeVar("Answer")
Do: TypeAlias = Callable[[Sequence[str]], Iterable[str]]


class End(Exception):  # noqa: N818 - no fault
    """The dialogue is to end."""


@dataclass(frozen=True, slots=True)
class Verb:
    """Something that can be typed."""

    words: tuple[str, ...]
    """All that ask for it: its number, its letter, its name."""
    says: str
    """How to type it, and what it does."""
    do: Do


class Dialogue:
    """Reads lines, answers with lines; no drawing, no control characters."""

    def __init__(
        self, folder: Path, *, today: date | None = None, backend: Backend | None = None
    ) -> None:
        self._backend = backend or Backend(folder, today)
        self._desk = Desk(folder=folder)
        self._out: Callable[[str], object] = print
        self._verbs = (
            Verb(("1", "s", "season"), "1: what stands where, week by week",
                 self._season),
            Verb(("2", "w", "warmth"), "2, or 2 SPACE: how warm it is", self._warmth),
            Verb(("3", "b", "batches"), "3, or 3 BATCH: batches and their ways",
                 self._batches),
            Verb(("4", "j", "jobs"), "4: jobs of the next fortnight", self._jobs),
            Verb(("5", "r", "reading"), "5 SPACE FIGURES: note what it showed",
                 self._reading),
            Verb(("6", "c", "compare"), "6 SPACE SPACE: is one warmer?", self._compare),
            Verb(("7", "t", "cold"), "7: the next nights; 7 DROP DAYS: try colder days "
                 "from tomorrow on", self._cold),
            Verb(("8", "x", "problems"), "8: faults of the files", self._problems),
            Verb(("9", "y", "year"), "9: looking back over the season", self._year),
            Verb(("done",), "done JOB [lost N] [on YYYY-MM-DD]: tick off a job of 4",
                 self._tick),
            Verb(("accept",), "accept: put what was tried in force", self._accept),
            Verb(("leave",), "leave: forget what was tried", self._leave),
            Verb(("p", "plan"), "p: plan; ctrl-c stops and keeps the best",
                 self._plan),
            Verb(("u", "undo"), "u, or u reading: take back what was noted last",
                 self._undo),
            Verb(("?", "h", "help"), "?: these lines", self._help),
            Verb(("q", "quit"), "q: leave", self._quit),
        )  # fmt: skip

    def run(self, lines: TextIO, out: TextIO) -> None:
        """Until it is left, or there is nothing more to read."""

        def say(text: str) -> None:
            out.write(f"{clean(text)}\n")
            out.flush()

        self._out = say
        self._read()
        self._say(frame_view(self._desk, "season", {}, width=WIDTH).lines)
        self._say(self._help(()))
        for line in lines:
            try:
                self._say(self._answer(line.split()))
            except End:
                return
            except PropschedError as error:
                self._say(f"Not done: {part}" for part in str(error).splitlines())

    def _say(self, lines: Iterable[str]) -> None:
        for line in lines:
            self._out(line)

    def _answer(self, words: Sequence[str]) -> Iterable[str]:
        if not words:
            return frame_view(self._desk, "season", {}, width=WIDTH).lines
        self._read()  # files may have changed meanwhile
        verb = next((v for v in self._verbs if words[0].lower() in v.words), None)
        if verb is None:
            return (f"{words[0]} is not known here – ? tells what is.",)
        if self._desk.problems and verb.do not in (self._help, self._quit):
            return self._problems(())
        return verb.do(words[1:])

    def _read(self) -> None:
        try:
            self._desk = after(self._desk, self._backend.read())
        except InvalidInputError as error:
            self._desk = after(self._desk, Faulty(error.problems))
        except PropschedError as error:
            fault = InputProblem(str(self._desk.folder), 0, str(error))
            self._desk = after(self._desk, Faulty((fault,)))

    # what can be asked

    def _season(self, words: Sequence[str]) -> Iterable[str]:
        from propsched.tui.views.season import season_lines

        return season_lines(self._desk)

    def _warmth(self, words: Sequence[str]) -> Iterable[str]:
        from propsched.tui.views.warmth import warmth_lines

        self._desk = after(self._desk, Warm(self._backend.temps()))
        if words:
            return _part_of(words[0], self._spaces, warmth_lines(self._desk))
        return warmth_lines(self._desk)

    @property
    def _spaces(self) -> tuple[str, ...]:
        opened = self._desk.opened
        return () if opened is None else tuple(s.id for s in opened.season.spaces)

    def _batches(self, words: Sequence[str]) -> Iterable[str]:
        name = words[0] if words else ""
        self._desk = after(self._desk, Chosen(batch=name or None))
        return batch_lines(self._desk, name)

    def _jobs(self, words: Sequence[str]) -> Iterable[str]:
        return job_lines(self._desk)

    def _tick(self, words: Sequence[str]) -> Iterable[str]:
        jobs = job_rows(self._desk)
        options = dict(zip(words[1::2], words[2::2], strict=False))
        number = _number(words[0] if words else "", "the job's number")
        if not 1 <= number <= len(jobs):
            raise PropschedError(f"no job {number} – 4 lists them")
        if set(options) - {"lost", "on"} or len(words) % 2 == 0:
            raise PropschedError("after the job: lost N, on YYYY-MM-DD")
        ask = asks.Tick(
            jobs[number - 1],
            day=_day(options["on"]) if "on" in options else None,
            lost=_number(options.get("lost", "0"), "how many are lost"),
        )
        return self._noted(self._backend.tick(ask))

    def _reading(self, words: Sequence[str]) -> Iterable[str]:
        if len(words) < 2:
            raise PropschedError(f"5 SPACE FIGURES – one of {', '.join(self._spaces)}")
        temps = tuple(_figure(word) for word in words[1:])
        return self._noted(
            self._backend.note_reading(asks.NoteReading(words[0], temps))
        )

    def _undo(self, words: Sequence[str]) -> Iterable[str]:
        return self._noted(self._backend.undo(asks.Undo(" ".join(words))))

    def _noted(self, answer: object) -> Iterable[str]:
        from propsched.service.noted import NoteAnswer

        assert isinstance(answer, NoteAnswer)
        return (*answer.lines, *(f"Look at this: {note}" for note in answer.notes))

    def _compare(self, words: Sequence[str]) -> Iterable[str]:
        if len(words) != 2:
            raise PropschedError("6 SPACE SPACE – two of " + ", ".join(self._spaces))
        answer = self._backend.compare(asks.CompareSpaces(*words))
        self._desk = after(self._desk, Compared(answer))
        return (answer.verdict, *answer.remarks, *answer.notes)

    def _cold(self, words: Sequence[str]) -> Iterable[str]:
        if not words:
            from propsched.tui.views.nights import night_lines

            self._desk = after(self._desk, Nights(self._backend.tonight()))
            return [line.text for line in night_lines(self._desk.nights)]
        from propsched.service.change import Change
        from propsched.thermal.snap import Spell
        from propsched.tui.views.tried import tried_lines

        assert self._desk.today is not None
        days = _number(words[1] if len(words) > 1 else "6", "days")
        first = self._desk.today + timedelta(days=1)
        spell = Spell(first=first, days=days, drop_k=_figure(words[0]))
        what = f"{words[0]} °C colder for {days} days from tomorrow"
        ask = asks.TryOut(Change(cold=(spell,)), what)
        answer = self._planned(
            ask.what, lambda emit, cancel: self._backend.try_out(ask, emit, cancel)
        )
        self._desk = after(self._desk, Tried(answer))
        told = [line.text for line in tried_lines(answer, WIDTH)]
        return (*told, "accept puts it in force, leave forgets it.")

    def _accept(self, words: Sequence[str]) -> Iterable[str]:
        if self._desk.tried is None:
            raise PropschedError("nothing was tried – 7 DROP DAYS tries a cold spell")
        self._backend.accept(self._desk.tried)
        self._desk = after(self._desk, Accepted(self._desk.tried))
        return ("The plan that was tried is in force.",)

    def _leave(self, words: Sequence[str]) -> Iterable[str]:
        self._desk = after(self._desk, Left())
        return ("What was tried is forgotten.",)

    def _problems(self, words: Sequence[str]) -> Iterable[str]:
        return problems_view(self._desk).lines

    def _year(self, words: Sequence[str]) -> Iterable[str]:
        from propsched.tui.views.year import LEAST, year_view

        self._desk = after(self._desk, LookedBack(self._backend.look_back()))
        return year_view(self._desk, width=LEAST - 1).lines  # in lists, not tables

    def _plan(self, words: Sequence[str]) -> Iterable[str]:
        answer = self._planned(
            "Planning",
            lambda emit, cancel: self._backend.plan(emit, cancel, afresh=False),
        )
        outcome = answer if isinstance(answer, Outcome) else answer.outcome
        self._backend.keep(outcome.plan)
        self._desk = after(self._desk, Finished(outcome))
        return (plan_told(outcome.plan),)

    def _planned(
        self, what: str, do: Callable[[Emit, threading.Event], Answer]
    ) -> Answer:
        """Run the planner; an interrupt makes it come to its end with what it has."""
        self._desk = after(self._desk, Begun(what, self._desk.run + 1))
        cancel = threading.Event()
        ends: list[Answer] = []
        faults: list[BaseException] = []

        def emit(event: Event) -> None:
            if isinstance(event, (Step, Improved)):
                self._desk = after(self._desk, event)
            if isinstance(event, Step):
                self._out(planning_text(self._desk.planning, stops="ctrl-c"))

        def run() -> None:
            try:
                ends.append(do(emit, cancel))
            except BaseException as fault:  # raised again below
                faults.append(fault)

        thread = threading.Thread(target=run, daemon=True)
        thread.start()
        while thread.is_alive():
            try:
                thread.join(0.1)
            except KeyboardInterrupt:
                cancel.set()
        self._desk = after(self._desk, Ended())
        if faults:
            raise faults[0]
        return ends[0]

    def _help(self, words: Sequence[str]) -> Iterable[str]:
        return ("Type one of these, then enter:", *(verb.says for verb in self._verbs))

    def _quit(self, words: Sequence[str]) -> Iterable[str]:
        raise End


def _part_of(name: str, names: Sequence[str], lines: Sequence[str]) -> Iterable[str]:
    """The lines of one space out of those of all."""
    if name not in names:
        raise PropschedError(f"no space {name} – one of {', '.join(names)}")
    inside = False
    for line in lines:
        if line.rstrip(".") in names:
            inside = line.rstrip(".") == name
        if inside:
            yield line


def _number(text: str, what: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise PropschedError(f"{text!r} is no number – give {what}") from None


def _figure(text: str) -> float:
    try:
        return float(text.replace(",", ".").replace("−", "-"))
    except ValueError:
        raise PropschedError(f"{text!r} is no figure – as 9.7") from None


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise PropschedError(f"{text!r} is no date – write it as 2027-02-06") from None
