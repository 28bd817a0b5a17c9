"""What containers are filled with, and how much of it."""

from collections.abc import Iterable, Mapping
from itertools import pairwise

from propsched.advice.job import Job, JobKind
from propsched.domain.container import Container, ContainerName
from propsched.domain.crop import Crop, Needs

FILL_L: dict[ContainerName, float] = {
    "tray": 4.0,  # 38 × 24 cm, filled 5 cm deep between its sloping sides
    "half-tray": 2.0,
    "module-tray": 2.5,  # 40 cells of about 60 ml
    "9cm-pot": 0.4,  # between 0.35 (round) and 0.45 (square)
    "deep-pot": 0.7,  # 9 cm wide, 13 cm deep
    "1l-pot": 1.0,
    "2l-pot": 2.0,
    "3l-pot": 3.0,
    "5l-pot": 5.0,
    "crate": 20.0,  # 60 × 40 cm, tubers bedded in 10 cm
    "chitting-tray": 0.0,
    "bag": 0.5,  # a handful of seed in some times as much
    "bundle": 0.0,
    "row": 0.0,
    "paper": 0.0,
}
"""What one takes, loosely filled (trade sizes, common practice). [l]"""
POTS: frozenset[str] = frozenset({"9cm-pot", "1l-pot", "2l-pot", "3l-pot", "5l-pot"})
"""From these a plant brings its root ball with it."""

SEED, CUTTING, POTTING = "seed compost", "cutting mix", "potting compost"
DAMP = "damp sand or vermiculite"
KIND: Mapping[JobKind, str] = {
    "sow": SEED,
    "strike": CUTTING,
    "divide": POTTING,
    "start": POTTING,
    "prick out": POTTING,
    "pot up": POTTING,
    "pot on": POTTING,
}
"""What each job takes (common practice)."""


def compost_of(job: Job, crop: Crop | None) -> tuple[str, float]:
    """
    What the containers of a job are filled with, and how many litres of it.

    Returns
    -------
    Kind, blank where nothing is filled, and litres, to a tenth.
    """
    here, before = _stages(job, crop)
    kind = KIND.get(job.kind, "")
    litres = _fill_l(job.container) * job.containers
    if job.kind == "start" and before is not None:  # out of the cold
        stays = here is not None and before.container == here.container
        kind = "" if stays else SEED
    elif job.container == "bag" and kind:
        kind = DAMP
    if job.kind in ("pot up", "pot on") and before is not None:
        litres -= job.containers * _root_ball_l(before.container)
    litres = round(max(0.0, litres), 1)
    return (kind, litres) if kind and litres else ("", 0.0)


def _stages(job: Job, crop: Crop | None) -> tuple[Needs | None, Needs | None]:
    """The stage that the job brings a batch into, and the one before."""
    for before, here in pairwise((None, *(crop.stages if crop else ()))):
        if here is not None and here.stage == job.stage:
            return here, before
    return None, None


def _root_ball_l(container: Container) -> float:
    """What a plant out of it brings along; out of a tray it has none. [l]"""
    return _fill_l(container.name) if container.name in POTS else 0.0


def _fill_l(container: str) -> float:
    return next((litres for name, litres in FILL_L.items() if name == container), 0.0)


def total_l(jobs: Iterable[Job]) -> dict[str, float]:
    """Litres by kind, most first."""
    found: dict[str, float] = {}
    for job in jobs:
        if job.compost:
            found[job.compost] = found.get(job.compost, 0.0) + job.compost_l
    return dict(sorted(found.items(), key=lambda one: (-one[1], one[0])))
