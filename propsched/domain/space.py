"""Where trays, pots and cuttings stand, and what makes a place warm."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Literal, get_args

from annotated_types import Ge, Le

from propsched.domain.quantities import STRICT, Celsius, NotNegative, Positive, Share

SpaceKind = Literal[
    "open-ground", "cold-frame", "glasshouse", "polytunnel", "windowsill",
    "heated-bench", "propagator", "warm-cupboard", "hotbed", "heap", "store",
    "check-point",
]  # fmt: skip
KINDS: tuple[SpaceKind, ...] = get_args(SpaceKind)
CoverName = Literal[
    "none", "turf", "straw", "leaf-mould", "compost", "mowings", "fleece", "mat", "snow"
]
COVERS: tuple[CoverName, ...] = get_args(CoverName)
LaidCover = Literal["fleece", "mat"]
"""What can be laid over a single stay and taken off after it."""
VentHabit = Literal["automatic", "daily", "work-days", "shut"]
Material = Literal["fresh", "strawy", "old", "leaf-diluted", "mowings"]
"""What a hotbed or heap is made of; the first three are stable manure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """A thermostat and its heater."""

    __pydantic_config__ = STRICT

    set_c: Annotated[float, Ge(0), Le(40)]
    """Set point of the root zone. [°C]"""
    w_per_m2: Annotated[float, Ge(1), Le(1000)]
    """Greatest power. [W/m²]"""
    start: date | None = None
    """``from`` in the file: first day on; None means from the season's start."""
    end: date | None = None
    """``to`` in the file: last day on; None means to the season's end."""
    when: Literal["always", "never", "by-week"] = "always"
    """On throughout its dates, left off, or on in the weeks that the plan chooses."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """Light added by day."""

    __pydantic_config__ = STRICT

    mol_m2_d: NotNegative
    """Photosynthetic light it gives. [mol/m²·d]"""
    w: NotNegative = 0.0
    """Electric power, all of which ends as heat in the space. [W]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserved:
    """Area taken by something else for a time, both days included."""

    __pydantic_config__ = STRICT

    area_m2: Positive
    start: date
    """``from`` in the file."""
    end: date
    """``to`` in the file, last day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """One place; None means the default of its kind."""

    __pydantic_config__ = STRICT

    id: str
    kind: SpaceKind
    area_m2: NotNegative = 0.0
    """Standing area; nothing stands where it is 0. [m²]"""
    depth_cm: Annotated[float, Ge(0.5), Le(100)] = 8.0
    """Rooting depth, which is where the probe goes: 2, 8 or 15 usual. [cm]"""
    cover: CoverName = "none"
    cover_cm: NotNegative | None = None
    """Thickness of a mulch or of snow. [cm]"""
    cover_g_m2: NotNegative | None = None
    """Weight of a fleece. [g/m²]"""
    covers: tuple[LaidCover, ...] = ()
    """What there is to lay over a single stay here."""
    inside: str | None = None
    """The space whose air it breathes; None is outdoors."""
    light: Share | None = None
    """Share of outdoor light that reaches the plants."""
    lid: bool | None = None
    """A lid or film that keeps the air close."""
    vent: VentHabit | None = None
    lamp: Lamp | None = None
    heat: Heat | None = None
    room_c: Celsius | None = None
    """Temperature of the room, for windowsill, warm-cupboard and store. [°C]"""
    night_mat: bool = False
    """A mat or quilt over the glass every night."""
    reserved: tuple[Reserved, ...] = ()
    make_up: date | None = None
    """Day a hotbed or heap is made up; it is bare ground before."""
    make_up_days: tuple[date, ...] = ()
    """``make_up`` in the file if a list: days of which the plan chooses one or none."""
    make_up_from: date | None = None
    """The same as first and last day: work days between them."""
    make_up_to: date | None = None
    material: Material = "fresh"
    manure_cm: Annotated[float, Ge(5), Le(200)] = 60.0
    """Depth of manure or mowings. [cm]"""
    fill_c: Celsius = 30.0
    """Temperature at which it is filled. [°C]"""

    @property
    def stands(self) -> bool:
        """Whether anything can stand here."""
        return self.area_m2 > 0 and self.kind != "check-point"

    @property
    def make_up_open(self) -> bool:
        """Whether the plan is to choose the day of making up."""
        return bool(self.make_up_days) or self.make_up_from is not None

    @property
    def by_week(self) -> bool:
        """Whether the plan is to switch its heat week by week."""
        return self.heat is not None and self.heat.when == "by-week"

    @property
    def manure_l(self) -> int:
        """Manure it takes to make it up; mowings are none. [l]"""
        if self.kind not in ("hotbed", "heap") or self.material == "mowings":
            return 0
        return round(self.area_m2 * self.manure_cm * 10)


AS_SET = "as set"
HEAT_ON = "heat on"
HEAT_OFF = "heat off"
MADE_UP = "made up"
"""Followed by the day."""


@dataclass(frozen=True, slots=True)
class Variant:
    """A space in one of its states, an axis of every table: off, on, covered …"""

    space: Space
    """The space with that state's settings."""
    name: str = AS_SET
    """The state in words; ``told`` has what of it is worth telling of one stay."""
    breathes: str | None = None
    """Name of the outer space's variant whose air it breathes; None: of the same
    name, if there is one, else of its first."""


def cover_of(variant: str) -> str:
    """The cover laid in a state, ``fleece`` or ``mat``; blank: none."""
    last = variant.split(", ")[-1]
    return "" if last == HEAT_ON else last.partition(" on")[0] * last.endswith(" on")


def told(variant: str) -> str:
    """What of a state is to be told of a stay: that heat is on, that a cover lies."""
    parts = [part for part in variant.split(", ") if part not in (AS_SET, HEAT_OFF)]
    return ", ".join(part for part in parts if not part.startswith(MADE_UP))
