"""A choice made aside comes to the same as one that is waited for."""

import threading
import time
from functools import cache

import pytest
from benchmarks.seasons import invented_season

from propsched.optimise import aside as module
from propsched.optimise.aside import Aside
from propsched.optimise.choice import Chosen, choose
from propsched.optimise.progress import Asked
from propsched.optimise.run import Run


@cache
def short_run() -> Run:
    """A run that has found some routes."""
    asked = Asked(
        seed=0,
        limit_s=0.5,
        gap=0.0,
        workers=1,
        reproducible=True,
        emit=lambda _progress: None,
        cancel=threading.Event(),
    )
    run = Run(invented_season(12, 3, seed=1).problem, asked)
    run.go()
    return run


def waited_for(aside: Aside) -> Chosen | None:
    until = time.monotonic() + 20.0
    while aside.busy:
        assert time.monotonic() < until
        time.sleep(0.01)
    return aside.take()


def test_it_chooses_what_is_chosen_otherwise() -> None:
    run = short_run()
    hint = {route.task: route for route in run.best}
    direct = choose(
        run.problem,
        run.grid,
        run.pool.routes,
        hint,
        seed=1,
        workers=1,
        limit_s=20.0,
        reproducible=False,
        cancel=threading.Event(),
    )
    aside = Aside(run.problem, run.grid)
    aside.begin(run.pool.routes, run.best, 20.0)
    found = waited_for(aside)
    assert found is not None
    assert found.routes is not None
    assert direct.routes is not None
    assert found.bound == direct.bound
    worth = sum(route.value for route in found.routes)
    assert worth == sum(route.value for route in direct.routes)
    assert worth >= sum(route.value for route in run.best)
    assert aside.take() is None, "taken before"


def test_it_ends_when_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """One at a time; what goes on is stopped, not waited for."""
    begun: list[int] = []

    def slow(*_: object, cancel: threading.Event, seed: int, **__: object) -> Chosen:
        begun.append(seed)
        assert cancel.wait(20.0)
        return Chosen(None, None, impossible=False)

    monkeypatch.setattr(module, "choose", slow)
    run = short_run()
    aside = Aside(run.problem, run.grid)
    aside.begin([], [], 20.0)
    aside.begin([], [], 20.0)
    assert aside.busy
    assert aside.take() is None
    before = time.monotonic()
    aside.end()
    assert time.monotonic() - before < 5.0
    assert begun == [1]
    assert not aside.busy


def test_a_fault_is_not_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> Chosen:
        raise ZeroDivisionError

    monkeypatch.setattr(module, "choose", broken)
    run = short_run()
    aside = Aside(run.problem, run.grid)
    aside.begin([], [], 1.0)
    with pytest.raises(ZeroDivisionError):
        waited_for(aside)
