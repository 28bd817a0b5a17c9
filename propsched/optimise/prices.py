"""What everything scarce is worth: area, work, places, modes, manure, order."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from propsched.optimise.grid import PACKINGS, Grid
from propsched.optimise.modes import Modes
from propsched.optimise.problem import Link, Problem
from propsched.optimise.solution import OwnPrice

Floats = NDArray[np.float64]

TINY = 1e-9
"""Prices of one task's own below it are dropped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """Worth of a unit of whatever is limited; all ≥ 0."""

    area: Floats
    """Of a unit of area of a space for a block. (S, N)"""
    minute: Floats
    """(N,)"""
    packing: Floats
    """Of one unit of ``packing_weight``, by its k − 1. (PACKINGS, S, N)"""
    mode: Floats
    """Of a unit of area in a mode for a block. (M, N)"""
    link: Floats
    """Of one task's starting regardless of the other, by moving day. (L, N)"""
    own: Mapping[tuple[int, int], Floats] = field(default_factory=dict)
    """By task and mode: of being let in for a block, whatever the area. (N,) each"""
    manure: float = 0.0


def no_prices(problem: Problem, grid: Grid) -> Prices:
    shape = grid.area.shape
    n = grid.days.size
    return Prices(
        area=np.zeros(shape),
        minute=np.zeros(n),
        packing=np.zeros((PACKINGS, *shape)),
        mode=np.zeros((grid.modes.period.size, n)),
        link=np.zeros((len(problem.links), n)),
    )


def between(one: Prices, other: Prices, weight: float) -> Prices:
    """``weight`` of the one, the rest of the other."""
    rest = 1.0 - weight
    own: dict[tuple[int, int], Floats] = {}
    for part, prices in ((weight, one), (rest, other)):
        for key, values in prices.own.items():
            mine = part * values
            own[key] = own[key] + mine if key in own else mine
    return Prices(
        area=weight * one.area + rest * other.area,
        minute=weight * one.minute + rest * other.minute,
        packing=weight * one.packing + rest * other.packing,
        mode=weight * one.mode + rest * other.mode,
        link=weight * one.link + rest * other.link,
        own={key: values for key, values in own.items() if values.max() > TINY},
        manure=weight * one.manure + rest * other.manure,
    )


def rounded(prices: Prices, scale: float) -> Prices:
    """All prices as whole numbers of 1 ÷ ``scale``."""

    def whole(values: Floats) -> Floats:
        return np.round(values * scale) / scale

    return Prices(
        area=whole(prices.area),
        minute=whole(prices.minute),
        packing=whole(prices.packing),
        mode=whole(prices.mode),
        link=whole(prices.link),
        own={key: whole(values) for key, values in prices.own.items()},
        manure=float(np.round(prices.manure * scale) / scale),
    )


def place_prices(modes: Modes, prices: Prices) -> Floats:
    """Price of a unit of area in each place for a block. (P, N)"""
    by_place = prices.area[modes.floor_of]
    if modes.period.size:
        held = modes.at >= 0
        block = np.broadcast_to(np.arange(modes.at.shape[1]), modes.at.shape)
        by_place[held] += prices.mode[modes.at[held], block[held]]
    return by_place


def start_prices(
    links: tuple[Link, ...], days: NDArray[np.int64], link: Floats
) -> dict[int, Floats]:
    """
    What the start of a linked task pays, by moving day. (N,) each

    Parameters
    ----------
    days : array
        Moving days. (N,)
    link : array
        Prices of the links. (L, N)

    Notes
    -----
    Of each link and day t: the later starts by t, or the earlier after t − days,
    but not both.
    """
    paid: dict[int, Floats] = {}
    for one, price in zip(links, link, strict=True):
        if not price.any():
            continue
        upto = np.concatenate([[0.0], np.cumsum(price)])
        later = upto[-1] - upto[:-1]
        earlier = upto[np.searchsorted(days, days + one.days)]
        for task, cost in ((one.later, later), (one.earlier, earlier)):
            paid[task] = paid[task] + cost if task in paid else cost
    return paid


@dataclass(frozen=True, slots=True, kw_only=True)
class ByDay:
    """Prices by day, as a solution gives them."""

    area: Floats
    minute: Floats
    packing: Floats
    mode: tuple[Floats, ...]
    own: tuple[OwnPrice, ...]
    link: Floats


def by_day(problem: Problem, grid: Grid, prices: Prices) -> ByDay:
    """A block's price is that of the day of it on which its space is smallest."""
    days, modes = problem.days, grid.modes
    area = np.zeros((grid.area.shape[0], days))
    np.put_along_axis(area, grid.least_day, prices.area, axis=1)
    minute = np.zeros(days)
    minute[grid.days] = prices.minute
    packing = np.zeros((PACKINGS, *area.shape))
    for k in range(PACKINGS):
        np.put_along_axis(packing[k], grid.least_day, prices.packing[k], axis=1)
    by_mode = np.zeros((modes.period.size, days))
    if modes.period.size:
        np.put_along_axis(by_mode, grid.least_day[modes.space], prices.mode, axis=1)
    edges = np.append(modes.first_of, modes.period.size)
    own = [
        OwnPrice(
            task=task,
            period=int(modes.period[mode]),
            mode=int(mode - edges[modes.period[mode]]),
            day=int(grid.days[j]),
            price=float(values[j]),
        )
        for (task, mode), values in sorted(prices.own.items())
        for j in np.flatnonzero(values)
    ]
    link = np.zeros((len(problem.links), days))
    link[:, grid.days] = prices.link
    return ByDay(
        area=area,
        minute=minute,
        packing=packing,
        mode=tuple(by_mode[first:end] for first, end in pairwise(edges)),
        own=tuple(own),
        link=link,
    )
