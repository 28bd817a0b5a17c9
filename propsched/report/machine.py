"""Answers for other programs: CSV and JSON, always the same keys."""

import csv
import json
from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import date, datetime
from io import StringIO
from math import isfinite
from typing import Any

from propsched.advice.job import Job
from propsched.domain.plan import Placement, Plan
from propsched.files.plan_json import inert_json
from propsched.report.words import clean
from propsched.service.answers import (
    CheckAnswer,
    JobsAnswer,
    TempsAnswer,
    TempsRow,
    WhereAnswer,
)
from propsched.service.comparison import CompareAnswer, CompareDay, CompareRow
from propsched.service.explanation import ExplainAnswer, Flow
from propsched.thermal.assumptions import Assumption
from propsched.thermal.bed_outlook import BedChanged, BedOutlook
from propsched.thermal.guesses import Range
from propsched.thermal.heap_outlook import HeapChanged, HeapOutlook

TEMPS_KEYS = tuple(f.name for f in fields(TempsRow))
TEMPS_COLUMNS = TEMPS_KEYS[: TEMPS_KEYS.index("source") + 1]
"""Of the CSV; model and reading apart are in the JSON alone."""
WHERE_KEYS = (
    "space", "start", "half_by", "most_by", "days", "root_mean_c", "success",
    "limits", "basis",
)  # fmt: skip
COMPARE_KEYS = tuple(f.name for f in fields(CompareDay))
EXPLAIN_KEYS = (
    "space", "on", "kind", "winters", "root_mean_c", "corrected_mean_c",
    "outdoor_mean_c", "sentence",
)  # fmt: skip
FLOW_KEYS = tuple(f.name for f in fields(Flow))
FIGURE_KEYS = tuple(f.name for f in fields(Assumption))
SPAN_KEYS = tuple(f.name for f in fields(Range))
HEAP_KEYS = tuple(f.name for f in fields(HeapChanged))
BED_KEYS = tuple(f.name for f in fields(BedChanged))
JOB_KEYS = tuple(f.name for f in fields(Job))
DAY_KEYS = ("date", "minutes", "overdue_minutes", "of_minutes")
PLACEMENT_KEYS = tuple(f.name for f in fields(Placement))

_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
"""
What makes a spreadsheet take a cell of text for a formula.

Such a cell gets an apostrophe before it. Only here, in what is printed: the files of
a season are written and read back as they are. List: OWASP, "CSV Injection".
"""


def temps_csv(answer: TempsAnswer) -> str:
    return _csv(TEMPS_COLUMNS, answer.rows)


def temps_json(answer: TempsAnswer) -> str:
    return as_json([record(TEMPS_KEYS, row) for row in answer.rows])


def where_csv(answer: WhereAnswer) -> str:
    return _csv(WHERE_KEYS, answer.rows)


def where_json(answer: WhereAnswer) -> str:
    return as_json([record(WHERE_KEYS, row) for row in answer.rows])


def jobs_csv(answer: JobsAnswer) -> str:
    return _csv(JOB_KEYS, answer.rows)


def jobs_json(answer: JobsAnswer) -> str:
    return as_json(
        {
            "today": answer.today.isoformat(),
            "jobs": [record(JOB_KEYS, row) for row in answer.rows],
            "days": [
                {
                    **record(DAY_KEYS, day),
                    "compost_l": {k: round(v, 1) for k, v in day.compost_l.items()},
                }
                for day in answer.days
            ],
            "cautions": list(answer.cautions),
        }
    )


def check_csv(answer: CheckAnswer) -> str:
    return _table(("line",), ([_cell(line)] for line in answer.lines))


def check_json(answer: CheckAnswer) -> str:
    return as_json({"lines": list(answer.lines), "notes": list(answer.notes)})


def explain_csv(answer: ExplainAnswer) -> str:
    """The flows, with what the layers take up as the last of each space."""
    rows = (
        [_cell(v) for v in (one.space, one.on, flow.term, round(flow.w_m2, 3))]
        for one in answer.spaces
        for flow in (*one.flows, one.storage)
    )
    return _table(("space", "date", "term", "w_m2"), rows)


