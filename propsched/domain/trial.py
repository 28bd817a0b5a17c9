"""A germination or rooting trial as it is counted."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Dish:
    """Seeds or cuttings counted together at one temperature."""

    temp_c: float
    """Held at, or its mean. [°C]"""
    sown: int
    days: tuple[float, ...]
    """Days after sowing on which it was looked at, above 0, rising. [d]"""
    new: tuple[int, ...]
    """Come since the look before."""
    name: str = ""
