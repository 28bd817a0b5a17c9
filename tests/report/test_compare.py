"""The comparison as it is printed, and as other programs get it."""

import csv
import json
import os
from dataclasses import replace
from datetime import date, timedelta
from io import StringIO
from math import inf
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from propsched.report.compare import compare_report
from propsched.report.dots import ROWS, dot_plot
from propsched.report.layout import Trimmed
from propsched.report.machine import compare_csv, compare_json
from propsched.service.comparison import (
    CompareAnswer,
    CompareDay,
    CompareRow,
    ModelledSeason,
)
from propsched.thermal.compare import Interval, Slope

GOLDEN = Path(__file__).parent / "golden" / "compare.txt"
FIRST = date(2026, 11, 2)


def interval(low: float, high: float, n_eff: float = 8.2) -> Interval:
    return Interval(
        mean=(low + high) / 2, low=low, high=high, level=0.95, sd=0.9, n=30,
        n_eff=n_eff, r1=0.57,
    )  # fmt: skip


def row(when: Any, low: float, high: float, **over: Any) -> CompareRow:
    plain = {
        "when": when, "pairs": 30, "days": 30, "mean_k": (low + high) / 2,
        "interval": interval(low, high), "slope": None, "model_k": 0.61,
    }  # fmt: skip
    return CompareRow(**{**plain, **over})


def answer(**over: Any) -> CompareAnswer:
    slope = Slope(
        per_k=-0.2, low=-0.3, high=-0.1, at_cold=1.2, at_mild=-0.3, cold_c=2,
        mild_c=11, zero_c=9.5,
    )  # fmt: skip
    plain: dict[str, Any] = {
        "first": "leaf-bed", "second": "border", "level": 0.95,
        "verdict": "leaf-bed is warmer than border by 0.8 °C, between 0.2 and 1.4; "
        "colder on mild afternoons (above 10 °C)",
        "whole": row(None, 0.2, 1.4, pairs=60),
        "by_time": (
            row("morning", 0.6, 1.8),
            row("afternoon", -0.3, 1.1, slope=slope, model_k=None),
        ),
        "days": tuple(
            CompareDay(
                date=FIRST + timedelta(days=n), pairs=2, first_c=6.8, second_c=6.0,
                difference_k=round(0.8 + ((7 * n) % 11 - 5) / 4, 2),
                model_k=0.6 if n else None, air_c=5.5,
            )
            for n in range(30)
        ),
        "season": ModelledSeason(mean_k=0.22, low_k=0.15, high_k=0.28),
        "wanted_half_k": 0.5, "more_days": 6,
        "remarks": ("Each pair was read with one probe: its offset cancels.",),
    }  # fmt: skip
    return CompareAnswer(**{**plain, **over})


def printed(one: CompareAnswer, width: int = 80) -> str:
    out = StringIO()
    console = Console(
        file=out, width=width, color_system=None, highlight=False, markup=False
    )
    console.print(Trimmed(compare_report(one, width)), end="")
    return out.getvalue()


def test_comparison_reads_as_kept() -> None:
    text = printed(answer())
    assert max(map(len, text.splitlines())) <= 80
    if os.environ.get("PROPSCHED_GOLDEN") == "write":
        GOLDEN.write_text(text, encoding="utf-8")
    assert text == GOLDEN.read_text(encoding="utf-8")


def test_days_too_much_alike_have_no_figures_for_ends() -> None:
    whole = row(None, -inf, inf, mean_k=0.5)
    text = printed(answer(whole=whole, by_time=(replace(whole, when="morning"),)))
    assert "too much alike" in text
    assert "inf" not in text


def test_without_pairs_it_says_what_to_do() -> None:
    none = CompareRow(
        when=None, pairs=0, days=0, mean_k=None, interval=None, slope=None, model_k=None
    )
    text = printed(answer(whole=none, by_time=(), days=(), verdict="not enough yet"))
    assert "propsched note" in text
    assert "Not enough yet." in text


def test_a_name_from_a_file_cannot_command_the_terminal() -> None:
    nasty = "\x1b[31mbed\x07"
    assert "\x1b" not in printed(answer(first=nasty, verdict=f"{nasty} is warmer"))


def test_csv_has_a_line_a_day() -> None:
    lines = list(csv.DictReader(StringIO(compare_csv(answer()))))
    assert len(lines) == 30
    assert list(lines[0]) == [
        "date", "pairs", "first_c", "second_c", "difference_k", "model_k", "air_c",
    ]  # fmt: skip
    assert lines[0]["model_k"] == ""
    assert float(lines[0]["difference_k"]) == -0.45


def test_json_has_the_verdict_and_the_figures() -> None:
    found = json.loads(compare_json(answer()))
    assert found["verdict"].startswith("leaf-bed is warmer")
    assert (found["low_k"], found["high_k"], found["n_eff"]) == (0.2, 1.4, 8.2)
    assert found["by_time"][1]["per_k_of_air"] == {
        "per_k": -0.2, "low": -0.3, "high": -0.1,
    }  # fmt: skip
    assert len(found["by_day"]) == 30
    never = json.loads(compare_json(answer(whole=row(None, -inf, inf, mean_k=0.1))))
    assert never["low_k"] is None


@pytest.mark.parametrize("scale", [0.01, 0.3, 4.0, 60.0])
def test_every_day_has_its_dot_in_the_right_row(scale: float) -> None:
    """Value over the label's step, rounded; no more rows than fit a screen."""
    days = [FIRST + timedelta(days=n) for n in range(12)]
    values = [scale * (n - 4) for n in range(12)]
    lines = dot_plot(days, values)[:-1]
    assert len(lines) <= ROWS + 1
    labels = [float(line.split()[0]) for line in lines]
    step = labels[0] - labels[1]
    for n, value in enumerate(values):
        (at,) = (i for i, line in enumerate(lines) if line[8:].ljust(12)[n] == "●")
        assert abs(labels[at] - value) <= step / 2 + 1e-9


def test_a_single_day_can_be_drawn() -> None:
    assert "●" in "".join(dot_plot([FIRST], [0.0]))
