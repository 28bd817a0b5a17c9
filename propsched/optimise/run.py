"""One solve, step by step: first plans, prices and bound, then the best whole plan."""

from dataclasses import replace

import numpy as np

from propsched.optimise import pace
from propsched.optimise.aside import Aside
from propsched.optimise.bound import bound_at, exact_prices
from propsched.optimise.choice import choose
from propsched.optimise.dive import dive, settle
from propsched.optimise.held import run_as
from propsched.optimise.levels import Floats
from propsched.optimise.linear import StoppedError
from propsched.optimise.listing import list_routes
from propsched.optimise.master import Shares
from propsched.optimise.must import place_all
from propsched.optimise.partial import Plan
from propsched.optimise.prices import between, start_prices
from propsched.optimise.problem import Problem, Route
from propsched.optimise.progress import Progress
from propsched.optimise.routes import trace
from propsched.optimise.solution import Solution
from propsched.optimise.state import State
from propsched.optimise.stays import price_of


def _silent(_: Progress) -> None:
    """A part of a plan is no plan to tell of."""


class Run(State):
    """The steps of a solve."""

    def go(self) -> Solution:
        self._first_plan()
        try:
            self._close_in()
            self._finish()
        except StoppedError:
            pass  # what there is by then is the answer
        self.seconds["total"] = self.clock.elapsed_s()
        return self.answer()

    def _first_plan(self) -> None:
        if self.start is not None:
            self.plan = self.search.rebuild(self.start)
            self.offer(self.plan)
            return
        free = self.free
        plan = self.search.greedy_by_density(free)
        self.offer(plan)
        self.search.better(plan, (free,), pace.PRICE_TRIES)
        if self.worth is None:
            self.search.better(plan, (free,), pace.FIRST_TRIES)
            plan = place_all(
                self.problem,
                self.search,
                plan,
                seed=self.asked.seed,
                limit_s=max(1.0, self.clock.left_s() / 2),
                reproducible=self.asked.reproducible,
                cancel=self.asked.cancel,
            )
        self.offer(plan)
        self.plan = plan
        self.seconds["first plan"] = self.clock.elapsed_s()

    def _close_in(self) -> None:
        """Prices by rounds until bound and shares meet, or their time is gone."""
        shares: Shares | None = None
        number = 0
        while not (self.stop() or self.closed):
            shares = self._round()
            number += 1
            if number % pace.TRY_PRICES == 0:
                self._try_prices()
            if self.clock.left_s() < (1.0 - pace.CLOSING) * self.asked.limit_s:
                break
        self.seconds["bound"] = self.clock.elapsed_s()
        if shares is not None and not self.stop():
            if self._choosing_modes():
                self._settle(shake=False)
            else:
                self._take(self._dive(shares))
                self._better(pace.LONG_TRIES)
        self.seconds["dive"] = self.clock.elapsed_s()

    def _round(self) -> Shares:
        """Best routes at the prices, shares of all routes so far, new prices."""
        prices = between(self.bound.prices, self.outer, self.weight)
        prices = exact_prices(self.problem, self.grid, prices)
        bound = bound_at(self.problem, self.grid, self.network, prices)
        self.lower(bound)
        fresh = 0
        for chain in np.flatnonzero(bound.priced.best > -np.inf):
            route = trace(self.network, self.grid, bound.priced, int(chain))
            if route is not None:
                fresh += self.pool.add(route)
        # Packing limits matter only once the plain ones have had their say.
        shares = self.master.solve(tighten=self.near < 1e-3)
        apart = self.bound.worth - shares.worth
        self.near = apart / max(1.0, abs(shares.worth))
        self.outer = shares.prices
        self.clock.step(pace.ROUND_S)
        met = apart <= max(0.5, 2e-5 * abs(shares.worth))
        self.closed = met or (not fresh and self.weight == 0.0)
        self.weight = pace.CENTRE if fresh else 0.0
        return shares

    def _try_prices(self) -> None:
        """A plan inserted at the bound's prices, bettered a little."""
        best = np.maximum(self.bound.best, 0.0)
        plan = self.search.greedy(best, self.bound.prices)
        self.search.fill(plan, self.free)
        self._take(plan)
        self._better(pace.PRICE_TRIES)

    def _take(self, plan: Plan) -> None:
        """Offer a plan, and go on from it if it is better than the one in work."""
        self.offer(plan)
        if self.search.score(plan) > self.search.score(self.plan):
            self.plan = plan

    def _better(self, tries: int) -> None:
        tries = min(tries, pace.TRIES_PER_TASK * len(self.problem.tasks))
        free = self.free
        half = between(self.bound.prices, free, 0.5)
        self.search.better(self.plan, (free, half, self.bound.prices), tries)
        self.clock.step(tries * pace.TRY_S)
        for route in self.search.seen:
            self.pool.add(route)
        self.search.seen.clear()
        self.offer(self.plan)

    def _finish(self) -> None:
        """The best whole plan: every route that may matter, or search."""
        aside = Aside(self.problem, self.grid)
        try:
            self._search(aside)
        finally:
            aside.end()

    def _search(self, aside: Aside) -> None:
        both = self.asked.workers > 1 and not self.asked.reproducible
        turn = 0
        while not (self.stop() or self._all_listed()):
            if both:
                self._choose_aside(aside)
            elif turn % pace.POOL[0] == pace.POOL[1]:
                self._choose_from_pool()
            for _ in range(pace.ROUNDS):
                if not (self.closed or self.stop()):
                    self._round()
            if turn % pace.DIVE[0] == pace.DIVE[1]:
                self._whole_again()
            self._rebuild()
            if turn % pace.BETTER[0] == pace.BETTER[1]:
                self._better(pace.SHORT_TRIES)
            turn += 1

    def _all_listed(self) -> bool:
        """Whether every route that a better plan may hold is known, and the matter
        is settled by them; asked again only once less is open."""
        assert self.worth is not None
        slack = self.bound.worth - self.worth
        if slack >= 0.9 * self.listed_at:
            return False
        self.listed_at = slack
        low, cells, high = pace.LISTED
        most = int(np.clip(cells // self.grid.days.size, low, high))
        routes = list_routes(self.network, self.grid, self.bound, slack, most)
        return routes is not None and self._prove(routes)

    def _whole_again(self) -> None:
        """Another whole plan out of the linear programme."""
        if self._choosing_modes():
            self._as_run(self.modes())
            self._settle(shake=True)
        else:
            self._dive_again()

    def _settle(self, *, shake: bool) -> None:
        """Run spaces as the linear programme would sooner have it, and plan."""
        # What must be placed stays possible: it has its way in these modes at least.
        must = [r for r in self.best if self.problem.tasks[r.task].must]
        plan = self.search.rebuild(must)
        rng = self.search.rng if shake else None
        share = self.master.solve(tighten=False).mode
        while settle(plan, share, rng):
            pass
        modes = self.grid.modes
        chosen = np.where(plan.room.chosen < 0, modes.usual, plan.room.chosen)
        self._as_run(tuple(int(m) for m in chosen - modes.first_of))

    def _rebuild(self) -> None:
        """Find a part of the best plan anew by the linear programme."""
        plan = self.search.rebuild(self.best)
        free = self.search.around(plan, int(self.search.rng.integers(*pace.AROUND)))
        keep = tuple(route for route in self.best if route.task not in free)
        self._take(self._dive(None, keep, shake=True))
        self.clock.step(pace.REBUILD_S)

    def _choosing_modes(self) -> bool:
        modes = self.grid.modes
        return modes.period.size > modes.usual.size

    def _as_run(self, modes: tuple[int, ...]) -> None:
        """The best plan with spaces run in given modes, begun from what of the best
        plan so far goes with them."""
        problem = run_as(self.problem, modes)
        limit_s = pace.HELD_SHARE * self.clock.left_s()
        found = self._within(problem, self.best, limit_s)
        self._take(self.search.rebuild(found))

    def _within(
        self, problem: Problem, start: list[Route], limit_s: float
    ) -> list[Route]:
        """The best plan of a smaller problem in little time, from one that is known."""
        asked = replace(
            self.asked,
            seed=int(self.search.rng.integers(2**31)),
            limit_s=min(limit_s, max(0.05, self.clock.left_s())),
            gap=0.0,
            emit=_silent,
        )
        run = Run(problem, asked, start)
        run.go()
        self.clock.step(run.clock.steps_s)
        return run.best

    def _dive_again(self) -> None:
        """Another whole plan out of the linear programme, bettered by insertion."""
        plan = self._dive(None, shake=True)
        free = self.free
        half = between(self.bound.prices, free, 0.5)
        self.search.better(plan, (free, half), pace.LONG_TRIES)
        self._take(plan)
        self.clock.step(pace.LONG_TRIES * pace.TRY_S + 4 * pace.REBUILD_S)

    def _dive(
        self,
        shares: Shares | None,
        keep: tuple[Route, ...] = (),
        *,
        shake: bool = False,
    ) -> Plan:
        return dive(
            self.search,
            self.network,
            self.pool,
            self.master,
            shares,
            self.clock.over,
            keep,
            shake=shake,
        )

    def _prove(self, routes: list[Route]) -> bool:
        """Whether CP-SAT settled the matter over every route that may matter."""
        bound = self._choose(routes, self.clock.left_s())
        if bound is None or self.worth is None:
            return False
        limit = max(bound, self.worth)
        if limit < self.limit:
            self.limit = limit
            self.proof = "every route"
            self.tell()
        return self.done()

    def _choose_aside(self, aside: Aside) -> None:
        """Take what was chosen meanwhile, and have it choose anew."""
        if aside.busy:
            return
        chosen = aside.take()
        if chosen is not None and chosen.routes is not None:
            self._take(self.search.rebuild(list(chosen.routes)))
        aside.begin(
            self._with_best(self._nearest()),
            self.best,
            max(0.05, min(pace.ASIDE_S, self.clock.left_s())),
        )

    def _choose_from_pool(self) -> None:
        self._choose(self._nearest(), min(pace.POOL_S, self.clock.left_s()))

    def _nearest(self) -> list[Route]:
        """Routes of the pool that fall least short of their task's best."""
        short = self._shortfall()
        order = np.argsort(short, kind="stable")
        slack = self.bound.worth - (self.worth or 0)
        keep = [int(i) for i in order[: pace.POOL_ROUTES] if short[i] <= slack]
        return [self.pool.routes[i] for i in keep]

    def _with_best(self, routes: list[Route]) -> list[Route]:
        known = {(r.task, r.stops) for r in routes}
        return routes + [r for r in self.best if (r.task, r.stops) not in known]

    def _shortfall(self) -> Floats:
        """How far each route of the pool falls short of its task's best."""
        prices = self.bound.prices
        starts = start_prices(self.problem.links, self.grid.days, prices.link)
        return np.array(
            [
                self.bound.best[route.task]
                - (route.value - price_of(route, use, self.grid, prices, starts))
                for route, use in zip(self.pool.routes, self.pool.uses, strict=True)
            ]
        )

    def _choose(self, routes: list[Route], limit_s: float) -> int | None:
        chosen = choose(
            self.problem,
            self.grid,
            self._with_best(routes),
            {route.task: route for route in self.best},
            seed=self.asked.seed,
            workers=self.asked.workers,
            limit_s=max(0.05, limit_s),
            reproducible=self.asked.reproducible,
            cancel=self.asked.cancel,
        )
        self.clock.step(max(pace.CHOICE_S, chosen.spent_s))
        if chosen.routes is not None:
            plan = self.search.rebuild(list(chosen.routes))
            self._take(plan)
        return chosen.bound
