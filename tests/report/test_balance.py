"""``temps --explain`` as it is printed, and as other programs get it."""

import csv
import json
import os
from dataclasses import replace
from datetime import date
from io import StringIO
from math import nan
from pathlib import Path
from typing import Any

from rich.console import Console

from propsched.report.balance import explain_report
from propsched.report.layout import Trimmed
from propsched.report.machine import explain_csv, explain_json
from propsched.service.explanation import ExplainAnswer, Flow, SpaceExplained
from propsched.thermal.assumptions import Assumption
from propsched.thermal.bed_outlook import BedChanged, BedOutlook
from propsched.thermal.guesses import Range
from propsched.thermal.heap_outlook import HeapChanged, HeapOutlook

GOLDEN = Path(__file__).parent / "golden" / "explain.txt"


def flow(term: str, words: str, w_m2: float) -> Flow:
    return Flow(term=term, words=words, w_m2=w_m2)


def changed(what: str, warmest_c: float, ready_d: float, useful_d: float) -> Any:
    return BedChanged(
        what=what, warmest_c=warmest_c, day_28_c=22.3, day_56_c=17.8,
        ready_d=ready_d, useful_d=useful_d,
    )  # fmt: skip


BED = BedOutlook(
    made_up=date(2027, 2, 6), too_hot=0.23,
    ready_d=Range(8, 12, 30), warm_d=Range(1, 1, 2), useful_d=Range(33, 57, nan, 0.12),
    at={"day 3": Range(14.8, 21.0, 26.5), "warmest": Range(17.9, 27.5, 31.4)},
    sensitivity=(
        changed("as described", 27.5, 1, 58),
        changed("burns 40 % faster", 31.8, 12, nan),
        changed("old and cold", 12.0, nan, 0),
    ),
    draws=32, winters=10,
)  # fmt: skip


HEAP = HeapOutlook(
    made_up=date(2026, 9, 25),
    at={
        "warmest hour, °C": Range(44.5, 56.2, 58.5), "on day": Range(4, 5, 6),
        "last day above 40 °C": Range(8, 13, 22),
    },
    sensitivity=(
        HeapChanged(what="as described", warmest_c=57.0, on_day=5, last_hot_day=14),
        HeapChanged(what="hardly burns", warmest_c=31.0, on_day=3, last_hot_day=0),
    ),
    draws=32, winters=10,
)  # fmt: skip


def explained(**over: Any) -> SpaceExplained:
    plain: dict[str, Any] = {
        "space": "hotbed", "on": date(2027, 2, 20), "kind": "outlook", "winters": 25,
        "root_mean_c": 26.49, "corrected_mean_c": 24.2, "outdoor_mean_c": 5.4,
        "sentence": "Warmed mostly by its own rotting; loses most to the edges.",
        "flows": (
            flow("decay", "its own rotting", 168.3), flow("sun", "the sun", 50.1),
            flow("air", "the air outside, through the cover", -66.0),
            flow("side", "the edges", -166.6),
        ),
        "storage": flow("storage", "kept by the ground", -14.2),
        "assumptions": (
            Assumption(what="what can rot", value=70.0, unit="kg/m³", basis="derived",
                       source="half of the volatile matter"),
            Assumption(what="set point", value=18.0, unit="°C", basis="yours",
                       source="season.toml"),
        ),
        "bed": BED,
    }  # fmt: skip
    return SpaceExplained(**{**plain, **over})


def printed(*spaces: SpaceExplained) -> str:
    out = StringIO()
    console = Console(
        file=out, width=80, color_system=None, highlight=False, markup=False
    )
    console.print(Trimmed(explain_report(ExplainAnswer(spaces=spaces))), end="")
    return out.getvalue()


def test_explanation_reads_as_kept() -> None:
    plain = explained(
        space="border", kind="observed", winters=1, bed=None, flows=(),
        sentence="Follows the air.", corrected_mean_c=26.51,
    )  # fmt: skip
    heap = explained(space="heap", bed=None, heap=HEAP, sentence="Measured only.")
    text = printed(explained(), plain, heap)
    assert max(map(len, text.splitlines())) <= 80
    if os.environ.get("PROPSCHED_GOLDEN") == "write":
        GOLDEN.write_text(text, encoding="utf-8")
    assert text == GOLDEN.read_text(encoding="utf-8")


def test_a_bed_that_is_always_or_never_too_hot_says_so() -> None:
    always = printed(explained(bed=replace(BED, too_hot=1.0)))
    assert "Too hot for seed at first" in always
    assert "Otherwise" not in always
    none = Range(nan, nan, nan, nan)
    never = printed(explained(bed=replace(BED, too_hot=0.0, ready_d=none)))
    assert "Never too hot for seed: it can be sown on day 1" in never
    assert "nan" not in never


def test_growers_reports_are_shown_as_such() -> None:
    text = printed(explained())
    assert "growers report" in text
    assert "not a" in text
    assert "published series" in " ".join(text.split())


def test_csv_has_a_line_for_each_flow() -> None:
    rows = list(
        csv.DictReader(StringIO(explain_csv(ExplainAnswer(spaces=(explained(),)))))
    )
    assert [row["term"] for row in rows] == ["decay", "sun", "air", "side", "storage"]
    assert rows[-1] == {
        "space": "hotbed", "date": "2027-02-20", "term": "storage", "w_m2": "-14.2",
    }  # fmt: skip


def test_json_has_flows_bed_and_figures() -> None:
    (one,) = json.loads(explain_json(ExplainAnswer(spaces=(explained(),))))
    assert one["flows"][0] == {
        "term": "decay", "words": "its own rotting", "w_m2": 168.3,
    }  # fmt: skip
    assert one["bed"]["useful_d"]["high"] is None
    assert one["bed"]["sensitivity"][1]["what"] == "burns 40 % faster"
    assert one["assumptions"][0]["basis"] == "derived"
    (one,) = json.loads(explain_json(ExplainAnswer(spaces=(explained(heap=HEAP),))))
    assert one["heap"]["at"]["on day"]["middle"] == 5
