"""
One method on one season in a process of its own: watched for time and memory.

The process tells of each better plan as it goes, so that something is known even of
a method that has to be ended.
"""

import multiprocessing as mp
import os
import resource
import time
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path

from benchmarks.cases import Case
from benchmarks.methods import METHODS, Done, Plan, rival_faults

MEMORY = 0.6
"""Share of the machine's memory; a process that takes more is ended."""
GRACE_S, GRACE = 5.0, 0.2
"""How long a method may overrun its time: seconds, and a share of it."""
LOOK_S = 0.2


@dataclass
class Trial:
    """What a method came to; worths in whole units, seconds since its start."""

    method: str
    limit_s: float
    trace: list[tuple[float, int]] = field(default_factory=list)
    """Seconds and worth of each better plan."""
    worth: int | None = None
    bound: float | None = None
    seconds: float = 0.0
    placed: int = 0
    faults: tuple[str, ...] = ()
    checked: bool = False
    peak_mib: float = 0.0
    note: str = ""
    first: Plan | None = None
    """The planner's own first plan."""
    final: Plan | None = None

    def reached(self, worth: float) -> float | None:
        """Seconds until its plan was worth so much."""
        return next((s for s, found in self.trace if found >= worth), None)

    def worth_at(self, seconds: float) -> int | None:
        known = [worth for s, worth in self.trace if s <= seconds]
        return max(known, default=None)


def run_trial(
    method: str, case: Case, limit_s: float, gap: float, start: Plan | None
) -> Trial:
    """
    Parameters
    ----------
    limit_s : float
        Of the method alone, writing down its model included; inventing the season
        and checking the plan are not counted.
    start : Plan, optional
        Given to methods that take one.
    """
    trial = Trial(method, limit_s)
    context = mp.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(
        target=_child, args=(theirs, method, case, limit_s, gap, start), daemon=True
    )
    process.start()
    theirs.close()
    try:
        _watch(trial, ours, process.pid or 0)
        if trial.final is not None and not trial.checked:
            # Ended before it answered: what it told last is checked here.
            trial.placed = len(trial.final.routes)
            trial.faults = rival_faults(case.invented().problem, trial.final)
            trial.checked = True
    finally:
        if process.is_alive():
            process.join(5.0 if not trial.note else 0.1)
        if process.is_alive():
            process.kill()
        process.join()
    return trial


def _watch(trial: Trial, pipe: Connection, pid: int) -> None:
    began: float | None = None
    most_mib = MEMORY * _machine_mib()
    while True:
        if pipe.poll(LOOK_S):
            try:
                kind, *told = pipe.recv()
            except EOFError:
                trial.note = trial.note or "ended by itself, without an answer"
                return
            if kind == "go":
                began = time.perf_counter()
            elif kind == "better":
                trial.trace.append((told[0], told[1]))
                trial.final = told[2] if len(told) > 2 else None
            elif kind == "solved":
                began = None
            elif kind == "note":
                trial.note = told[0]
            else:
                _take(trial, told[0])
                return
        held = _held_mib(pid)
        trial.peak_mib = max(trial.peak_mib, held)
        if held > most_mib:
            _give_up(trial, began, f"ended: took more than {most_mib:.0f} MiB")
            return
        allowed = trial.limit_s * (1 + GRACE) + GRACE_S
        if began is not None and time.perf_counter() - began > allowed:
            _give_up(trial, began, f"ended after {allowed:.0f} s")
            return


def _give_up(trial: Trial, began: float | None, why: str) -> None:
    trial.note = f"{trial.note}; {why}" if trial.note else why
    if began is not None:
        trial.seconds = time.perf_counter() - began
    if trial.trace:
        trial.worth = max(worth for _, worth in trial.trace)


def _take(trial: Trial, done: Done) -> None:
    trial.worth, trial.bound = done.worth, done.bound
    trial.seconds, trial.faults = done.seconds, done.faults
    trial.checked = done.final is not None
    trial.final, trial.first = done.final, done.first
    trial.placed = len(done.final.routes) if done.final else 0
    trial.peak_mib = max(trial.peak_mib, done.peak_mib)
    trial.note = done.note


def _machine_mib() -> float:
    return os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE") / 2**20


def _held_mib(pid: int) -> float:
    """Memory a process holds now; 0 once it is gone, or where that is not told."""
    try:
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    except OSError:
        return 0.0
    held = [line.split()[1] for line in lines if line.startswith("VmRSS")]
    return int(held[0]) / 1024 if held else 0.0


def _child(
    pipe: Connection,
    method: str,
    case: Case,
    limit_s: float,
    gap: float,
    start: Plan | None,
) -> None:
    # Only what is told counts; some solvers say who they are, asked or not.
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)

    def tell(kind: str, *what: object) -> None:
        pipe.send((kind, *what))

    def peak() -> float:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

    tell("done", METHODS[method](case, limit_s, gap, start, tell, peak))
    pipe.close()
