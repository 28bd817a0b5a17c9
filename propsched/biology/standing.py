"""Which kind of space can take which stage, and how close its air is."""

from propsched.domain.container import Container
from propsched.domain.crop import StageName
from propsched.domain.space import Space, SpaceKind

_IN_THE_ROW: frozenset[SpaceKind] = frozenset(
    {"open-ground", "cold-frame", "polytunnel", "glasshouse"}
)
"""Kinds with soil to line plants out in; a hotbed has a hand's breadth only."""
OUTDOOR_AIR: frozenset[SpaceKind] = frozenset(
    {"open-ground", "cold-frame", "polytunnel", "glasshouse"}
)
"""Kinds whose air can be opened to outdoors."""
_CLOSE_AIR: dict[SpaceKind, float] = {
    "propagator": 1.0,
    "warm-cupboard": 0.5,
    "store": 0.5,
    "cold-frame": 0.6,
    "hotbed": 0.6,
    "polytunnel": 0.2,
    "glasshouse": 0.2,
}
"""How humid the air stays where nothing is said of a lid; judgement. A frame is
shut for most of the winter and aired in sun; a tray in a cupboard is wrapped."""


def can_stand(space: Space, container: Container) -> bool:
    """Whether there is room at all for such a container in such a space."""
    return space.stands and (container.name != "row" or space.kind in _IN_THE_ROW)


def has_open_air(space: Space, stage: StageName) -> bool:
    """Whether the stage gets the outdoor air it is for (hardening off)."""
    if stage != "harden":
        return True
    return space.kind in OUTDOOR_AIR and space.vent != "shut"


def closeness(space: Space) -> float:
    """
    How humid the air is kept.

    Returns
    -------
    float
        1 under a lid or film, 0 in open or house air. Figures by kind are the
        project's judgement.
    """
    if space.lid is not None:
        return 1.0 if space.lid else 0.0
    if space.kind == "cold-frame" and space.vent == "shut":
        return 1.0
    return _CLOSE_AIR.get(space.kind, 0.0)
