"""
Plans by insertion: a route at a time into the room that is left.

Each insertion is exact for its task: the best route in the room there is.  What
a plan gains over inserting once in the order of worth comes from taking a few
routes out and putting their tasks back in another order.
"""

from collections.abc import Callable

import numpy as np

from propsched.optimise.grid import Grid, room_beside
from propsched.optimise.levels import Floats
from propsched.optimise.network import Network, make_network
from propsched.optimise.partial import Plan, Ties
from propsched.optimise.prices import Prices, no_prices
from propsched.optimise.problem import Problem, Route, must_penalty
from propsched.optimise.room import Room, all_room
from propsched.optimise.routes import Priced, price, trace
from propsched.optimise.stays import Use, meet, use_of

HEAT = 0.01
"""Worth that a try may lose at first, as a share of a task's mean weight."""
REMOVED = 4
"""Tasks taken out at most for one that has something to gain."""
SWITCHED, RUN, CROWD = 0.3, 4, 15
"""Share of tries that run a space in another way, where there are any; periods on
end that such a try takes; tasks that it may take out."""
TOLLS = (1.0, 0.5, 0.0)
"""Share of the cost of opening a mode that insertion reckons with, by turns: several
tasks may be worth it together."""
TEARS = 5
"""Times that one insertion settles how spaces are to be run."""
# All of these are judgement: no other values were compared.


