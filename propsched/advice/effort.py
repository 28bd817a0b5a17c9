"""How much handling a job is, the same for the planner and the job list."""

from math import ceil

PLANTS_A_HANDFUL = 10
"""Plants in the row that take as long to handle as one container (common
practice)."""
LEAVE_MIN_PER_CONTAINER = 1.0
"""Work to plant out or hand over one container (common practice). [min]"""


def handled(container: str, number: int) -> int:
    """Containers to handle; plants in the row count by the handful."""
    return ceil(number / PLANTS_A_HANDFUL) if container == "row" else number
