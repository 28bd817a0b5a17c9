"""What a solve tells while it runs, and when it has to end."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a solve has come; worths in whole units."""

    worth: float
    bound: float
    elapsed_s: float


Emit = Callable[[Progress], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked of a solve."""

    seed: int
    limit_s: float
    gap: float
    workers: int
    reproducible: bool
    emit: Emit
    cancel: threading.Event


@dataclass(slots=True)
class Clock:
    """Time left; where it must be reproducible, steps stand for time."""

    asked: Asked
    began: float = field(default_factory=time.perf_counter)
    steps_s: float = 0.0
    """Time that the steps taken stand for, on an ordinary machine."""

    def elapsed_s(self) -> float:
        return time.perf_counter() - self.began

    def step(self, seconds: float) -> None:
        self.steps_s += seconds

    def left_s(self) -> float:
        spent = self.steps_s if self.asked.reproducible else self.elapsed_s()
        return self.asked.limit_s - spent

    def over(self) -> bool:
        return self.asked.cancel.is_set() or self.left_s() <= 0
