"""What is left as routes come and go: area, work, and how spaces are run."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import Grid
from propsched.optimise.modes import NO_LIMIT, Modes
from propsched.optimise.stays import Use

Ints = NDArray[np.int64]
UNDECIDED = -1


@dataclass(slots=True)
class Room:
    """What is left; changed in place."""

    modes: Modes
    area: Ints
    """Of each space. (S, N)"""
    minutes: Ints
    """(N,)"""
    held: Ints
    """Routes that need each mode. (M,)"""
    chosen: Ints
    """The mode of each period that is needed or was decided on, or UNDECIDED."""
    decided: Ints
    """The same of those decided on alone."""
    manure: int
    window: dict[int, tuple[int, int]] = field(default_factory=dict)
    """First and last day on which a linked task may start; first > last: it may not
    be placed at all."""

    def copy(self) -> "Room":
        return Room(
            self.modes,
            self.area.copy(),
            self.minutes.copy(),
            self.held.copy(),
            self.chosen.copy(),
            self.decided.copy(),
            self.manure,
            dict(self.window),
        )

    def open(self) -> NDArray[np.bool_]:
        """Modes that may still be had. (M,)"""
        modes = self.modes
        chosen = self.chosen[modes.period]
        mine = chosen == np.arange(modes.period.size)
        free = (chosen == UNDECIDED) & (modes.manure <= self.manure)
        return np.asarray(mine | free, dtype=np.bool_)

    def by_place(self) -> Ints:
        """Area left in each place; −1 where it is not open. (P, N)"""
        modes = self.modes
        area = self.area[modes.floor_of]
        if modes.period.size:
            # The last two entries are those of CLOSED and FREE.
            opens = np.concatenate([self.open(), [False, True]])
            area[~opens[modes.at]] = -1
        return area

    def toll(self) -> NDArray[np.float64]:
        """What it would cost to open each mode, spread over its blocks. (M,)"""
        modes = self.modes
        cost = np.where(self.held > 0, 0, modes.extra)
        return np.asarray(cost / np.maximum(1, modes.end - modes.first))

    def decide(self, mode: int) -> None:
        """Close the other modes of its period."""
        period = self.modes.period[mode]
        self.decided[period] = mode
        if self.chosen[period] != mode:
            self.chosen[period] = mode
            self.manure -= int(self.modes.manure[mode])

    def undecide(self) -> None:
        """Forget what was decided on and is not needed."""
        for period in np.flatnonzero(self.decided != UNDECIDED):
            mode = self.decided[period]
            self.decided[period] = UNDECIDED
            if not self.held[mode]:
                self.chosen[period] = UNDECIDED
                self.manure += int(self.modes.manure[mode])

    def cost(self, use: Use) -> int:
        """What opening the modes that a route needs would cost."""
        return sum(int(self.modes.extra[m]) for m in use.modes if not self.held[m])

    def take(self, use: Use) -> int:
        """Take what a route uses; what that costs in modes opened."""
        paid = 0
        for space, first, end, area in use.stays:
            self.area[space, first:end] -= area
        for j, minutes in use.work:
            self.minutes[j] -= minutes
        for m in use.modes:
            if not self.held[m]:
                paid += int(self.modes.extra[m])
                period = self.modes.period[m]
                if self.chosen[period] == UNDECIDED:
                    self.chosen[period] = m
                    self.manure -= int(self.modes.manure[m])
            self.held[m] += 1
        return paid

    def give_back(self, use: Use) -> int:
        """Give back what a route used; what that saves in modes no longer needed."""
        saved = 0
        for space, first, end, area in use.stays:
            self.area[space, first:end] += area
        for j, minutes in use.work:
            self.minutes[j] += minutes
        for m in use.modes:
            self.held[m] -= 1
            if not self.held[m]:
                saved += int(self.modes.extra[m])
                period = self.modes.period[m]
                if self.decided[period] != m:
                    self.chosen[period] = UNDECIDED
                    self.manure += int(self.modes.manure[m])
        return saved

    def fits(self, use: Use) -> bool:
        """Whether there is what a route uses."""
        if use.torn:
            return False
        if use.modes:
            opens = self.open()
            new = [m for m in use.modes if self.chosen[self.modes.period[m]] != m]
            if not all(opens[m] for m in use.modes):
                return False
            if sum(int(self.modes.manure[m]) for m in new) > self.manure:
                return False
        return all(
            self.area[space, first:end].min(initial=area) >= area
            for space, first, end, area in use.stays
        ) and all(self.minutes[j] >= minutes for j, minutes in use.work)


def all_room(grid: Grid) -> Room:
    """Nothing placed, nothing decided."""
    modes = grid.modes
    return Room(
        modes,
        grid.area.copy(),
        grid.minutes.copy(),
        np.zeros(modes.period.size, dtype=np.int64),
        np.full(modes.usual.size, UNDECIDED, dtype=np.int64),
        np.full(modes.usual.size, UNDECIDED, dtype=np.int64),
        modes.limit,
    )


__all__ = ["NO_LIMIT", "Room", "all_room"]
