"""A choice from the pool made on another core while the search goes on."""

import threading

from propsched.optimise.choice import Chosen, choose
from propsched.optimise.grid import Grid
from propsched.optimise.problem import Problem, Route


class Aside:
    """One choice at a time; ask for it, go on, take what was found."""

    def __init__(self, problem: Problem, grid: Grid) -> None:
        self._problem = problem
        self._grid = grid
        self._thread: threading.Thread | None = None
        self._enough = threading.Event()
        self._found: Chosen | None = None
        self._error: BaseException | None = None
        self._times = 0

    @property
    def busy(self) -> bool:
        return self._thread is not None and self._thread.is_alive()

    def begin(self, routes: list[Route], best: list[Route], limit_s: float) -> None:
        """
        Let CP-SAT choose from ``routes``, beginning with the best plan so far.

        It is another seed each time; a choice that goes on is let go on.
        """
        if self.busy:
            return
        self._times += 1
        self._enough.clear()
        self._thread = threading.Thread(
            target=self._choose,
            args=(routes, best, limit_s, self._times),
            name="choice-aside",
            daemon=True,
        )
        self._thread.start()

    def _choose(
        self, routes: list[Route], best: list[Route], limit_s: float, seed: int
    ) -> None:
        try:
            self._found = choose(
                self._problem,
                self._grid,
                routes,
                {route.task: route for route in best},
                seed=seed,
                workers=1,
                limit_s=limit_s,
                reproducible=False,
                cancel=self._enough,
            )
        except BaseException as error:  # raised again where it is taken
            self._error = error

    def take(self) -> Chosen | None:
        """What the last choice came to; None while it goes on, or if taken before."""
        if self.busy:
            return None
        if self._error is not None:
            raise self._error
        found, self._found = self._found, None
        return found

    def end(self) -> None:
        """Stop what goes on."""
        if self._thread is not None:
            self._enough.set()
            self._thread.join()
