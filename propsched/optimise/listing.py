"""
Every route that a better plan may hold.

At given prices a plan holding a route is worth at most the bound minus what the
route falls short of its task's best.  So if the shortfall exceeds bound − worth
of the best plan known, no better plan holds it; the others are listed here.
"""

from dataclasses import dataclass

import numpy as np

from propsched.optimise.bound import Bound
from propsched.optimise.grid import Grid
from propsched.optimise.levels import Floats, Ints
from propsched.optimise.network import Network
from propsched.optimise.prices import start_prices
from propsched.optimise.problem import Route, Stop


def list_routes(
    network: Network, grid: Grid, bound: Bound, slack: float, most: int
) -> list[Route] | None:
    """
    Routes whose task falls short of its best by at most ``slack``.

    Parameters
    ----------
    most : int
        Give up beyond so many.

    Returns
    -------
    The routes, or None when there are more.
    """
    found: list[Route] = []
    for chain in range(network.task_of.size):
        task = int(network.task_of[chain])
        least = max(bound.best[task] - slack, -1e300)
        # Half a unit allows for rounding in the sums of prices.
        mine = _of_chain(network, grid, bound, chain, least - 0.5, most - len(found))
        if mine is None:
            return None
        found.extend(mine)
    return _distinct(network, found)


def _distinct(network: Network, routes: list[Route]) -> list[Route]:
    """Of routes through the same places on the same days, the best one alone."""
    best: dict[tuple[object, ...], Route] = {}
    for route in routes:
        through = tuple(
            (int(network.place_of[stop.variant]), stop.start, stop.end)
            for stop in route.stops
        )
        key = (route.task, route.over, through)
        if key not in best or route.value > best[key].value:
            best[key] = route
    return list(best.values())


@dataclass(frozen=True, slots=True)
class _Parts:
    """Beginnings of routes of one chain that have come to one level."""

    first: int
    """Level in which they began."""
    number: int
    node: Ints
    paid: Floats
    """Worth so far after prices, without the node's own. (p,)"""
    value: Floats
    """Worth so far. (p,)"""
    trail: Ints
    """Nodes and leaving days before, by turns. (p, 2 × stages before)"""


def _of_chain(
    network: Network, grid: Grid, bound: Bound, chain: int, least: float, most: int
) -> list[Route] | None:
    number = int(network.first_level[chain])
    level = network.levels[number]
    row = int(np.searchsorted(level.chains, chain))
    begin, end = np.searchsorted(level.row, (row, row + 1))
    node = np.arange(begin, end)
    node = node[bound.priced.node[number][node] >= least]
    none = np.zeros(node.size)
    starts = start_prices(network.links, network.days, bound.prices.link)
    started = starts.get(int(network.task_of[chain]))
    paid = none if started is None else -started[level.j[node]]
    parts = _Parts(
        number, number, node, paid, none, np.empty((node.size, 0), dtype=np.int64)
    )
    found: list[Route] = []
    while parts.node.size:
        found += _standing(network, grid, bound, parts, least)
        going = _going(network, bound, parts, least)
        if len(found) + going[0].size > most:
            return None
        if parts.number == 0:
            found += _ready(network, grid, parts, *going)
            break
        parts = _entered(network, bound, parts, *going, least)
    return found if len(found) <= most else None


def _standing(
    network: Network,
    grid: Grid,
    bound: Bound,
    parts: _Parts,
    least: float,
) -> list[Route]:
    """Routes that stand over from here."""
    level = network.levels[parts.number]
    node = parts.node
    row, s, j = level.row[node], level.place[node], level.j[node]
    total = bound.priced.total[parts.number]
    worth = parts.paid + level.over[node] - (total[row, s, -1] - total[row, s, j])
    worth -= bound.prices.minute[j] * level.minutes[node]
    stay = np.flatnonzero(worth >= least)
    trail = np.column_stack([parts.trail[stay], node[stay]])
    return _routes(
        network, grid, parts.first, trail, parts.value[stay] + level.over[node[stay]]
    )


def _going(
    network: Network, bound: Bound, parts: _Parts, least: float
) -> tuple[Ints, Ints]:
    """Which parts may leave on which moving day and still be good enough."""
    level = network.levels[parts.number]
    node = parts.node
    row, s, j = level.row[node], level.place[node], level.j[node]
    base = parts.paid + level.gain[node]
    base += bound.priced.total[parts.number][row, s, j]
    base -= bound.prices.minute[j] * level.minutes[node]
    count = np.maximum(0, level.high[node] - level.low[node] + 1)
    part = np.repeat(np.arange(node.size), count)
    step = np.arange(part.size) - np.repeat(np.cumsum(count) - count, count)
    leave = level.low[node][part] + step
    reach = bound.priced.leave[parts.number][row[part], s[part], leave]
    good = base[part] + reach >= least
    return part[good], leave[good]


def _entered(
    network: Network,
    bound: Bound,
    parts: _Parts,
    part: Ints,
    leave: Ints,
    least: float,
) -> _Parts:
    """The beginnings one stage longer."""
    level, later = network.levels[parts.number], network.levels[parts.number - 1]
    node = parts.node[part]
    row, s, j = level.row[node], level.place[node], level.j[node]
    floor_of = network.modes.floor_of
    moved = network.move_cost * (
        floor_of[network.place_of][None, :] != floor_of[s][:, None]
    )
    value = (parts.value[part] + level.gain[node])[:, None] - moved
    paid = parts.paid[part] + level.gain[node]
    total = bound.priced.total[parts.number]
    paid -= total[row, s, leave] - total[row, s, j]
    paid -= bound.prices.minute[j] * level.minutes[node]
    after = paid[:, None] - moved
    nodes = later.at[level.before[row], :, leave].astype(np.int64)
    worth = np.where(nodes >= 0, bound.priced.node[parts.number - 1][nodes], -np.inf)
    i, v = np.nonzero(after + worth >= least)
    trail = np.column_stack([parts.trail[part[i]], node[i], leave[i]])
    number = parts.number - 1
    return _Parts(parts.first, number, nodes[i, v], after[i, v], value[i, v], trail)


def _ready(
    network: Network, grid: Grid, parts: _Parts, part: Ints, leave: Ints
) -> list[Route]:
    level = network.levels[0]
    node = parts.node[part]
    value = parts.value[part] + level.gain[node]
    value = value + network.way_out[level.row[node], leave]
    trail = np.column_stack([parts.trail[part], node, leave])
    return _routes(network, grid, parts.first, trail, value)


def _routes(
    network: Network, grid: Grid, first: int, trail: Ints, value: Floats
) -> list[Route]:
    """
    Routes from trails that begin in level ``first``.

    A trail is node, leaving day, node, leaving day …; one that ends in a node
    stands over there.
    """
    season = int(grid.at_or_after.size - 1)
    found = []
    for line, worth in zip(trail.tolist(), value.tolist(), strict=True):
        stops = []
        for k, node in enumerate(line[::2]):
            level = network.levels[first - k]
            left = line[2 * k + 1 : 2 * k + 2]
            stops.append(
                Stop(
                    stage=int(level.stage[level.row[node]]),
                    variant=int(level.variant[node]),
                    start=int(grid.days[level.j[node]]),
                    end=int(grid.days[left[0]]) if left else season,
                )
            )
        task = int(
            network.task_of[
                network.levels[first].chains[network.levels[first].row[line[0]]]
            ]
        )
        found.append(Route(task, tuple(stops), bool(len(line) % 2), round(worth)))
    return found