class Search:
    """Builds and betters plans of one problem; the same seed, the same plans."""

    def __init__(
        self,
        problem: Problem,
        grid: Grid,
        seed: int,
        stop: Callable[[], bool] = lambda: False,
    ) -> None:
        self.stop = stop
        self.problem = problem
        self.grid = grid
        self.rng = np.random.default_rng(seed)
        self._networks: dict[int, Network] = {}
        self._beside = room_beside(problem, grid)
        self._free = no_prices(problem, grid)
        self.ties = Ties(problem)
        self._must = np.array([task.must for task in problem.tasks], dtype=np.bool_)
        self.penalty = must_penalty(problem)
        self._alone = np.zeros(len(problem.tasks))
        self._wish: dict[int, Use] = {}
        weights = [task.weight for task in problem.tasks]
        self._heat = HEAT * float(np.mean(weights)) if weights else 0.0
        self.seen: list[Route] = []
        """Routes inserted since it was last emptied."""
        for b in range(len(problem.tasks)):
            route = self.best_route(b, all_room(grid), self._free)
            if route is not None:
                self._alone[b] = route.value
                self._wish[b] = use_of(problem, grid, route)

    def network(self, task: int) -> Network:
        if task not in self._networks:
            self._networks[task] = make_network(
                self.problem, self.grid, (task,), self._beside
            )
        return self._networks[task]

    def best_route(
        self, task: int, room: Room, prices: Prices, toll: float = 0.0
    ) -> Route | None:
        """Best route in ``room`` at ``prices``; None when it has none worth it."""
        network = self.network(task)
        if not network.task_of.size:
            return None
        tolls = room.toll() * toll if toll else None
        priced: Priced = price(network, prices, room, tolls)
        chain = int(np.argmax(priced.best))
        route = trace(network, self.grid, priced, chain)
        if route is None or (route.value <= 0 and not self._must[task]):
            return None
        return route

    def empty(self) -> Plan:
        return Plan.empty(self.ties, self.grid)

    def score(self, plan: Plan) -> int:
        """Worth of a plan, big losses for must tasks left out included."""
        out = sum(1 for b in np.flatnonzero(self._must) if int(b) not in plan.routes)
        return plan.value - out * self.penalty

    def insert(self, plan: Plan, task: int, prices: Prices, toll: float = 1.0) -> None:
        """
        Put a task in by its best route, if that is worth the modes it opens.

        Parameters
        ----------
        toll : float
            Share of the cost of opening a mode that is reckoned with.
        """
        room = plan.room
        for _ in range(TEARS):
            route = self.best_route(task, room, prices, toll)
            if route is None:
                return
            use = use_of(self.problem, self.grid, route)
            if not use.modes or plan.room.fits(use):
                break
            # It would run one space in two ways, or with too much manure.
            room = room.copy() if room is plan.room else room
            modes = self.grid.modes
            new = [m for m in use.modes if room.chosen[modes.period[m]] != m]
            if not new:
                return
            room.decide(new[0])
        else:
            return
        self.seen.append(route)
        worth = route.value - toll * plan.room.cost(use)
        if worth > 0 or self._must[task]:
            plan.put(route, use)

    def greedy(self, worth: Floats, prices: Prices) -> Plan:
        """Insert all tasks, those that must be in first, then by worth."""
        plan = self.empty()
        order = np.lexsort((np.arange(worth.size), -worth, ~self._must))
        for b in order:
            self.insert(plan, int(b), prices)
        return plan

    def greedy_by_density(self, prices: Prices) -> Plan:
        """Insert all, the worth per area and day of their best way deciding."""
        size = np.ones(self._alone.size)
        for b, use in self._wish.items():
            days = self.grid.days
            ends = np.append(days, self.problem.days)
            size[b] += sum(a * (ends[e] - days[f]) for _, f, e, a in use.stays)
        return self.greedy(self._alone / size, prices)

    def rebuild(self, routes: list[Route]) -> Plan:
        """A plan of given routes, in that order, as far as they fit."""
        plan = self.empty()
        for route in routes:
            use = use_of(self.problem, self.grid, route)
            if plan.fits(route, use):
                plan.put(route, use)
        return plan

    def fill(self, plan: Plan, prices: Prices) -> None:
        """Insert what is not placed, by its worth alone; must tasks first."""
        left = [b for b in range(self._alone.size) if b not in plan.routes]
        for b in sorted(left, key=lambda b: (not self._must[b], -self._alone[b], b)):
            self.insert(plan, b, prices)

    def better(self, plan: Plan, prices: tuple[Prices, ...], tries: int) -> int:
        """
        Take a few routes out and put them back in another order, ``tries`` times.

        Parameters
        ----------
        prices : tuple of Prices
            Each try takes one of them to look ahead with.

        Returns
        -------
        Score gained; ``plan`` is changed in place.
        """
        before = self.score(plan)
        best, kept = before, dict(plan.routes)
        now = before
        for turn in range(tries):
            if self.stop():
                break
            # A little may be lost on the way: less and less towards the end.
            heat = self._heat * (1.0 - (turn + 1) / tries)
            may_lose = -heat * np.log(max(1e-12, self.rng.random()))
            now = self._try(
                plan, prices[int(self.rng.integers(len(prices)))], now, may_lose
            )
            if now > best:
                best, kept = now, dict(plan.routes)
        if now < best:
            self._restore(plan, kept)
        return best - before

    def _restore(self, plan: Plan, routes: dict[int, Route]) -> None:
        for b in list(plan.routes):
            if plan.routes[b] is not routes.get(b):
                plan.remove(b)
        for b, route in routes.items():
            if b not in plan.routes:
                plan.put(route, use_of(self.problem, self.grid, route))

    def _try(self, plan: Plan, prices: Prices, old: int, may_lose: float) -> int:
        """One try; the plan's score after it."""
        modes: list[int] = []
        toll = 1.0
        if self.grid.modes.usual.size:
            toll = TOLLS[int(self.rng.integers(len(TOLLS)))]
            if self.rng.random() < SWITCHED:
                modes = self._another_way(plan)
        out = self._in_the_way(plan, modes) if modes else self._choose(plan)
        if not out or len(out) > CROWD:
            return old
        taken = [kept for b in out if (kept := plan.remove(b)) is not None]
        for m in modes:
            if plan.room.open()[m]:
                plan.room.decide(m)
        for b in out:
            self.insert(plan, b, prices, toll)
        plan.room.undecide()
        now = self.score(plan)
        if now >= old - may_lose:
            return now
        for b in out:
            plan.remove(b)
        for route, use in taken:
            plan.put(route, use)
        return old

    def _another_way(self, plan: Plan) -> list[int]:
        """Modes for some periods of one space that are not those of the plan."""
        modes, rng = self.grid.modes, self.rng
        edges = np.append(modes.first_of, modes.period.size)
        one = int(rng.integers(modes.usual.size))
        now = plan.room.chosen[one] if plan.room.chosen[one] >= 0 else modes.usual[one]
        others = [m for m in range(edges[one], edges[one + 1]) if m != now]
        if not others:
            return []
        target = int(rng.choice(others)) - edges[one]
        space = modes.space[edges[one]]
        found = []
        for p in range(one, min(one + int(rng.integers(1, RUN + 1)), modes.usual.size)):
            if modes.space[edges[p]] != space or edges[p] + target >= edges[p + 1]:
                break
            found.append(int(edges[p] + target))
        return found

    def _in_the_way(self, plan: Plan, modes: list[int]) -> list[int]:
        """Those that need other modes than these, and one with something to gain."""
        periods = {int(self.grid.modes.period[m]) for m in modes}
        out = [
            b
            for b, use in plan.uses.items()
            if any(
                int(self.grid.modes.period[m]) in periods and m not in modes
                for m in use.modes
            )
        ]
        seed = self._wanting(plan)
        if seed is not None and seed not in out:
            out.append(seed)
        return [int(b) for b in self.rng.permutation(out)] if out else []

    def around(self, plan: Plan, count: int) -> set[int]:
        """A task with something to gain, about ``count`` that stand near it, and all
        that are not placed."""
        seed = self._wanting(plan)
        if seed is None:
            return set()
        found = {seed}
        edge = [self._wish[seed]] if seed in self._wish else []
        while edge and len(found) < count:
            use = edge.pop(0)
            near = [
                b
                for b, other in plan.uses.items()
                if b not in found and meet(use, other, self.grid.days.size)
            ]
            for b in self.rng.permutation(near)[: count - len(found)]:
                found.add(int(b))
                edge.append(plan.uses[int(b)])
        return found | {b for b in self._wish if b not in plan.routes}

    def _wanting(self, plan: Plan) -> int | None:
        """A task drawn by what it falls short of its best."""
        now = np.array([r.value for r in plan.routes.values()], dtype=np.float64)
        gain = self._alone.copy()
        gain[list(plan.routes)] -= now
        if self._must.any():
            gain[self._must] += 1.0
            missing = [b for b in np.flatnonzero(self._must) if b not in plan.routes]
            gain[missing] += self.penalty
        total = float(gain.sum())
        if total <= 0:
            return None
        return int(self.rng.choice(gain.size, p=gain / total))

    def _choose(self, plan: Plan) -> list[int]:
        """A task with something to gain, and some that stand in its way."""
        rng = self.rng
        seed = self._wanting(plan)
        if seed is None:
            return []
        wish = self._wish.get(seed)
        if wish is None:
            return []
        near = [
            b
            for b, use in plan.uses.items()
            if b != seed and meet(wish, use, self.grid.days.size)
        ]
        count = min(len(near), int(rng.integers(1, REMOVED + 1)))
        picked = [int(b) for b in rng.permutation(near)[:count]] if near else []
        order = [seed, *picked]
        if rng.random() < 0.5:
            order = [int(b) for b in rng.permutation(order)]
        return order
