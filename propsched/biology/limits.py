"""What stands against a crop in a space, in words."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from propsched.biology import survival
from propsched.biology.chilling import dormancy_broken, weeks_had
from propsched.biology.climate import Climate
from propsched.biology.development import coming_week, ends, races, sides
from propsched.biology.light import light_factor
from propsched.biology.race import Buds
from propsched.biology.standing import can_stand
from propsched.biology.stay import Stays
from propsched.domain.container import Container
from propsched.domain.crop import DORMANT, UNSTARTED, Crop, Needs

Floats = NDArray[np.floating]
Say = Callable[[int], str]

_WORTH_SAYING = 0.85
"""A factor below it is worth a word; so is the worst one where the rest is below.
Judgement."""
_LITTLE_LOSS = 0.93
"""Share that lives although buds move first, and hardly fewer for it; judgement."""
_WEEK_D = 7
_IN_LIGHT = {"seed": "seedlings", "tuber": "shoots", "division": "shoots"}
"""What of it the light is for, by method."""
_WORTH_TRYING = 0.15
"""Seed short of its weeks of which at least that share comes is worth a word;
judgement."""
_NUMBERS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
)  # fmt: skip
_BUDS_FIRST = "buds move before the roots"


@dataclass(frozen=True)
class _Loss:
    left: Floats
    """Share that comes through one way of failing. (V, K)"""
    say: Say
    """Of a variant; empty where there is nothing to say."""
    always: bool = False
    """Worth saying whatever is lost by it."""
    plain: str = ""
    """Said where it costs most and ``say`` has nothing better."""


def limits(
    crop: Crop,
    needs: Needs,
    climate: Climate,
    days: NDArray[np.int64],
    *,
    end_day: int,
    container: Container | None = None,
) -> list[tuple[str, ...]]:
    """
    What stands against a stage of the crop, by variant.

    Parameters
    ----------
    crop : Crop
        For seed the light of the stage after is asked too.
    needs : Needs
        Lying warm, chilling or start.
    climate : Climate
    days : array
        Day on which the stage begins in each variant. Shape (V,).
    end_day : int
        First day after the season, before which chilling has to be complete.
    container : Container, optional
        In place of the crop's own.

    Returns
    -------
    list of tuple of str
        One for each variant; empty where nothing does. Where fewer than 85 %
        come through, what costs most is among them.
    """
    holds = container if container and needs.stage == "start" else needs.container
    losses = _losses(crop, needs, climate, days, end_day)
    left = np.stack([loss.left for loss in losses])
    means = left.mean(axis=2)
    poor = left.prod(axis=0).mean(axis=1) < _WORTH_SAYING
    worst = means.argmin(axis=0)
    found: list[tuple[str, ...]] = []
    for v, variant in enumerate(climate.zone.variants):
        if not can_stand(variant.space, holds):
            found.append((_no_room(holds),))
            continue
        words = []
        for i, loss in enumerate(losses):
            costs_most = bool(poor[v]) and i == worst[v]
            if loss.always or costs_most or means[i, v] < _WORTH_SAYING:
                words.append(loss.say(v) or (loss.plain if costs_most else ""))
        found.append(tuple(word for word in words if word))
    return found


def spoken_date(climate: Climate, day: int) -> str:
    """``9 April``: a year would only be in the way within a season."""
    when = climate.zone.horizon.date(day)
    return f"{when.day} {when:%B}"


def _losses(
    crop: Crop,
    needs: Needs,
    climate: Climate,
    days: NDArray[np.int64],
    end_day: int,
) -> list[_Loss]:
    end = ends(climate, needs, int(days.max()) + 1)
    stays = Stays(np.minimum(end, climate.days))
    mean_mol = stays.mean(climate.light_sums)
    rows = np.arange(len(days))

    def here(factor: Floats) -> Floats:
        """On the day of the start. Shape (V, K)."""
        full: Floats = np.broadcast_to(factor, end.shape)[rows, :, days]
        return full

    light_mol = here(mean_mol).mean(axis=1)
    frost = here(survival.cold(climate, crop, needs, stays))
    cool, warm = (here(side) for side in sides(climate, needs, stays))
    air = here(survival.air(climate, needs))
    floor = _floor(climate, needs, days)
    losses = [
        _Loss(
            here(survival.rot(climate, crop, needs, stays)),
            floor,
            always=True,
            plain="lies cold so long that some of it rots",
        ),
        _Loss(frost, _frost(frost)),
        _Loss(
            here(survival.heat(climate, needs, stays)),
            _plain("the root zone overheats"),
        ),
        _Loss(
            here(survival.nights(climate, needs, stays)),
            _plain("nights too cold for it"),
        ),
        _Loss(
            here(survival.light(climate, needs, stays, mean_mol)),
            _light(crop, needs, light_mol),
            always=True,
            plain="less light than it wants",
        ),
        _Loss(
            here(survival.waiting(climate, crop, needs, stays, mean_mol)),
            _plain("long without roots"),
        ),
        _Loss(air, _air(needs, air)),
        _Loss(cool, lambda v: "" if floor(v) else _fail("too cool", cool)(v)),
        _Loss(warm, _fail("too warm", warm)),
    ]
    if needs.stage in DORMANT:
        reached = here((end < end_day).astype(np.float32))
        had = dormancy_broken(needs, *weeks_had(climate, needs, days, end_day))
        losses.insert(0, _Loss(reached, _weeks(needs, reached, had), always=True))
    if races(needs):
        buds = Buds(climate, needs)
        push = np.minimum(buds.push[..., : end.shape[-1]], climate.days)
        alive = here(buds.survivors(stays))
        ahead = np.median(here((stays.end - push).astype(np.float32)), axis=1)
        losses.append(_Loss(alive, _buds(ahead, alive), True, _BUDS_FIRST))
    return losses


def _no_room(container: Container) -> str:
    if container.name == "row":
        return "it stands in rows in the soil, and there is none"
    return "nothing can stand there"


def _plain(words: str) -> Say:
    return lambda v: words


def _fail(words: str, left: Floats) -> Say:
    return lambda v: f"{words}: {_in_ten(1.0 - float(left[v].mean()))} fail"


def _in_ten(share: float) -> str:
    tenths = max(round(10 * share), 1)
    if tenths == 10:
        return "nearly all"
    return "about half" if tenths == 5 else f"about {_NUMBERS[tenths]} in ten"


def _weeks(needs: Needs, reached: Floats, had: Floats) -> Say:
    both = needs.warm_weeks > 0 and needs.cold_weeks > 0
    weeks = "warmth and cold" if both else "warmth" if needs.stage == "warm" else "cold"
    in_ten = np.clip(np.rint(10 * reached.mean(axis=1)).astype(int), 1, 9)

    def say(v: int) -> str:
        if reached[v].all():
            return ""
        if not reached[v].any():
            words = f"never has its weeks of {weeks} there"
            if had[v] < _WORTH_TRYING or needs.stage == "warm":
                return words
            return f"{words}: {_in_ten(float(had[v]))} would come all the same"
        what = "warmth" if needs.stage == "warm" else "cold"
        return f"has its weeks of {what} in {in_ten[v]} winters of ten"

    return say


def _floor(climate: Climate, needs: Needs, days: NDArray[np.int64]) -> Say:
    floor = needs.floor_c
    week_c = coming_week(climate)

    def say(v: int) -> str:
        if floor is None or needs.rot_per_day <= 0 or week_c[v, days[v]] >= floor:
            return ""
        later = np.flatnonzero(week_c[v, days[v] :] >= floor)
        day = int(days[v] + later[0]) if later.size else None
        until = "" if day is None else f" until {spoken_date(climate, day)}"
        what = "sowing floor" if needs.stage == "start" else "floor"
        return f"below the {what} of {floor:g} °C{until}"

    return say


def _frost(left: Floats) -> Say:
    in_ten = np.rint(10 * (left < _WORTH_SAYING).mean(axis=1)).astype(int)
    return lambda v: (
        f"frost or chill harms it in {max(int(in_ten[v]), 1)} winters of ten"
    )


def _light(crop: Crop, needs: Needs, light_mol: Floats) -> Say:
    what = _IN_LIGHT.get(crop.method, "cuttings")
    after = next((n for n in crop.stages if n.stage not in UNSTARTED), None)

    def say(v: int) -> str:
        if light_factor(float(light_mol[v]), needs) < _WORTH_SAYING:
            return f"too dark for {what}"
        shows = crop.method == "seed" and needs.stage == "start"
        if shows and after and light_mol[v] < 0.5 * after.light_min_mol:
            return "too dark for seedlings: move them as soon as they show"
        return ""

    return say


def _air(needs: Needs, left: Floats) -> Say:
    fault = "air not close" if needs.air == "close" else "air too close"
    return _fail(fault, left)


def _buds(ahead_d: Floats, alive: Floats) -> Say:
    def say(v: int) -> str:
        weeks = round(float(ahead_d[v]) / _WEEK_D)
        if weeks < 1:
            return ""
        words = f"buds would move about {weeks} week{'s' if weeks > 1 else ''}"
        words += " before the roots"
        little = alive[v].mean() >= _LITTLE_LOSS
        return f"{words}, at little loss" if little else words

    return say
