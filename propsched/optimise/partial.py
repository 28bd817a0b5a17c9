"""Routes that fit together, and the room they leave."""

from collections import defaultdict
from dataclasses import dataclass, field

from propsched.optimise.grid import Grid
from propsched.optimise.problem import Link, Problem, Route, Split
from propsched.optimise.room import Room, all_room
from propsched.optimise.stays import Use

NEVER = (1, 0)
"""Window of a task that may not be placed."""


class Ties:
    """Which tasks have a say in one another's being placed."""

    def __init__(self, problem: Problem) -> None:
        self.days = problem.days
        self.links: dict[int, list[Link]] = defaultdict(list)
        self.splits: dict[int, list[Split]] = defaultdict(list)
        self.others: dict[int, set[int]] = defaultdict(set)
        for link in problem.links:
            self._tie((link.earlier, link.later))
            self.links[link.earlier].append(link)
            self.links[link.later].append(link)
        for split in problem.splits:
            for part in split.parts:
                self._tie((split.whole, part))
            for task in (split.whole, *split.parts):
                self.splits[task].append(split)

    def _tie(self, pair: tuple[int, int]) -> None:
        one, other = pair
        self.others[one].add(other)
        self.others[other].add(one)

    def window(self, task: int, routes: dict[int, Route]) -> tuple[int, int] | None:
        """First and last day on which a task may start beside ``routes``."""
        low, high = 0, self.days
        for link in self.links.get(task, ()):
            if link.later == task and link.earlier in routes:
                low = max(low, routes[link.earlier].stops[0].start + link.days)
            if link.earlier == task and link.later in routes:
                high = min(high, routes[link.later].stops[0].start - link.days)
        for split in self.splits.get(task, ()):
            barring = split.parts if task == split.whole else (split.whole,)
            if any(other in routes for other in barring):
                return NEVER
        return (low, high) if (low, high) != (0, self.days) else None


@dataclass(slots=True)
class Plan:
    """Whole or in part; changed in place."""

    ties: Ties
    room: Room
    routes: dict[int, Route] = field(default_factory=dict)
    uses: dict[int, Use] = field(default_factory=dict)
    value: int = 0
    """Of the routes, less the cost of modes above the cheapest."""

    @classmethod
    def empty(cls, ties: Ties, grid: Grid) -> "Plan":
        return cls(ties, all_room(grid))

    def fits(self, route: Route, use: Use) -> bool:
        """Whether a task that is not placed could go this way."""
        if route.task in self.routes:
            return False
        first, last = self.room.window.get(route.task, (0, self.ties.days))
        return first <= route.stops[0].start <= last and self.room.fits(use)

    def gain(self, route: Route, use: Use) -> int:
        """What the plan would gain by a route, modes to be opened paid."""
        return route.value - self.room.cost(use)

    def put(self, route: Route, use: Use) -> None:
        self.value += route.value - self.room.take(use)
        self.routes[route.task] = route
        self.uses[route.task] = use
        self._look_around(route.task)

    def remove(self, task: int) -> tuple[Route, Use] | None:
        if task not in self.routes:
            return None
        route, use = self.routes.pop(task), self.uses.pop(task)
        self.value += self.room.give_back(use) - route.value
        self._look_around(task)
        return route, use

    def _look_around(self, task: int) -> None:
        """When those may start now that are tied to a task."""
        for other in self.ties.others.get(task, ()):
            window = self.ties.window(other, self.routes)
            if window is None:
                self.room.window.pop(other, None)
            else:
                self.room.window[other] = window
