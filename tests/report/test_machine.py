"""Answers for other programs."""

import csv
import json
from datetime import date
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from propsched.advice.day_work import DayWork
from propsched.advice.job import Job
from propsched.report import machine
from propsched.service.answers import (
    CheckAnswer,
    JobsAnswer,
    TempsAnswer,
    TempsRow,
    WhereAnswer,
    WhereRow,
)


def row(**over: Any) -> TempsRow:
    plain = {
        "date": date(2027, 2, 6), "space": "border", "root_mean_c": -1.25,
        "root_min_c": -2.0, "root_max_c": 0.5, "low_c": -3.0, "high_c": 0.5,
        "air_min_c": -6.0, "source": "model",
    }  # fmt: skip
    return TempsRow(**{**plain, **over})


def where_row(**over: Any) -> WhereRow:
    plain = {
        "space": "border", "start": date(2026, 11, 15), "half_by": None,
        "most_by": None, "days": None, "root_mean_c": 6.0, "success": 0.9,
        "limits": ("too cold", "too dark"), "basis": "derived",
    }  # fmt: skip
    return WhereRow(**{**plain, **over})


def table(text: str) -> list[list[str]]:
    return list(csv.reader(StringIO(text)))


def test_temps_csv_has_the_columns_of_the_contract() -> None:
    text = machine.temps_csv(TempsAnswer(rows=(row(),)))
    assert text.splitlines()[0] == (
        "date,space,root_mean_c,root_min_c,root_max_c,low_c,high_c,air_min_c,source"
    )
    assert table(text)[1] == [
        "2027-02-06", "border", "-1.25", "-2.0", "0.5", "-3.0", "0.5", "-6.0", "model",
    ]  # fmt: skip


def test_where_json_has_the_keys_of_the_contract() -> None:
    answer = WhereAnswer(
        crop="leek", method="seed", on=date(2026, 11, 15), rows=(where_row(),)
    )
    (found,) = json.loads(machine.where_json(answer))
    assert list(found) == [
        "space", "start", "half_by", "most_by", "days", "root_mean_c", "success",
        "limits", "basis",
    ]  # fmt: skip
    assert found["half_by"] is None
    assert found["limits"] == "too cold; too dark"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_is_none_becomes_null_or_blank(value: float) -> None:
    answer = TempsAnswer(rows=(row(root_mean_c=value),))
    assert json.loads(machine.temps_json(answer))[0]["root_mean_c"] is None
    assert table(machine.temps_csv(answer))[1][2] == ""


@pytest.mark.parametrize("text", ["=1+2", "+1", "-1", "@x", "\t=1", "\r=1"])
def test_text_that_a_spreadsheet_would_run_is_only_text(text: str) -> None:
    """The four signs that begin a formula, as OWASP's page on CSV injection lists."""
    job = Job(date=date(2027, 2, 6), kind="sow", what=text)
    answer = JobsAnswer(today=date(2027, 2, 6), rows=(job,))
    cell = table(machine.jobs_csv(answer))[1][machine.JOB_KEYS.index("what")]
    assert cell.lstrip() == cell
    assert cell[0] not in "=+-@"
    assert table(machine.check_csv(CheckAnswer(lines=(text,))))[1][0][0] not in "=+-@"


def test_json_keeps_text_as_it_is() -> None:
    job = Job(date=date(2027, 2, 6), kind="sow", what="=×“")
    answer = JobsAnswer(today=date(2027, 2, 6), rows=(job,), cautions=("c",))
    found = json.loads(machine.jobs_json(answer))
    assert found["today"] == "2027-02-06"
    assert found["jobs"][0]["what"] == "=×“"
    assert found["jobs"][0]["until"] is None
    assert found["cautions"] == ["c"]


def test_the_columns_of_the_jobs_are_told() -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    told = readme[readme.index("## Jobs") :].split("\n## ")[0]
    keys = (*machine.JOB_KEYS, *machine.DAY_KEYS)
    assert not [key for key in keys if f"`{key}`" not in told]


def test_days_of_jobs_have_their_work() -> None:
    day = DayWork(
        date=date(2027, 2, 6), minutes=20, of_minutes=80, compost_l={"cutting mix": 0.7}
    )
    answer = JobsAnswer(today=date(2027, 2, 6), rows=(), days=(day,))
    assert json.loads(machine.jobs_json(answer))["days"] == [
        {
            "date": "2027-02-06",
            "minutes": 20,
            "overdue_minutes": 0,
            "of_minutes": 80,
            "compost_l": {"cutting mix": 0.7},
        }
    ]
