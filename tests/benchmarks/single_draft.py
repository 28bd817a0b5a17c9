"""What the single model is written with: tables, orders of days, room over days."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

Ints = NDArray[np.int64]
Values = dict[int, int]
"""Of variables, by their index."""


@dataclass
class Chain:
    """One batch's stages, in the end ready or standing over."""

    task: int
    over: bool
    present: cp_model.IntVar
    days: dict[int, cp_model.IntVar] = field(default_factory=dict)
    """Start of each stage; after the last the day it leaves."""
    here: dict[int, cp_model.IntVar] = field(default_factory=dict)
    """Whether it comes to a stage at all."""
    on: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    """Stage and variant: stands there, and goes on or leaves."""
    stays: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    """Stage and variant: stands there to the season's end."""

    def at(self, stage: int) -> dict[int, list[cp_model.IntVar]]:
        """By variant, what tells that a stage stands in it."""
        found: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for some in (self.on, self.stays):
            for (k, v), literal in some.items():
                if k == stage:
                    found[v].append(literal)
        return found


class Draft:
    """A model; what of it follows from the rest is known, for complete hints."""

    def __init__(self) -> None:
        self.cp = cp_model.CpModel()
        self.gains: list[tuple[cp_model.IntVar, int]] = []
        """Worth of each variable's being one more."""
        self.derived: list[tuple[cp_model.IntVar, Callable[[Values], int]]] = []
        """Variables that follow from others, and how; in order."""
        self.domain: dict[int, list[int]] = {}
        """Days that a day variable may be."""
        self._before: dict[tuple[int, int], cp_model.IntVar] = {}

    def day(self, days: list[int]) -> cp_model.IntVar:
        """A variable for one of some days."""
        day = self.cp.new_int_var_from_domain(cp_model.Domain.from_values(days), "")
        self.domain[day.index] = days
        return day

    def on(self, x: cp_model.IntVar, day: cp_model.IntVar, days: Ints) -> None:
        """If x, then on one of some days."""
        domain = cp_model.Domain.from_values(days.tolist())
        self.cp.add_linear_expression_in_domain(day, domain).only_enforce_if(x)

    def element(
        self, day: cp_model.IntVar, table: Ints, ok: Ints
    ) -> cp_model.IntVar | int:
        """The table's figure of the day; what it is on other days does not matter."""
        figures = table[ok]
        low, high = int(figures.min()), int(figures.max())
        if low == high:
            return low
        # Elsewhere the figure of the nearest day before that is asked of.
        first, last = self.domain[day.index][0], self.domain[day.index][-1]
        asked = np.searchsorted(ok, np.arange(first, last + 1), "right") - 1
        filled = figures[np.maximum(0, asked)].tolist()
        target = self.cp.new_int_var(low, high, "")
        self.cp.add_element(day - first, filled, target)
        self.derived.append((target, lambda values: filled[values[day.index] - first]))
        return target

    def any_of(self, some: Sequence[cp_model.IntVar]) -> cp_model.IntVar:
        """Whether one of literals holds, of which no two can."""
        one = self.cp.new_bool_var("")
        self.cp.add(sum(some) == one)
        self.derived.append((one, lambda values: sum(values[x.index] for x in some)))
        return one

    def is_before(self, var: cp_model.IntVar, day: int) -> cp_model.IntVar | bool:
        """Whether a day is before another; shared by all that ask."""
        days = self.domain[var.index]
        if days[-1] < day:
            return True
        if days[0] >= day:
            return False
        key = var.index, day
        if key not in self._before:
            one = self._before[key] = self.cp.new_bool_var("")
            self.cp.add(var < day).only_enforce_if(one)
            self.cp.add(var >= day).only_enforce_if(~one)
            self.derived.append((one, lambda values: int(values[var.index] < day)))
        return self._before[key]

    def cumulative(
        self, some: list[tuple[cp_model.IntervalVar, int]], room: Ints
    ) -> None:
        """Intervals with what they take; a day's less room is a fixed interval."""
        if not some:
            return
        most = int(room.max())
        intervals, demands = [one for one, _ in some], [take for _, take in some]
        edges = np.flatnonzero(np.diff(room)) + 1
        for first, end in pairwise([0, *edges.tolist(), room.size]):
            if room[first] < most:
                gone = self.cp.new_fixed_size_interval_var(first, end - first, "")
                intervals.append(gone)
                demands.append(most - int(room[first]))
        self.cp.add_cumulative(intervals, demands, most)
