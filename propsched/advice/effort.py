"""How long handling takes, the same for the planner and the job list."""

from math import ceil

PLANTS_A_HANDFUL = 10
"""Plants lifted from the row that take as long as one container (common practice)."""
LEAVE_MIN_PER_CONTAINER = 1.0
"""Work to plant out or hand over one container (common practice). [min]"""


def start_minutes(min_per_container: float, number: int) -> int:
    """Work to bring so many containers, or plants in the row, into a stage. [min]"""
    return ceil(min_per_container * number)


def leave_minutes(container: str, number: int) -> int:
    """Work to plant out or hand over; from the row by the handful. [min]"""
    if container == "row":
        number = ceil(number / PLANTS_A_HANDFUL)
    return ceil(LEAVE_MIN_PER_CONTAINER * number)
