"""What stands against a crop in a space, in words."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from propsched.biology import survival
from propsched.biology.climate import Climate
from propsched.biology.development import ends
from propsched.biology.gate import running_mean
from propsched.biology.race import Buds
from propsched.biology.standing import can_stand
from propsched.biology.stay import Ends, Stays
from propsched.domain.container import Container
from propsched.domain.crop import Crop, Needs

Floats = NDArray[np.floating]

_WORTH_SAYING = 0.85
"""A factor below it is worth a word."""
_LITTLE_LOSS = 0.93
"""Share that lives although buds move first, and hardly fewer for it."""
_WEEK_D = 7


def limits(
    crop: Crop, climate: Climate, day: int, container: Container | None = None
) -> list[tuple[str, ...]]:
    """
    What stands against a start of the crop on a day, by variant.

    Parameters
    ----------
    crop : Crop
        Its first stage is asked, and for seed the light of the one after.
    climate : Climate
    day : int
        Day of the start.
    container : Container, optional
        In place of the crop's own.

    Returns
    -------
    list of tuple of str
        One for each variant; empty where nothing does.
    """
    needs = crop.stages[0]
    holds = container if container and needs.stage == "start" else needs.container
    end = ends(climate, needs, day + 1)
    stays = Stays(np.minimum(end, climate.days))
    light_mol = stays.mean(climate.light_sums)[..., -1].mean(axis=1)
    checks: list[Callable[[int], str]] = [
        _weeks(climate, needs, end[..., -1]),
        _floor(climate, needs, day),
        _frost(survival.cold(climate, crop, needs, stays)[..., -1]),
        _of_factor(survival.heat(climate, needs, stays), "the root zone overheats"),
        _of_factor(survival.nights(climate, needs, stays), "nights too cold for it"),
        _light(crop, needs, light_mol),
        _air(climate, needs),
        _buds(climate, needs, stays),
    ]
    found: list[tuple[str, ...]] = []
    for v, variant in enumerate(climate.zone.variants):
        if not can_stand(variant.space, holds):
            found.append((_no_room(holds),))
            continue
        found.append(tuple(word for check in checks if (word := check(v))))
    return found


def spoken_date(climate: Climate, day: int) -> str:
    """``9 April``: a year would only be in the way within a season."""
    when = climate.zone.horizon.date(day)
    return f"{when.day} {when:%B}"


def _no_room(container: Container) -> str:
    if container.name == "row":
        return "no soil there to line out in"
    return "nothing can stand there"


def _weeks(climate: Climate, needs: Needs, end: Ends) -> Callable[[int], str]:
    in_ten = np.rint(10 * (end <= climate.days).mean(axis=-1)).astype(int)

    def check(v: int) -> str:
        if needs.stage != "chill" or in_ten[v] == 10:
            return ""
        if in_ten[v] == 0:
            return "never has its weeks of warmth and cold there"
        return f"has its weeks of cold in {in_ten[v]} winters of ten"

    return check


def _floor(climate: Climate, needs: Needs, day: int) -> Callable[[int], str]:
    floor = needs.floor_c

    def check(v: int) -> str:
        if floor is None or needs.rot_per_day <= 0:
            return ""
        warm = running_mean(np.median(climate.root_mean_c[v], axis=0)) >= floor
        if warm[day]:
            return ""
        later = np.flatnonzero(warm[day:])
        until = f" until {spoken_date(climate, day + later[0])}" if later.size else ""
        what = "sowing floor" if needs.stage == "start" else "floor"
        return f"below the {what} of {floor:g} °C{until}"

    return check


def _frost(left: Floats) -> Callable[[int], str]:
    lost = np.broadcast_to(left, left.shape).mean(axis=-1) < _WORTH_SAYING
    in_ten = np.rint(10 * (left < _WORTH_SAYING).mean(axis=-1)).astype(int)

    def check(v: int) -> str:
        v = v if len(lost) > 1 else 0
        if not lost[v]:
            return ""
        return f"frost or chill harms it in {max(int(in_ten[v]), 1)} winters of ten"

    return check


def _of_factor(left: Floats, words: str) -> Callable[[int], str]:
    mean = left[..., -1].mean(axis=-1)

    def check(v: int) -> str:
        return words if mean[v if len(mean) > 1 else 0] < _WORTH_SAYING else ""

    return check


def _light(crop: Crop, needs: Needs, light_mol: Floats) -> Callable[[int], str]:
    what = "seedlings" if crop.method == "seed" else "cuttings"
    after = crop.stages[1] if len(crop.stages) > 1 else None

    def check(v: int) -> str:
        if survival.light(needs, light_mol[v]) < _WORTH_SAYING:
            return f"too dark for {what}"
        if crop.method == "seed" and after and light_mol[v] < 0.5 * after.light_min_mol:
            return "too dark for seedlings: move them as soon as they show"
        return ""

    return check


def _air(climate: Climate, needs: Needs) -> Callable[[int], str]:
    left = survival.air(climate, needs)[:, 0, 0]

    def check(v: int) -> str:
        share = float(left[v if len(left) > 1 else 0])
        if share >= _WORTH_SAYING:
            return ""
        fault = "air not close" if needs.air == "close" else "air too close"
        in_ten = round(10 * (1.0 - share))
        return f"{fault}: about {'half' if in_ten == 5 else f'{in_ten} in ten'} fail"

    return check


def _buds(climate: Climate, needs: Needs, stays: Stays) -> Callable[[int], str]:
    if needs.bud_base_c is None or needs.stage != "start":
        return lambda v: ""
    buds = Buds(climate, needs)
    push = np.minimum(buds.push[..., stays.end.shape[-1] - 1], climate.days)
    ahead = np.median(stays.end[..., -1] - push, axis=-1)
    alive = buds.survivors(stays)[..., -1].mean(axis=-1)

    def check(v: int) -> str:
        weeks = round(float(ahead[v]) / _WEEK_D)
        if weeks < 1:
            return ""
        words = f"buds would move about {weeks} week{'s' if weeks > 1 else ''}"
        words += " before the roots"
        return f"{words}, at little loss" if alive[v] >= _LITTLE_LOSS else words

    return check
