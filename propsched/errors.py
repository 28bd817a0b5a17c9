"""The errors a user can cause, how they read, and the exit code of each."""

from dataclasses import dataclass
from enum import IntEnum


class ExitCode(IntEnum):
    """What the command tells the shell."""

    DONE = 0
    """Finished; a time limit that was reached is no fault."""
    PINS_IMPOSSIBLE = 1
    """What the grower has pinned cannot all be met."""
    BAD_INPUT = 2
    """Bad input or usage."""
    STOPPED = 3
    """Stopped by the user, the best plan so far is saved."""
    BUG = 70
    """A fault of the program itself."""
    INTERRUPTED = 130
    """Interrupted with nothing to save."""


@dataclass(frozen=True, slots=True, order=True)
class InputProblem:
    """One fault of the input, with the place to mend it."""

    path: str
    line: int
    """First line is 1; 0 means the file as a whole."""
    what: str
    """Where and what: names the key or column and gives the offending value."""
    right: str = ""
    """What would be right."""

    def __str__(self) -> str:
        place = f"{self.path}:{self.line}" if self.line else self.path
        return f"{place}: {self.what}" + (f" – {self.right}" if self.right else "")


class PropschedError(Exception):
    """Anything the user can mend."""

    exit_code = ExitCode.BAD_INPUT


class InvalidInputError(PropschedError):
    """Files that cannot be used as they are; carries every fault found."""

    def __init__(self, problems: list[InputProblem] | tuple[InputProblem, ...]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(str(p) for p in self.problems))


class UnknownNameError(PropschedError):
    """A crop, space or batch that is not there."""


class PinsImpossibleError(PropschedError):
    """The pins contradict the limits or one another."""

    exit_code = ExitCode.PINS_IMPOSSIBLE


class NothingFoundError(PropschedError):
    """Stopped by the user before there was a plan to save."""

    exit_code = ExitCode.INTERRUPTED