def explain_json(answer: ExplainAnswer) -> str:
    return as_json(
        [
            {
                **record(EXPLAIN_KEYS, one),
                "flows": [record(FLOW_KEYS, flow) for flow in one.flows],
                "storage_w_m2": round(one.storage.w_m2, 4),
                "bed": None if one.bed is None else _bed(one.bed),
                "heap": None if one.heap is None else _heap(one.heap),
                "assumptions": [record(FIGURE_KEYS, a) for a in one.assumptions],
            }
            for one in answer.spaces
        ]
    )


def _heap(heap: HeapOutlook) -> dict[str, Any]:
    return {
        "made_up": heap.made_up.isoformat(),
        "at": {name: record(SPAN_KEYS, r) for name, r in heap.at.items()},
        "sensitivity": [record(HEAP_KEYS, row) for row in heap.sensitivity],
    }


def _bed(bed: BedOutlook) -> dict[str, Any]:
    return {
        "made_up": bed.made_up.isoformat(),
        "too_hot": _plain(bed.too_hot),
        "ready_d": record(SPAN_KEYS, bed.ready_d),
        "warm_d": record(SPAN_KEYS, bed.warm_d),
        "useful_d": record(SPAN_KEYS, bed.useful_d),
        "root_zone_c": {name: record(SPAN_KEYS, r) for name, r in bed.at.items()},
        "sensitivity": [record(BED_KEYS, row) for row in bed.sensitivity],
    }


def compare_csv(answer: CompareAnswer) -> str:
    """The days; the verdict is in the JSON."""
    return _csv(COMPARE_KEYS, answer.days)


def compare_json(answer: CompareAnswer) -> str:
    season = answer.season
    return as_json(
        {
            "first": answer.first,
            "second": answer.second,
            "verdict": answer.verdict,
            **_difference(answer.whole),
            "level": answer.level,
            "wanted_half_k": round(answer.wanted_half_k, 4),
            "more_days": answer.more_days,
            "by_time": [
                {"when": row.when, **_difference(row)} for row in answer.by_time
            ],
            "season_model": None
            if season is None
            else record(("mean_k", "low_k", "high_k"), season),
            "remarks": list(answer.remarks),
            "by_day": [record(COMPARE_KEYS, day) for day in answer.days],
        }
    )


def _difference(row: CompareRow) -> dict[str, Any]:
    one, slope = row.interval, row.slope
    return {
        "days": row.days,
        "pairs": row.pairs,
        "mean_k": _plain(row.mean_k),
        "low_k": None if one is None else _plain(one.low),
        "high_k": None if one is None else _plain(one.high),
        "n_eff": None if one is None else _plain(one.n_eff),
        "r1": None if one is None else _plain(one.r1),
        "model_k": _plain(row.model_k),
        "per_k_of_air": None
        if slope is None
        else record(("per_k", "low", "high"), slope),
    }


def plan_csv(plan: Plan) -> str:
    """The placements; the rest of a plan has no one table."""
    return _csv(PLACEMENT_KEYS, plan.placements)


def record(keys: Iterable[str], row: object) -> dict[str, Any]:
    """Those of an object's fields, in the types of JSON."""
    return {key: _plain(getattr(row, key)) for key in keys}


def _plain(value: object) -> object:
    """What JSON can hold; a number that is none becomes null."""
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, float):
        return round(value, 4) if isfinite(value) else None
    if isinstance(value, tuple):
        return "; ".join(str(v) for v in value)
    return value


def as_json(value: list[Any] | Mapping[str, Any]) -> str:
    """Text of JSON, numbers that are none refused."""
    text = json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
    return inert_json(text) + "\n"


def _csv(keys: tuple[str, ...], rows: Iterable[object]) -> str:
    return _table(keys, ([_cell(getattr(row, key)) for key in keys] for row in rows))


def as_csv(keys: tuple[str, ...], rows: Iterable[Mapping[str, Any]]) -> str:
    """Rows that are not of one class, each by its keys."""
    return _table(keys, ([_cell(row.get(key)) for key in keys] for row in rows))


def _table(keys: tuple[str, ...], rows: Iterable[list[str]]) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(keys)
    writer.writerows(rows)
    return out.getvalue()


def _cell(value: object) -> str:
    """Text that a spreadsheet leaves alone, numbers as they are."""
    plain = _plain(value)
    if plain is None:
        return ""
    if not isinstance(plain, str):
        return str(plain)
    text = clean(plain)
    return "'" + text if text.lstrip().startswith(_FORMULA) else text
