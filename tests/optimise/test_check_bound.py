"""The checker's bound against one summed over every way there is."""

from collections import defaultdict

import numpy as np
from optimise.exhaustive import (
    BITS,
    TooManyWaysError,
    Way,
    Ways,
    best_worth,
    ways,
)
from optimise.small_seasons import small_season

from propsched.optimise.check_bound import price_bound
from propsched.optimise.problem import Problem
from propsched.optimise.solution import OwnPrice, Solution

SEASONS = 60
MOST_WAYS = 250
"""Of all tasks of a season."""


def _quarters(
    rng: np.random.Generator, shape: tuple[int, ...], most: int
) -> np.ndarray:
    """Prices that add up exactly, most of them nothing."""
    prices = rng.integers(1, 4 * most, shape) / 4
    return np.where(rng.random(shape) < 0.3, prices, 0.0)


def _priced(rng: np.random.Generator, problem: Problem) -> Solution:
    """Any prices at all; no plan."""
    own = []
    mode_price = []
    for p, period in enumerate(problem.periods):
        prices = _quarters(rng, (len(period.modes), problem.days), 60)
        prices[:, : period.first] = prices[:, period.end :] = 0.0
        mode_price.append(prices)
        own += [
            OwnPrice(
                task=int(rng.integers(len(problem.tasks))),
                period=p,
                mode=int(rng.integers(len(period.modes))),
                day=int(rng.integers(period.first, period.end)),
                price=float(rng.integers(1, 4000) / 4),
            )
            for _ in range(3)
        ]
    return Solution(
        routes=(),
        worth=0,
        bound=0,
        status="stopped",
        area_price=_quarters(rng, problem.capacity.shape, 60),
        minute_price=_quarters(rng, (problem.days,), 60) * problem.work,
        packing_price=_quarters(rng, (4, *problem.capacity.shape), 200),
        mode_price=tuple(mode_price),
        own_price=tuple(own),
        link_price=_quarters(rng, (len(problem.links), problem.days), 600),
        manure_price=0.0 if problem.manure is None else float(rng.integers(0, 800) / 4),
    )


class _Prices:
    """What a way pays, read from the bits of what it takes up and needs."""

    def __init__(self, problem: Problem, solution: Solution) -> None:
        self.problem, self.solution = problem, solution
        self.modes = [
            (p, m)
            for p, period in enumerate(problem.periods)
            for m in range(len(period.modes))
        ]
        self.own: dict[tuple[int, int, int, int], float] = defaultdict(float)
        for own in solution.own_price:
            self.own[own.task, own.period, own.mode, own.day] += own.price

    def _rows(self, use: int) -> np.ndarray:
        """Fields by row and day."""
        problem = self.problem
        rows = problem.capacity.shape[0] + 2 + len(problem.links)
        fields = [
            use >> (BITS * place) & ((1 << BITS) - 1)
            for place in range(rows * problem.days)
        ]
        return np.array(fields).reshape(rows, problem.days)

    def fits(self, way: Way) -> bool:
        """By itself, in the area and work of each day."""
        problem = self.problem
        rows = self._rows(way.use)
        spaces = problem.capacity.shape[0]
        area = rows[:spaces] <= np.maximum(0, problem.capacity)
        work = rows[spaces] <= problem.minutes
        return bool(area.all() and work[problem.work].all())

    def paid(self, task: int, way: Way) -> float:
        problem, solution = self.problem, self.solution
        rows = self._rows(way.use)
        spaces = problem.capacity.shape[0]
        area, work, links = rows[:spaces], rows[spaces], rows[spaces + 1 : -1]
        paid = float((area * solution.area_price).sum())
        paid += float((work * solution.minute_price).sum())
        paid += float((links * solution.link_price).sum())
        for k in range(1, 5):
            # How many (k + 1)ths of the room it is more than, at most k of them.
            parts = np.ceil((k + 1) * area / np.maximum(1, problem.capacity)) - 1
            price = solution.packing_price[k - 1]
            paid += float((np.maximum(0, parts) * price).sum())
        for bit, (p, m) in enumerate(self.modes):
            if way.needs >> bit & 1:
                period = problem.periods[p]
                for day in range(period.first, period.end):
                    stands = int(area[period.space, day])
                    if stands:
                        paid += stands * float(solution.mode_price[p][m, day])
                        paid += self.own[task, p, m, day]
        return paid

    def limits(self) -> float:
        """Worth of all there is, and of the best modes."""
        problem, solution = self.problem, self.solution
        room = np.maximum(0, problem.capacity)
        worth = float((room * solution.area_price).sum())
        worth += float((problem.minutes * solution.minute_price).sum())
        for k in range(1, 5):
            worth += k * float(solution.packing_price[k - 1].sum())
        worth += float(solution.link_price.sum())
        worth += solution.manure_price * (problem.manure or 0)
        for p, period in enumerate(problem.periods):
            gains = []
            for m, mode in enumerate(period.modes):
                gain = -mode.cost - solution.manure_price * mode.manure
                gain += float((solution.mode_price[p][m] * room[period.space]).sum())
                gain += sum(v for key, v in self.own.items() if key[1:3] == (p, m))
                gains.append(gain)
            worth += max(gains)
        return worth


def _summed(problem: Problem, solution: Solution, lists: list[list[Way]]) -> int:
    prices = _Prices(problem, solution)
    best = []
    for b, task in enumerate(problem.tasks):
        values = [
            way.worth - prices.paid(b, way) for way in lists[b] if prices.fits(way)
        ]
        best.append(max(values) if task.must else max([0.0, *values]))
    total = prices.limits()
    for split in problem.splits:
        parts = sum(best[part] for part in split.parts)
        total += max(best[split.whole], parts)
        for b in (split.whole, *split.parts):
            best[b] = 0.0
    return int(np.floor(total + sum(best))) + problem.constant


def test_bound_is_that_of_every_way() -> None:
    """The same at any prices; never below the best plan."""
    same = other = periods = links = splits = 0
    seed = 500_000
    while same + other < SEASONS:
        seed += 1
        problem = small_season(seed)
        lists = [ways(problem, b) for b in range(len(problem.tasks))]
        if sum(map(len, lists)) > MOST_WAYS:
            continue
        try:
            worth = best_worth(problem)
        except TooManyWaysError:
            continue
        if worth is None:
            continue
        solution = _priced(np.random.default_rng(seed), problem)
        bound = price_bound(problem, solution)
        summed = _summed(problem, solution, lists)
        assert isinstance(bound, int)
        assert bound >= worth, seed
        tasks = problem.tasks
        # A route that would need two modes of one period counts in the bound.
        torn = any(Ways(problem, b).left_out for b in range(len(tasks)))
        # What stands already is no room for others, by which it may be lower.
        stands = any(task.must and task.under_way for task in tasks)
        assert stands or bound >= summed, seed
        assert torn or bound <= summed, seed
        if torn or stands:
            other += 1
        else:
            same += 1
        periods += bool(problem.periods)
        links += bool(problem.links)
        splits += bool(problem.splits)
    assert min(same, periods, links, splits) >= 0.3 * SEASONS
