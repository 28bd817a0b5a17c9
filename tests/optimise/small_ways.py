"""Ways of running the spaces of a small season, and tasks tied to one another."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.problem import Kept, Link, Mode, Period, Split, Task


@dataclass
class Layout:
    """Spaces, their variants, and how they may be run."""

    spaces: int
    days: int
    space_of: list[int]
    warmth: NDArray[np.int64]
    """How much warmer than as it is; below 0: not to be had. (V, D)"""
    periods: tuple[Period, ...] = ()
    manure: int | None = None

    def of(self, space: int) -> tuple[int, ...]:
        """Variants of a space."""
        return tuple(v for v, s in enumerate(self.space_of) if s == space)

    def variant(self, space: int, warmth: NDArray[np.int64]) -> int:
        """One more."""
        self.space_of.append(space)
        self.warmth = np.vstack([self.warmth, warmth])
        return len(self.space_of) - 1


def layout(rng: np.random.Generator, days: int) -> Layout:
    """A few spaces; some heated by the week, some beds to be made up."""
    spaces = int(rng.integers(2, 4))
    space_of = list(range(spaces)) + rng.integers(0, spaces, 2).tolist()
    plot = Layout(
        spaces, days, space_of, np.zeros((len(space_of), days), dtype=np.int64)
    )
    free = rng.permutation(spaces).tolist()
    if rng.random() < 0.6:
        plot.periods += _switched(rng, plot, free.pop())
    if rng.random() < 0.6:
        beds = 2 if len(free) > 1 and rng.random() < 0.4 else 1
        for _ in range(beds):
            plot.periods += (_bed(rng, plot, free.pop()),)
        most = sum(max(m.manure for m in p.modes) for p in plot.periods)
        if rng.random() < 0.9:
            plot.manure = int(rng.integers(0, most))
    return _shuffled(rng, plot)


def _switched(rng: np.random.Generator, plot: Layout, space: int) -> tuple[Period, ...]:
    """On or off by the week, at a cost."""
    off = plot.of(space)
    if len(off) > 1 and rng.random() < 0.3:
        # What can only stand there outside the periods.
        off = off[1:]
    more = rng.integers(1, 3)
    on = tuple(
        plot.variant(space, np.full(plot.days, more))
        for _ in range(int(rng.integers(1, 3)))
    )
    edges = [int(rng.choice((0, 0, 2)))]
    while edges[-1] < plot.days - 4:
        edges.append(min(plot.days, edges[-1] + int(rng.integers(4, 8))))
    cost = int(rng.integers(100, 1500))
    modes = [Mode(name="off", variants=off), Mode(name="on", variants=on, cost=cost)]
    rng.shuffle(modes)  # type: ignore[arg-type]
    return tuple(
        Period(space=space, first=first, end=end, modes=tuple(modes))
        for first, end in pairwise(edges)
    )


def _bed(rng: np.random.Generator, plot: Layout, space: int) -> Period:
    """Made up on one of several days, or not at all."""
    plain = plot.of(space)
    modes = [Mode(name="none", variants=plain if rng.random() < 0.5 else ())]
    first = int(rng.choice((0, 0, 2)))
    for number in range(int(rng.integers(2, 4))):
        made = first + int(rng.integers(0, 4)) + 3 * number
        since = np.arange(plot.days) - made
        heat = int(rng.integers(1, 3))
        warmth = np.where(since < 0, -1, np.where(since < 8, heat, 0))
        modes.append(
            Mode(
                name=f"made up on day {made}",
                variants=(plot.variant(space, warmth),),
                cost=int(rng.integers(0, 400)),
                manure=2 * heat + int(rng.integers(0, 2)),
            )
        )
    end = plot.days - int(rng.choice((0, 0, 2)))
    return Period(space=space, first=first, end=end, modes=tuple(modes))


def _shuffled(rng: np.random.Generator, plot: Layout) -> Layout:
    """Its variants in any order."""
    order = rng.permutation(len(plot.space_of))
    new = {int(old): place for place, old in enumerate(order)}

    def moved(mode: Mode) -> Mode:
        return replace(mode, variants=tuple(sorted(new[v] for v in mode.variants)))

    periods = tuple(
        replace(period, modes=tuple(map(moved, period.modes)))
        for period in plot.periods
    )
    space_of = [plot.space_of[old] for old in order]
    return replace(plot, space_of=space_of, warmth=plot.warmth[order], periods=periods)


def linked(
    rng: np.random.Generator, tasks: list[Task]
) -> tuple[list[Task], tuple[Link, ...]]:
    """Some task sown again, once or twice, so many days later."""
    if rng.random() < 0.4:
        return tasks, ()
    first = int(rng.integers(len(tasks)))
    one = tasks[first]
    between = int(rng.integers(2, 7))
    numbers = [first]
    tasks = list(tasks)
    if one.under_way:
        # Sown before all this; the other is sown after it.
        numbers.append(int(rng.integers(len(tasks))))
    else:
        for again in range(int(rng.choice((1, 2), p=(0.7, 0.3)))):
            numbers.append(len(tasks))
            later = replace(
                one,
                name=f"{one.name} again-{again}",
                must=False,
                latest=one.latest + between * (again + 1),
                pins=tuple(pin for pin in one.pins if pin.start is None),
            )
            tasks.append(later)
    links = tuple(
        Link(earlier=a, later=b, days=between) for a, b in pairwise(numbers) if a != b
    )
    return tasks, links


def split(
    rng: np.random.Generator, tasks: list[Task]
) -> tuple[list[Task], tuple[Split, ...]]:
    """Some task may be raised in two halves."""
    able = [b for b, task in enumerate(tasks) if not (task.must or task.under_way)]
    if not able or len(tasks) > 4 or rng.random() < 0.3:
        return tasks, ()
    whole = int(rng.choice(able))
    task = tasks[whole]
    half = replace(
        task,
        area=tuple(-(-area // 2) for area in task.area),
        minutes=tuple(-(-minutes // 2) for minutes in task.minutes),
        weight=task.weight // 2,
        over_weight=task.over_weight // 2,
        late_per_day=task.late_per_day // 2,
        early_per_day=task.early_per_day // 2,
    )
    tasks = [
        *tasks,
        replace(half, name=f"{task.name} one half"),
        replace(half, name=f"{task.name} other half"),
    ]
    parts = (len(tasks) - 2, len(tasks) - 1)
    return tasks, (Split(whole=whole, parts=parts),)


def kept_of(rng: np.random.Generator, task: Task, spaces: int, days: int) -> Task:
    """Now and then with a plan in force to keep to."""
    kept = tuple(
        Kept(
            stage=stage,
            space=int(rng.integers(spaces)),
            start=int(rng.integers(days)),
            worth=int(rng.integers(200, 2500)),
            per_day=int(rng.integers(0, 400)),
        )
        for stage in range(task.first_stage, len(task.area))
        if not task.begun(stage)
    )
    return replace(task, kept=kept) if rng.random() < 0.3 else task
