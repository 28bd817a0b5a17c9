"""Invented seasons of any size, as tables; the same seed gives the same season."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.problem import (
    NEVER,
    PPM,
    WORTH_SCALE,
    Mode,
    Period,
    Problem,
    StageTable,
    Task,
)

TRAY = 91
"""A standard seed tray. [10 cm²]"""


@dataclass(frozen=True)
class Invented:
    """A season and the warmth its tables were made from."""

    problem: Problem
    warmth: NDArray[np.float64]
    """Invented root-zone temperature. [°C] Shape (V, D)."""


MAKE_UPS = tuple(range(40, 150, 14))
"""Days on which the bed may be made up."""
SETTLES = 7
"""Days until a bed made up may be sown on."""
WEEK_COST = 4
"""A week of heat costs the worth of a batch of priority 1 ÷ this."""


@dataclass(frozen=True)
class States:
    """Spaces in all their states: variants of the tables."""

    space_of: NDArray[np.int32]
    warmth: NDArray[np.float64]
    """(V, D)"""
    barred: NDArray[np.bool_]
    """Nothing may start there then. (V, D)"""
    periods: tuple[Period, ...]


def _outside(days: int) -> NDArray[np.float64]:
    return 9.0 - 7.0 * np.cos(2 * np.pi * (np.arange(days) + 20 - 75) / 365)


def _as_they_are(warmth: NDArray[np.float64]) -> States:
    spaces = np.arange(warmth.shape[0], dtype=np.int32)
    return States(spaces, warmth, np.zeros(warmth.shape, dtype=np.bool_), ())


def _switched(warmth: NDArray[np.float64]) -> States:
    """The two warmest spaces heated by the week, the third a bed made up once."""
    spaces, days = warmth.shape
    outside = _outside(days)
    rows = list(warmth)
    space_of = list(range(spaces))
    barred = [np.zeros(days, dtype=np.bool_) for _ in rows]
    periods = []
    for space in (spaces - 1, spaces - 2):
        space_of.append(space)
        rows.append(outside + 2.0)
        barred.append(np.zeros(days, dtype=np.bool_))
        off = len(rows) - 1
        for first in range(0, days, 7):
            modes = (
                Mode(name="off", variants=(off,)),
                Mode(name="on", variants=(space,), cost=WORTH_SCALE // WEEK_COST),
            )
            end = min(days, first + 7)
            periods.append(Period(space=space, first=first, end=end, modes=modes))
    bed = spaces - 3
    made = []
    for number, day in enumerate(MAKE_UPS):
        since = np.arange(days) - day - SETTLES
        heat = np.where(since >= 0, 14.0 * np.exp(-since / 30.0), 0.0)
        early = since < 0
        if number == 0:
            rows[bed], barred[bed], variant = outside + heat, early, bed
        else:
            rows.append(outside + heat)
            barred.append(early)
            space_of.append(bed)
            variant = len(rows) - 1
        made.append(Mode(name=f"day {day}", variants=(variant,), manure=1000))
    made.append(Mode(name="not made up", variants=()))
    periods.append(Period(space=bed, first=0, end=days, modes=tuple(made)))
    return States(
        np.array(space_of, dtype=np.int32),
        np.array(rows),
        np.array(barred),
        tuple(periods),
    )


def _warmth(rng: np.random.Generator, spaces: int, days: int) -> NDArray[np.float64]:
    outside = _outside(days)
    lift = np.sort(rng.uniform(0.0, 12.0, spaces))
    swing = rng.uniform(0.5, 1.0, spaces)
    return outside[None, :] * swing[:, None] + lift[:, None]


def _table(
    rng: np.random.Generator,
    states: States,
    name: str,
    best_days: int,
    base: float,
    best: float,
    *,
    last: bool,
) -> StageTable:
    warmth = states.warmth
    spaces, days = warmth.shape
    rate = np.clip((warmth - base) / (best - base), 0.0, 1.0) / best_days
    total = np.concatenate([np.zeros((spaces, 1)), np.cumsum(rate, axis=1)], axis=1)
    length = np.full((spaces, days), NEVER, dtype=np.int16)
    mean = np.zeros((spaces, days))
    upto = np.concatenate([np.zeros((spaces, 1)), np.cumsum(warmth, axis=1)], axis=1)
    for v in range(spaces):
        end = np.searchsorted(total[v], total[v, :-1] + 1.0)
        through = np.flatnonzero(end < days)
        took = np.maximum(1, end[through] - through)
        length[v, through] = took
        mean[v, through] = (upto[v, through + took] - upto[v, through]) / took
    floor = base + rng.uniform(0.0, 2.0)
    success = np.clip(0.5 + 0.5 * (mean - floor) / (best - floor), 0.05, 1.0)
    banned = rng.random(int(states.space_of.max()) + 1) < 0.25
    if banned.all():
        banned[-1] = False
    length[banned[states.space_of]] = NEVER
    length[states.barred] = NEVER
    length[warmth < base] = NEVER
    return StageTable(
        name=name,
        length=length,
        success=np.where(length < NEVER, success * PPM, 0).astype(np.int32),
        over_success=np.full((spaces, days), -1, dtype=np.int32),
        wait=int(rng.integers(7, 22)) if last else int(rng.integers(4, 15)),
        any_day=False,
        why=np.where(length < NEVER, 0, 4).astype(np.uint8),
    )


def invented_season(
    batches: int,
    spaces: int,
    *,
    days: int = 210,
    seed: int = 1,
    weekends: bool = False,
    fullness: float = 0.5,
    switched: bool = False,
) -> Invented:
    """
    Three-stage crops that want more area than there is.

    Parameters
    ----------
    switched : bool
        Two spaces are heated by the week or not, and when to make up the bed in a
        third is open.
    fullness : float
        Area × days of every batch's unhindered way ÷ area × days there are.
    weekends : bool
        Plants are moved on two days of seven only.
    """
    rng = np.random.default_rng(seed)
    warmth = _warmth(rng, spaces, days)
    states = _switched(warmth) if switched else _as_they_are(warmth)
    profiles = []
    lengths = []
    for _ in range(max(3, batches // 3)):
        base = rng.uniform(2.0, 8.0)
        best = base + rng.uniform(8.0, 14.0)
        typical = (
            int(rng.integers(5, 16)),
            int(rng.integers(14, 36)),
            int(rng.integers(7, 22)),
        )
        lengths.append(typical)
        profiles.append(
            tuple(
                _table(rng, states, name, took, cool, top, last=name == "harden")
                for name, took, cool, top in (
                    ("start", typical[0], base, best),
                    ("grow", typical[1], base - 1, best - 3),
                    ("harden", typical[2], base - 3, best - 6),
                )
            )
        )
    tasks = []
    wanted_area_days = 0
    for b in range(batches):
        profile = int(rng.integers(len(profiles)))
        trays = int(rng.integers(1, 4))
        area = (
            TRAY * trays,
            TRAY * trays * int(rng.integers(2, 4)),
            TRAY * trays * int(rng.integers(2, 5)),
        )
        wanted_area_days += sum(
            a * n for a, n in zip(area, lengths[profile], strict=True)
        )
        weight = WORTH_SCALE * int(rng.integers(1, 6))
        wanted = int(rng.integers(days // 2, days - 15))
        earliest = int(rng.integers(0, days // 3))
        tasks.append(
            Task(
                name=f"batch-{b + 1}",
                profile=profile,
                area=area,
                minutes=(15, 20, 10, 10),
                share=(PPM, PPM, PPM),
                weight=weight,
                earliest=earliest,
                latest=min(days - 30, earliest + int(rng.integers(60, 120))),
                gate=wanted - int(rng.integers(10, 30)),
                wanted_from=wanted - 10,
                wanted_by=wanted,
                late_per_day=weight // 60,
                early_per_day=weight // 200,
            )
        )
    split = rng.dirichlet(np.full(spaces, 3.0))
    total = wanted_area_days / fullness / (days * 0.45)
    area_of = np.maximum(6 * TRAY, np.round(split * total / TRAY) * TRAY)
    capacity = np.repeat(area_of.astype(np.int64)[:, None], days, axis=1)
    work = np.ones(days, dtype=np.bool_)
    if weekends:
        work = np.isin(np.arange(days) % 7, (5, 6))
    return Invented(
        Problem(
            days=days,
            space_of=states.space_of,
            capacity=capacity,
            work=work,
            away=np.zeros(days, dtype=np.bool_),
            minutes=np.full(days, 45 * batches if weekends else 20 * batches),
            move_cost=WORTH_SCALE // 100,
            profiles=tuple(profiles),
            tasks=tuple(tasks),
            space_names=tuple(f"space-{s + 1}" for s in range(spaces)),
            variant_names=tuple(
                f"space-{s + 1}, state {v + 1}" for v, s in enumerate(states.space_of)
            ),
            periods=states.periods,
        ),
        states.warmth,
    )
