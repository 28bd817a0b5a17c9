"""Faults found by pydantic in this project's words."""

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from propsched.files.source import one_of

Said = tuple[str, str]
"""What is wrong (follows the name of the key), and what would be right."""


def say(error: Mapping[str, Any], known: Iterable[str] = ()) -> Said:
    """
    Return one fault as what is wrong and what would be right.

    Parameters
    ----------
    error : mapping
        One entry of ``ValidationError.errors()``.
    known : iterable of str
        Names that an unknown one may have been meant for.
    """
    kind = str(error["type"])
    context: Mapping[str, Any] = error.get("ctx", {})
    shown = _shown(error.get("input"))
    if kind in ("unexpected_keyword_argument", "extra_forbidden"):
        name = str(error["loc"][-1])
        return "is not a key known here", one_of(name, known)
    if kind == "literal_error":
        options = [part.strip("' ") for part in _options(str(context["expected"]))]
        return f"is {shown}", one_of(str(error.get("input")), options)
    if kind in _LIMITS:
        word, key = _LIMITS[kind]
        return f"is {shown}", f"must be {word} {context[key]:g}"
    if kind in _TYPES:
        what, right = _TYPES[kind]
        return what.format(shown=shown), right
    if kind in ("too_short", "too_long"):
        least = context.get("min_length", context.get("max_length"))
        return f"has {context['actual_length']} values", f"must have {least}"
    return f"is {shown}", str(error["msg"]).removeprefix("Value error, ")


_LIMITS = {
    "greater_than_equal": ("at least", "ge"),
    "greater_than": ("more than", "gt"),
    "less_than_equal": ("at most", "le"),
    "less_than": ("less than", "lt"),
}
_NUMBER = ("is {shown}", "must be a number")
_WHOLE = ("is {shown}", "must be a whole number")
_DAY = ("is {shown}", "must be a day such as 2026-11-01, without quotes or clock time")
_LIST = ("is {shown}", "must be a list in [ ]")
_TABLE = ("is {shown}", "must be a table of keys")
_TEXT = ("is {shown}", "must be text in quotes")
_TYPES: dict[str, Said] = {
    "missing": ("is missing", "this key is needed"),
    "missing_argument": ("is missing", "this key is needed"),
    "finite_number": ("is {shown}", "must be a finite number"),
    "float_type": _NUMBER,
    "float_parsing": _NUMBER,
    "int_type": _WHOLE,
    "int_parsing": _WHOLE,
    "int_parsing_size": _WHOLE,
    "int_from_float": _WHOLE,
    "bool_type": ("is {shown}", "must be true or false"),
    "bool_parsing": ("is {shown}", "must be true or false"),
    "string_type": _TEXT,
    "date_type": _DAY,
    "date_parsing": _DAY,
    "date_from_datetime_parsing": _DAY,
    "date_from_datetime_inexact": _DAY,
    "datetime_type": _DAY,
    "tuple_type": _LIST,
    "list_type": _LIST,
    "dict_type": _TABLE,
    "dataclass_type": _TABLE,
    "dataclass_exact_type": _TABLE,
}


def _options(expected: str) -> list[str]:
    """Part ``'a', 'b' or 'c'``."""
    return expected.replace("' or '", "', '").split("', '")


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float | int):
        return f"{value:g}" if isinstance(value, float) else str(value)[:40]
    if isinstance(value, str):
        return f'"{value[:60]}"'
    if isinstance(value, dict):
        return "a table of keys"
    if isinstance(value, list | tuple):
        return "a list"
    return str(value)[:60]


def field_names(kind: Any) -> tuple[str, ...]:
    """Return the field names of a dataclass, else nothing."""
    return tuple(f.name for f in fields(kind)) if is_dataclass(kind) else ()
