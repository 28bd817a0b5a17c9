"""Containers, the area each stands on, and how many plants it holds."""

from dataclasses import dataclass
from math import ceil
from typing import Annotated, Literal, get_args

from annotated_types import Ge, Le

from propsched.domain.quantities import STRICT

ContainerName = Literal[
    "tray", "half-tray", "module-tray", "9cm-pot", "deep-pot", "1l-pot", "2l-pot",
    "3l-pot", "5l-pot", "crate", "chitting-tray", "bag", "bundle", "row", "paper",
]  # fmt: skip
CONTAINERS: tuple[ContainerName, ...] = get_args(ContainerName)

TRAY_M2 = 0.38 * 0.24
"""A standard seed tray, common UK trade size. [m²]"""

# token: (standing area of one [m²], plants or cuttings it holds), common practice
_SIZES: dict[str, tuple[float, int]] = {
    "tray": (TRAY_M2, 60),
    "half-tray": (TRAY_M2 / 2, 30),
    "module-tray": (TRAY_M2, 40),
    "9cm-pot": (0.09 * 0.09, 1),
    "deep-pot": (0.09 * 0.09, 4),
    "1l-pot": (0.13 * 0.13, 1),
    "2l-pot": (0.17 * 0.17, 1),
    "3l-pot": (0.19 * 0.19, 1),
    "5l-pot": (0.22 * 0.22, 1),
    "crate": (0.60 * 0.40, 10),
    "chitting-tray": (TRAY_M2, 30),
    "bag": (0.01, 200),
    "bundle": (0.02, 40),
    "paper": (0.01, 100),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Container:
    """A container, or a spacing where plants stand in the row."""

    __pydantic_config__ = STRICT

    name: ContainerName
    holds: Annotated[int, Ge(1), Le(2000)] | None = None
    """Plants in one; None takes the usual number of the container."""
    in_row_cm: Annotated[float, Ge(1), Le(200)] = 15.0
    """Distance between plants, for ``row`` only. [cm]"""
    rows_cm: Annotated[float, Ge(1), Le(200)] = 30.0
    """Distance between rows, for ``row`` only. [cm]"""

    @property
    def capacity(self) -> int:
        """Plants in one; 1 for ``row``."""
        return 1 if self.name == "row" else self.holds or _SIZES[self.name][1]

    def number(self, plants: int) -> int:
        """Containers for so many plants; for ``row`` the plants themselves."""
        return ceil(plants / self.capacity)

    def area_m2(self, plants: int) -> float:
        """Standing area for so many plants. [m²]"""
        if self.name == "row":
            return plants * self.in_row_cm * self.rows_cm / 10_000
        return self.number(plants) * _SIZES[self.name][0]
