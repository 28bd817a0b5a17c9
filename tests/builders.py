"""Tiny worlds for tests; every builder takes overrides."""

from datetime import date
from typing import Any

from propsched.domain.batch import Batch
from propsched.domain.season import Season, Site
from propsched.domain.space import Space


def make_space(**over: Any) -> Space:
    return Space(**{"id": "border", "kind": "open-ground", "area_m2": 2.0, **over})


def make_site(**over: Any) -> Site:
    return Site(**{"latitude": 53.0, **over})


def make_season(**over: Any) -> Season:
    plain: dict[str, Any] = {
        "name": "invented",
        "start": date(2026, 11, 1),
        "end": date(2027, 5, 31),
        "site": make_site(),
        "spaces": (make_space(),),
    }
    return Season(**{**plain, **over})


def make_batch(**over: Any) -> Batch:
    plain = {"id": "leek", "crop": "leek", "method": "seed", "wanted": 40}
    return Batch(**{**plain, **over})
