"""A plan to the text of ``plan.json`` and back."""

import json
import math
import re
from dataclasses import asdict
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from propsched.domain.plan import Plan
from propsched.errors import InputProblem, InvalidInputError
from propsched.files.migrate import FORMAT, PLAN_STEPS, FormatError, carried
from propsched.files.source import Faults, read_source
from propsched.files.words import say


def plan_as_json(plan: Plan) -> str:
    """
    Return the plan as JSON, the same text for the same plan.

    Dates are ISO days, a number that is not finite is null, and a run of heat has
    ``from`` and ``to``.
    """
    document = {"format": FORMAT, **_plain(asdict(plan))}
    document["heat"] = [
        {_WRITTEN.get(name, name): value for name, value in run.items()}
        for run in document["heat"]
    ]
    for name in ("terms", "versions", "inputs"):
        document[name] = dict(sorted(document[name].items()))
    text = json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)
    return inert_json(text) + "\n"


_OBEYED = re.compile(
    "[\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]"
)
"""What a terminal may obey, of what JSON does not demand to be escaped."""


def inert_json(text: str) -> str:
    """Return a JSON text that says the same and that no terminal obeys."""
    return _OBEYED.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def plan_from_json(text: str, path: str) -> Plan:
    """
    Return the plan a text holds.

    Raises
    ------
    InvalidInputError
        When it holds none.
    """
    try:
        document = json.loads(text)
    except (json.JSONDecodeError, RecursionError) as error:
        line = error.lineno if isinstance(error, json.JSONDecodeError) else 1
        what = "is no valid JSON from here on: cut short, or changed by hand"
        raise InvalidInputError([_broken(path, line, what)]) from None
    if isinstance(document, dict):
        try:
            # the first plans did not name their format
            document = carried(document, PLAN_STEPS, unsaid=1)
        except FormatError as error:
            problem = InputProblem(path, 0, f"format {error.what}", error.right)
            raise InvalidInputError([problem]) from None
        runs = document.get("heat")
        if isinstance(runs, list):
            document["heat"] = [_read_run(run) for run in runs]
        document.pop("format", None)
    try:
        return _adapter().validate_json(json.dumps(document), strict=True)
    except ValidationError as invalid:
        # what is there and wrong tells more than what is missing
        fault, *more = sorted(
            invalid.errors(include_url=False),
            key=lambda error: str(error["type"]).startswith("missing"),
        )
        what, _ = say(dict(fault))
        where = ".".join(map(str, fault["loc"])) or "the whole"
        also = f", and {len(more)} more such faults" if more else ""
        what = f"is no plan as propsched writes it: {where} {what}{also}"
        raise InvalidInputError([_broken(path, 0, what)]) from None


def _broken(path: str, line: int, what: str) -> InputProblem:
    """Nobody mends such a file by hand: what to do instead."""
    folder = Path(path).parent
    right = f"make a new one with: propsched plan {folder}"
    if (folder / "plan.previous.json").exists():
        right += f", or take the one before with: propsched check {folder} --repair"
    return InputProblem(path, line, what, right)


def read_plan(folder: Path) -> Plan | None:
    """
    Return the plan in force, or None where there is none yet.

    Raises
    ------
    InvalidInputError
        When ``plan.json`` cannot be read.
    """
    path = folder / "plan.json"
    faults = Faults()
    source = read_source(path, faults, needed=False)
    faults.raise_if_any()
    return plan_from_json(source.text, source.path) if source else None


_WRITTEN = {"start": "from", "end": "to"}
_READ = {"from": "start", "to": "end"}


def _read_run(run: Any) -> Any:
    if not isinstance(run, dict):
        return run
    return {_READ.get(name, name): value for name, value in run.items()}


@cache
def _adapter() -> TypeAdapter[Plan]:
    return TypeAdapter(Plan)


def _plain(value: Any) -> Any:
    """Return the value in the types of JSON; numbers of numpy become plain ones."""
    if isinstance(value, dict):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, date):
        return value.isoformat()
    if value is None or isinstance(value, bool | str | int):
        return value
    if not isinstance(value, float) and hasattr(value, "item"):
        return _plain(value.item())
    number = float(value)
    # adding zero turns -0.0 into 0.0
    return number + 0.0 if math.isfinite(number) else None
