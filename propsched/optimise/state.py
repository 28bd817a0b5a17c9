"""How a solve stands: the best plan, the best bound, and the answer they make."""

import numpy as np

from propsched.domain.plan import Status
from propsched.optimise.bound import Bound, bound_at, exact_prices, whole
from propsched.optimise.grid import make_grid
from propsched.optimise.master import Master
from propsched.optimise.must import refuse_hopeless
from propsched.optimise.network import make_network
from propsched.optimise.partial import Plan
from propsched.optimise.prices import by_day, no_prices
from propsched.optimise.problem import WORTH_SCALE, Problem, Route
from propsched.optimise.progress import Asked, Clock, Progress
from propsched.optimise.search import Search
from propsched.optimise.solution import Solution
from propsched.optimise.stays import Pool


class State:
    """The best plan, the best bound, and the routes found."""

    def __init__(
        self, problem: Problem, asked: Asked, start: list[Route] | None = None
    ) -> None:
        """
        Parameters
        ----------
        start : list of Route, optional
            A plan to begin with, where the problem is a part of a larger one.
        """
        self.problem = problem
        self.asked = asked
        self.start = start
        self.clock = Clock(asked)
        self.seconds: dict[str, float] = {}
        self.grid = make_grid(problem)
        self.free = no_prices(problem, self.grid)
        self.constant = problem.constant - self.grid.modes.base
        self.network = make_network(
            problem, self.grid, tuple(range(len(problem.tasks)))
        )
        self.search = Search(problem, self.grid, asked.seed, self.clock.over)
        refuse_hopeless(problem, self.search)
        self.pool = Pool.empty(problem, self.grid)
        self.master = Master(self.pool, float(self.search.penalty), self.clock.over)
        self.plan = self.search.empty()
        self.best: list[Route] = []
        self.worth: int | None = None
        free = exact_prices(problem, self.grid, self.free)
        self.bound = bound_at(problem, self.grid, self.network, free)
        self.limit = whole(self.bound)
        """No plan is worth more, without the constant."""
        self.proof = "prices"
        self.outer = self.free
        """The master's own prices."""
        self.weight = 0.0
        """Of the bound's prices in the next round."""
        self.near = np.inf
        """How far shares and bound are apart, as a share."""
        self.closed = False
        """They have met."""
        self.listed_at = np.inf
        """What was open when routes were last listed."""

    def gap(self) -> float:
        if self.worth is None:
            return np.inf
        bound = self.limit + self.constant
        return (self.limit - self.worth) / max(WORTH_SCALE, abs(bound))

    def done(self) -> bool:
        return self.worth is not None and (
            self.limit <= self.worth or self.gap() <= self.asked.gap
        )

    def stop(self) -> bool:
        return self.done() or self.clock.over()

    def tell(self) -> None:
        if self.worth is None:
            return
        self.asked.emit(
            Progress(
                float(self.worth + self.constant),
                float(self.limit + self.constant),
                self.clock.elapsed_s(),
            )
        )

    def offer(self, plan: Plan) -> None:
        """Keep a plan if it is the best so far and holds every must task."""
        if any(
            task.must and b not in plan.routes
            for b, task in enumerate(self.problem.tasks)
        ):
            return
        for route in plan.routes.values():
            self.pool.add(route)
        if self.worth is None or plan.value > self.worth:
            self.worth = plan.value
            self.best = sorted(plan.routes.values(), key=lambda route: route.task)
            self.tell()

    def lower(self, bound: Bound) -> None:
        if bound.worth < self.bound.worth:
            self.bound = bound
            if whole(bound) < self.limit:
                self.limit = whole(bound)
                self.tell()

    def answer(self) -> Solution:
        assert self.worth is not None
        status: Status
        if self.limit <= self.worth:
            status = "optimal"
        elif self.gap() <= self.asked.gap:
            status = "within gap"
        elif self.asked.cancel.is_set():
            status = "stopped"
        else:
            status = "time limit"
        prices = by_day(self.problem, self.grid, self.bound.prices)
        return Solution(
            routes=tuple(self.best),
            worth=self.worth + self.constant,
            bound=self.limit + self.constant,
            status=status,
            area_price=prices.area,
            minute_price=prices.minute,
            packing_price=prices.packing,
            seconds=self.seconds,
            modes=self.modes(),
            mode_price=prices.mode,
            own_price=prices.own,
            link_price=prices.link,
            manure_price=self.bound.prices.manure,
            proof=self.proof,
        )

    def modes(self) -> tuple[int, ...]:
        """How each space is run in each period: the cheapest way that will do."""
        modes = self.grid.modes
        chosen = self.search.rebuild(self.best).room.chosen
        chosen = np.where(chosen < 0, modes.usual, chosen)
        return tuple(int(m) for m in chosen - modes.first_of)
