"""
The best route of every chain at given prices, and in what room is left.

Backwards over the stages: the worth of a start is its own worth, minus the area
of the stay at its prices, plus the best day to leave.  With prices summed up by
day, the area of a stay is a difference of two sums, so the best day to leave is
the largest of (worth from that day on − sum up to that day) within the allowed
days: one look into a table of window maxima.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import Grid, packing_weight
from propsched.optimise.levels import Floats, Ints, Level
from propsched.optimise.network import Network
from propsched.optimise.prices import Prices, place_prices, start_prices
from propsched.optimise.problem import Route, Stop
from propsched.optimise.room import Room

Bools = NDArray[np.bool_]

_LOG2 = np.concatenate([[0], np.floor(np.log2(np.arange(1, 4096)))]).astype(np.int64)


@dataclass(frozen=True, slots=True)
class Priced:
    """Worth to go of every node, after prices."""

    node: tuple[Floats, ...]
    """By level, of each node."""
    leave: tuple[Floats, ...]
    """By level: worth from leaving a place on a moving day, minus the price of the
    area up to that day. (c, P, N)"""
    high: tuple[Ints, ...]
    """By level: last moving day a node may leave in the room there is."""
    total: tuple[Floats, ...]
    """By level: price of standing in a place from day 0 to a moving day.
    (c, P, N + 1)"""
    stands: tuple[NDArray[np.bool_] | None, ...]
    """By level: nodes that had better stand over than go on; None: no node."""
    best: Floats
    """Of each chain; −inf when it has no way. (C,)"""
    first: Ints
    """Node that attains it, in its first level. (C,)"""


def price(
    network: Network,
    prices: Prices,
    room: Room | None = None,
    toll: Floats | None = None,
) -> Priced:
    """
    Worth to go of every node.

    Parameters
    ----------
    room : Room, optional
        No stay may need more than this; without it, prices alone limit.
    toll : array, optional
        To be paid for each block in a mode, whatever the area. (M,)
    """
    places = network.modes.floor_of.size
    best = np.full(network.task_of.size, -np.inf)
    first = np.full(network.task_of.size, -1, dtype=np.int64)
    nodes: list[Floats] = []
    leaves: list[Floats] = []
    highs: list[Ints] = []
    totals: list[Floats] = []
    stands: list[Bools | None] = []
    by_place = place_prices(network.modes, prices)
    packed: list[tuple[int, Ints, Ints]] = []
    for k, packing in enumerate(prices.packing, start=1):
        s, j = np.nonzero(packing)
        if s.size:
            packed.append((k, s, j))
    left = None if room is None else room.by_place()
    for number, level in enumerate(network.levels):
        if number == 0:
            out = network.way_out - network.minutes_out * prices.minute
            if room is not None:
                out = np.where(network.minutes_out > room.minutes, -np.inf, out)
            leave = np.repeat(out[:, None, :], places, axis=1)
        else:
            leave = _entering(network, number - 1, nodes[-1])[level.before]
        total = _stay_prices(network, level, prices, by_place, packed, toll)
        leave = leave - total[:, :, :-1]
        high, to_end, starts = level.high, None, None
        if room is not None and left is not None:
            high, to_end, starts = _fitting(level, left, room.minutes)
        worth, stay = _node_worth(level, leave, high, total, to_end)
        if prices.minute.any():
            worth -= prices.minute[level.j] * level.minutes
        if starts is not None:
            worth[~starts] = -np.inf
        if network.links or (room is not None and room.window):
            _begin(network, number, worth, prices, room)
        nodes.append(worth)
        leaves.append(leave)
        highs.append(high)
        totals.append(total)
        stands.append(stay)
        _note_best(network, number, worth, best, first)
    return Priced(
        tuple(nodes),
        tuple(leaves),
        tuple(highs),
        tuple(totals),
        tuple(stands),
        best,
        first,
    )


def _stay_prices(
    network: Network,
    level: Level,
    prices: Prices,
    by_place: Floats,
    packed: list[tuple[int, Ints, Ints]],
    toll: Floats | None,
) -> Floats:
    """Price of standing in each place from day 0 to a moving day. (c, P, N + 1)"""
    modes = network.modes
    by_block = level.area[:, None, None] * by_place
    for k, s, j in packed:
        area = level.area.astype(np.int64)[:, None]
        weight = packing_weight(area, network.room[s, j], k)
        by_space = np.zeros((level.area.size, *network.room.shape))
        by_space[:, s, j] = weight * prices.packing[k - 1, s, j]
        by_block += by_space[:, modes.floor_of]
    if prices.own:
        tasks = network.task_of[level.chains]
        for (task, mode), values in prices.own.items():
            rows = np.flatnonzero(tasks == task)
            if rows.size:
                at = np.where(modes.at == mode, values, 0.0)
                by_block[rows] += at
    if toll is not None and toll.size:
        # The last two entries are those of CLOSED and FREE.
        by_block += np.concatenate([toll, [0.0, 0.0]])[modes.at]
    total = np.zeros((*by_block.shape[:2], by_block.shape[2] + 1))
    np.cumsum(by_block, axis=2, out=total[:, :, 1:])
    return total


def _entering(network: Network, number: int, worth: Floats) -> Floats:
    """Worth of leaving some place for this level, moves paid. (c, P, N)"""
    level = network.levels[number]
    floor_of = network.modes.floor_of
    c, variants, n = level.at.shape
    dense = np.full((c, variants, n), -np.inf)
    dense[level.row, level.variant, level.j] = worth
    floor = floor_of[network.place_of]
    spaces = network.room.shape[0]
    if variants == spaces and np.array_equal(floor, np.arange(spaces)):
        inside = dense
    else:
        inside = np.full((c, spaces, n), -np.inf)
        for v, s in enumerate(floor):
            np.maximum(inside[:, s], dense[:, v], out=inside[:, s])
    moved = inside.max(axis=1, keepdims=True) - network.move_cost
    entered = np.maximum(inside, moved)
    if np.array_equal(floor_of, np.arange(spaces)):
        return np.asarray(entered)
    return np.asarray(entered[:, floor_of])


def _fitting(level: Level, left: Ints, minutes: Ints) -> tuple[Ints, Bools, Bools]:
    """How far a stay reaches, whether it reaches the end, whether work is left."""
    n = left.shape[1]
    full = left[None, :, :] < level.area[:, None, None]
    block = np.where(full, np.arange(n), n)
    reach = np.minimum.accumulate(block[:, :, ::-1], axis=2)[:, :, ::-1]
    upto = reach[level.row, level.place, level.j]
    return (
        np.minimum(level.high, upto),
        upto == n,
        level.minutes <= minutes[level.j],
    )


def _begin(
    network: Network, number: int, worth: Floats, prices: Prices, room: Room | None
) -> None:
    """Let the starts of linked tasks pay, or leave out those that may not be."""
    level = network.levels[number]
    paid = start_prices(network.links, network.days, prices.link)
    windows = {} if room is None else room.window
    if not paid and not windows:
        return
    for c, chain in enumerate(level.chains):
        task = int(network.task_of[chain])
        if network.first_level[chain] != number or not (
            task in paid or task in windows
        ):
            continue
        begin, end = np.searchsorted(level.row, (c, c + 1))
        j = level.j[begin:end]
        if task in paid:
            worth[begin:end] -= paid[task][j]
        if task in windows:
            low, high = windows[task]
            day = network.days[j]
            worth[begin:end][(day < low) | (day > high)] = -np.inf


def _node_worth(
    level: Level,
    leave: Floats,
    high: Ints,
    total: Floats,
    to_end: Bools | None,
) -> tuple[Floats, Bools | None]:
    c, places, n = leave.shape
    worth = np.full(level.j.size, -np.inf)
    before = total[level.row, level.place, level.j]
    goes = np.flatnonzero(level.low <= high)
    if goes.size:
        low = level.low[goes]
        width = high[goes] - low + 1
        power = _LOG2[width]
        tables = _window_maxima(leave.reshape(-1, n), int(power.max()))
        cell = (power * (c * places) + level.row[goes] * places + level.place[goes]) * n
        flat = tables.ravel()
        found = np.maximum(flat[cell + low], flat[cell + high[goes] - (1 << power) + 1])
        worth[goes] = level.gain[goes] + found + before[goes]
    if not np.isfinite(level.over).any():
        return worth, None
    stay = level.over - (total[level.row, level.place, n] - before)
    if to_end is not None:
        stay = np.where(to_end, stay, -np.inf)
    return np.maximum(worth, stay), np.isfinite(stay) & (stay >= worth)


def _window_maxima(rows: Floats, power: int) -> Floats:
    """Largest of 2^p values from each place on, for p = 0 … power. (p, r, N)"""
    tables = np.empty((power + 1, *rows.shape))
    tables[0] = rows
    for p in range(1, power + 1):
        half = 1 << (p - 1)
        tables[p] = tables[p - 1]
        if half < rows.shape[1]:
            np.maximum(
                tables[p - 1][:, :-half],
                tables[p - 1][:, half:],
                out=tables[p][:, :-half],
            )
    return tables


def _note_best(
    network: Network, number: int, worth: Floats, best: Floats, first: Ints
) -> None:
    level = network.levels[number]
    edges = np.searchsorted(level.row, np.arange(level.chains.size + 1))
    for c, chain in enumerate(level.chains):
        if network.first_level[chain] != number or edges[c] == edges[c + 1]:
            continue
        node = edges[c] + int(np.argmax(worth[edges[c] : edges[c + 1]]))
        best[chain], first[chain] = worth[node], node


def trace(network: Network, grid: Grid, priced: Priced, chain: int) -> Route | None:
    """The best route of a chain, or None when it has no way."""
    if not np.isfinite(priced.best[chain]):
        return None
    number = int(network.first_level[chain])
    return follow(network, grid, priced, number, int(priced.first[chain]))


def follow(
    network: Network, grid: Grid, priced: Priced, number: int, node: int
) -> Route:
    """The best route on from a node of a first stage."""
    stops: list[Stop] = []
    value = 0.0
    chain = int(network.levels[number].chains[network.levels[number].row[node]])
    days = grid.days
    end_of_season = int(grid.at_or_after.size - 1)
    space = -1
    while True:
        level = network.levels[number]
        c, p, j = int(level.row[node]), int(level.place[node]), int(level.j[node])
        s = int(network.modes.floor_of[p])
        if space not in (-1, s):
            value -= network.move_cost
        space = s
        stage, v, d = int(level.stage[c]), int(level.variant[node]), int(days[j])
        stand = priced.stands[number]
        if stand is not None and stand[node]:
            stops.append(Stop(stage, v, d, end_of_season))
            value += float(level.over[node])
            break
        low, high = int(level.low[node]), int(priced.high[number][node])
        leaves = low + int(np.argmax(priced.leave[number][c, p, low : high + 1]))
        stops.append(Stop(stage, v, d, int(days[leaves])))
        value += float(level.gain[node])
        if number == 0:
            value += float(network.way_out[c, leaves])
            break
        number -= 1
        node = _next_node(network, number, int(level.before[c]), s, leaves, priced)
    return Route(
        task=int(network.task_of[chain]),
        stops=tuple(stops),
        over=bool(network.over[chain]),
        value=round(value),
    )


def _next_node(
    network: Network, number: int, row: int, space: int, j: int, priced: Priced
) -> int:
    """The best node to enter on a moving day, coming from ``space``."""
    level = network.levels[number]
    nodes = level.at[row, :, j]
    worth = np.where(nodes >= 0, priced.node[number][nodes], -np.inf)
    floor = network.modes.floor_of[network.place_of]
    worth -= network.move_cost * (floor != space)
    return int(nodes[int(np.argmax(worth))])
