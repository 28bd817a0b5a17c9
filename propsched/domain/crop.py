"""What a crop by a method needs, stage by stage, each figure with its basis."""

from dataclasses import dataclass, field
from typing import Annotated, Literal, get_args

from annotated_types import Ge, Le

from propsched.domain.container import Container
from propsched.domain.quantities import Celsius, NotNegative, Positive, Share

Method = Literal[
    "seed", "hardwood", "evergreen", "tip", "basal", "root", "division", "tuber"
]
METHODS: tuple[Method, ...] = get_args(Method)
StageName = Literal[
    "warm", "chill", "start", "seedling", "prick-out", "pot-up", "pot-on", "grow",
    "harden",
]  # fmt: skip
STAGES: tuple[StageName, ...] = get_args(StageName)
"""In the order in which a crop may go through them."""
DORMANT: frozenset[str] = frozenset({"warm", "chill"})
"""Seed that lies warm, or cold, before it can germinate."""
UNSTARTED: frozenset[str] = DORMANT | {"start"}
"""Not up, rooted or established yet."""
Basis = Literal["published", "derived", "common practice", "memory"]
BASES: tuple[Basis, ...] = get_args(Basis)
AirWish = Literal["close", "dry", "open"]
"""Close: humid until rooted. Dry: ventilated. Open: minds neither."""
Destination = Literal["outdoors", "under-glass"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One cell of the crop table, with where it comes from."""

    crop: str
    """A crop, or ``@group`` for figures that a group of crops shares."""
    method: str
    stage: str
    """A stage, or empty for what belongs to the crop as a whole."""
    name: str
    value: str
    basis: Basis
    source: str
    """Key in ``sources.csv``; empty only for common practice and memory."""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """
    What one stage of one crop needs.

    Every field is a figure of the crop table under the same name.
    """

    stage: StageName
    container: Container
    base_c: Celsius = 0.0
    """No development at or below. [°C]"""
    opt_c: Celsius = 20.0
    """Fastest at. [°C]"""
    opt_to_c: Celsius | None = None
    """End of the flat top; None: falls from ``opt_c``. [°C]"""
    max_c: Celsius = 35.0
    """No development at or above. [°C]"""
    sum_c_d: NotNegative = 0.0
    """Heat sum above base to half done, below the optimum. [°C·d]"""
    days: NotNegative = 0.0
    """Least length whatever the temperature (hardening off). [d]"""
    spread: NotNegative = 0.2
    """Standard deviation of ln time between plants of a batch."""
    tray_factor: Positive = 1.0
    """Slower in trays than in the trial the figures come from, by this factor."""
    floor_c: Celsius | None = None
    """Below it what is sown or struck rots rather than waits. [°C]"""
    rot_per_day: Share = 0.0
    """Share lost per day with a mean below the floor."""
    fraction: tuple[tuple[float, float], ...] = ()
    """Final fraction (0..1) against root-zone temperature; empty: 1 everywhere."""
    light_to_start: bool = False
    """Seed that germinates only in light."""
    air: AirWish = "open"
    air_mismatch: Share = 0.5
    """Success left where the air is wrong."""
    share_air: Share = 0.0
    """Share of air temperature in what the stage feels, the rest root zone."""
    bud_base_c: Celsius | None = None
    """Base of the bud clock on air temperature; None: no race. [°C]"""
    bud_sum_c_d: NotNegative = 0.0
    """Heat sum of the air to bud push for wood fully chilled. [°C·d]"""
    bud_sum_unchilled_c_d: NotNegative = 0.0
    """The same for wood taken at leaf fall. [°C·d]"""
    min_c: Celsius | None = None
    """Night minimum the trade grows it on at; colder nights set it back. [°C]"""
    damage_c: Celsius | None = None
    """Air temperature that damages it in this stage; None: hardy. [°C]"""
    root_kill_c: Celsius | None = None
    """Root-zone temperature that kills. [°C]"""
    hot_c: Celsius | None = None
    """Root-zone temperature above which it is killed. [°C]"""
    light_min_mol: NotNegative = 0.0
    """Weak and drawn below. [mol/m²·d]"""
    light_want_mol: NotNegative = 0.0
    """No better above. [mol/m²·d]"""
    warm_weeks: NotNegative = 0.0
    """Warm stage: weeks inside the warm window; of a chill stage those before it."""
    warm_from_c: Celsius = 15.0
    warm_to_c: Celsius = 30.0
    cold_weeks: NotNegative = 0.0
    """Chill stage: weeks inside the cold window."""
    cold_from_c: Celsius = -1.0
    cold_to_c: Celsius = 10.0
    wait_d: Annotated[int, Ge(0), Le(400)] = 14
    """Days it may stand once through. [d]"""
    any_day: bool = False
    """Ending it is a small daily duty, not bound to work days."""
    min_per_container: NotNegative = 2.0
    """Work to bring it into this stage, per plant in the row. [min/container]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """One row of the crop table: a crop raised by a method."""

    name: str
    method: Method
    latin: str = ""
    also: tuple[str, ...] = ()
    """Other names people type."""
    stages: tuple[Needs, ...]
    destination: Destination = "outdoors"
    out_min_c: Celsius = 0.0
    """Night air that harms it when planted out, hardened. [°C]"""
    out_soil_c: Celsius = 0.0
    """Soil it wants when planted out. [°C]"""
    stands_over: bool = False
    """Whether standing unfinished at the season's end is a good outcome."""
    material: tuple[int, ...] = ()
    """Months in which the material exists; empty: always."""
    hazard: str = ""
    """What is poisonous or irritant about it."""
    edible: bool = False
    bolts_below_c: Celsius | None = None
    """Days below this after pricking out may make it bolt. [°C]"""
    figures: tuple[Figure, ...] = field(default=(), repr=False)

    @property
    def stays_in_row(self) -> bool:
        """Wood that roots where it is struck is lifted when it is dormant again."""
        only_roots = [needs.stage for needs in self.stages] == ["start"]
        return self.stands_over and only_roots

    @property
    def key(self) -> tuple[str, Method]:
        return self.name, self.method
