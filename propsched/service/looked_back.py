"""What a season was to be and what became of it; nothing heavy is loaded."""

from dataclasses import dataclass
from datetime import date

from propsched.domain.batch import EventName
from propsched.domain.crop import Method
from propsched.service.paste_row import PasteRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """
    A batch seen to be up, rooted or established, beside what was to be expected.

    ``error_d`` leaves the weather out: it is what the crop's figures, the warmth
    reckoned for its places and the day it was looked at are wrong by together.
    """

    batch: str
    crop: str
    method: Method
    event: EventName
    space: str
    """Where it began."""
    began: date
    came: date
    usual: date | None
    """Day by which half of this place's winters have it so; None: later than known."""
    usual_low: date | None
    usual_high: date | None
    """Days of the middle 80 % of those winters; None: later than known."""
    reckoned: date | None
    """Day by the weather that came and the readings taken."""
    made: float
    """Development reckoned by the day it came, in shares of the crop's heat sum."""

    @property
    def days(self) -> int:
        return (self.came - self.began).days

    @property
    def error_d(self) -> int | None:
        """Days later than reckoned with the weather that came."""
        return None if self.reckoned is None else (self.came - self.reckoned).days

    @property
    def weather_d(self) -> int | None:
        """Days by which this winter's weather put it back."""
        if self.reckoned is None or self.usual is None:
            return None
        return (self.reckoned - self.usual).days

    @property
    def held(self) -> bool:
        """Whether it came within the range told beforehand."""
        late = self.usual_high is not None and self.came > self.usual_high
        return not late and (self.usual_low is None or self.came >= self.usual_low)


@dataclass(frozen=True, slots=True, kw_only=True)
class Losses:
    """Of one stage of one batch: how many began, how many came through."""

    batch: str
    crop: str
    method: Method
    stage: str
    space: str
    of: int
    """Seeds, cuttings or plants at its beginning."""
    through: int
    """Counted at its end, or what noted losses leave."""
    expected: float
    """Reckoned to come through, with the weather that came."""
    counted: bool
    """Whether its end was counted; else only losses were."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a batch."""

    batch: str
    crop: str
    method: Method
    wanted: int
    wanted_by: date | None
    state: str
    """``planted out``, ``lost``, the stage it stands in, or ``not begun``."""
    out: int | None
    """Planted out or through; None: not known."""
    out_on: date | None

    @property
    def late_d(self) -> int | None:
        """Days after the day it was wanted by; below 0: before it."""
        if self.out_on is None or self.wanted_by is None:
            return None
        return (self.out_on - self.wanted_by).days


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceWarmth:
    """Readings of one space beside the model that knows nothing of them."""

    space: str
    days: int
    """Days with readings."""
    warmer_c: float
    """Mean of reading less model. [K]"""
    warmer_error_c: float
    """Standard error of it; nearby days tell the same. [K]"""
    typical_c: float
    """Root of the mean square of the difference. [K]"""
    held: float
    """Share of those days within the 80 % range."""

    @property
    def stands_out(self) -> bool:
        """Whether it is warmer or colder by more than chance and half a degree."""
        return abs(self.warmer_c) > max(0.5, 2 * self.warmer_error_c)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Batches of one crop, or begun in one space, taken together."""

    name: str
    method: str
    """Blank for a space."""
    batches: int
    held: int
    """Came within the range told beforehand."""
    error_d: float
    """Median of the days later than reckoned."""
    worst_d: int
    """The largest, either way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CropRow(PasteRow):
    """A row to put into crops.csv, and what it is for."""

    was: str
    """Value in force."""
    batches: int
    """Batches that speak for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LookBack:
    """
    A season looked back on.

    ``crop_rows`` are suggestions; nothing is written.
    """

    season: str
    start: date
    end: date
    today: date
    came: tuple[Came, ...]
    silent: tuple[str, ...]
    """Batches whose start is over without a day on which it was seen to be."""
    losses: tuple[Losses, ...]
    outcomes: tuple[Outcome, ...]
    spaces: tuple[SpaceWarmth, ...]
    unread: tuple[str, ...]
    """Spaces in which something stood and nothing was read."""
    by_crop: tuple[Group, ...]
    by_space: tuple[Group, ...]
    crop_rows: tuple[CropRow, ...]
    notes: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is nothing to look back on yet."""
        return not (self.came or self.losses or self.silent or self.spaces)
