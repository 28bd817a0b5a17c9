"""Whatever was done to a folder, it is read or refused, in time, and left as it was."""

import os
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

from folders import GOOD, write_folder
from mutants import held, mutant, put

from propsched.errors import PropschedError
from propsched.files.read import read_season
from propsched.files.repair import look_over
from propsched.service.check import check

MUTANTS = int(os.environ.get("PROPSCHED_MUTANTS", "100"))
"""10,000 of them take some minutes: tests/benchmarks/README.md has the figures."""
LEAST_LOADING = 0.3 if MUTANTS >= 1000 else 0.2
"""Share of them that still load; of few it may be fewer by chance."""
LONGEST_S = 10.0


def refused(work: Callable[[Path], object], folder: Path) -> str:
    """Why it was refused; blank: it was not."""
    try:
        work(folder)
    except PropschedError as error:
        return str(error) or "nothing said"
    return ""


def test_mutants_are_read_or_refused_and_left_alone(tmp_path: Path) -> None:
    good = held(write_folder(tmp_path / "good"))
    assert set(good) == set(GOOD)
    draw = random.Random(1)
    loading, longest = 0, 0.0
    for number in range(MUTANTS):
        files = mutant(good, draw)
        folder = put(tmp_path / "mutant", files)
        began = time.perf_counter()
        refusal = refused(read_season, folder)
        loading += not refusal
        # what is said is about the folder, never about the program
        said = refusal + refused(check, folder)
        assert "propsched/" not in said.replace(str(folder), ""), number
        look_over(folder)
        longest = max(longest, time.perf_counter() - began)
        assert held(folder) == files, number
    sys.stdout.write(f"{MUTANTS} mutants, {loading} load, longest {longest:.2f} s\n")
    assert loading >= LEAST_LOADING * MUTANTS
    assert longest < LONGEST_S
