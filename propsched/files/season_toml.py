"""``season.toml`` to a Season, every fault with its line."""

import json
import re
import tomllib
from collections.abc import Callable
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from propsched.domain.season import (
    Away,
    HeatPrice,
    Probe,
    Season,
    Site,
    Weights,
    Work,
)
from propsched.domain.space import Heat, Lamp, Reserved, Space
from propsched.files.migrate import SEASON_STEPS, FormatError, carried
from propsched.files.season_rules import season_faults
from propsched.files.source import Faults, Source, one_of
from propsched.files.words import field_names, say

Key = tuple[str | int, ...]

_TOP = ("format", "season", "site", "work", "heat", "weights", "probe", "space")
_SEASON = ("name", "start", "end")
_FIELDS = {
    "site": "site",
    "work": "work",
    "heat": "heat",
    "weights": "weights",
    "probe": "probes",
    "space": "spaces",
}
"""Field of Season for each of the other tables."""
_DATED = (Heat, Reserved, Away)
"""Where ``from`` and ``to`` in the file are start and end."""
_TABLES: dict[Key, Any] = {
    ("site",): Site,
    ("work",): Work,
    ("work", "away"): Away,
    ("heat",): HeatPrice,
    ("weights",): Weights,
    ("probe",): Probe,
    ("space",): Space,
    ("space", "heat"): Heat,
    ("space", "lamp"): Lamp,
    ("space", "reserved"): Reserved,
}
"""What each table of the file is, indices left out."""
_UNTYPED = {"make_up_days": "make_up"}
"""Fields that the file has under the key of another: a list in place of one."""


def toml_keys() -> dict[str, tuple[str, ...]]:
    """Return every table of ``season.toml`` with its keys, as they are typed."""
    keys = {".".join(map(str, at)): _keys_of(kind) for at, kind in _TABLES.items()}
    return {"season": _SEASON, **keys}


@cache
def _adapter() -> TypeAdapter[Season]:
    return TypeAdapter(Season)


def read_season_toml(source: Source, faults: Faults) -> tuple[Season | None, set[str]]:
    """
    Return the season, or None, and the ids of all spaces that the file names.

    The ids serve to check other files even where this one has faults.
    """
    try:
        document = tomllib.loads(source.text)
    except tomllib.TOMLDecodeError as error:
        _add_syntax_fault(source, str(error), faults)
        return None, set()
    except RecursionError:
        faults.add(source.path, 1, "is nested too deeply", "two levels are enough")
        return None, set()
    found: list[tuple[Key, str, str]] = []
    add: Add = lambda key, what, right: found.append((key, what, right))  # noqa: E731
    try:
        document = carried(document, SEASON_STEPS)
    except FormatError as error:
        add(("format",), error.what, error.right)
        if error.is_newer:  # nothing else can be said of it
            _add_located(source, document, found, faults)
            return None, set()
    season = _validated(_shaped(document, add), add)
    if season is not None:
        for rule in season_faults(season):
            add(*rule)
    if found:
        _add_located(source, document, found, faults)
        season = None
    return season, _space_ids(document)


Add = Callable[[Key, str, str], None]


def _validated(shaped: dict[str, Any], add: Add) -> Season | None:
    try:
        text = json.dumps(shaped, default=str)
        return _adapter().validate_json(text, strict=True)
    except ValidationError as invalid:
        given = invalid.errors(include_url=False)
        broken = {fault["loc"][:-1] for fault in given}
        for fault in given:
            # values at fault do not count as values, so the count is wrong too
            if fault["type"] == "too_short" and fault["loc"] in broken:
                continue
            key = _file_key(fault["loc"])
            kind = _TABLES.get(tuple(k for k in key[:-1] if isinstance(k, str)))
            add(key, *say(dict(fault), _keys_of(kind)))
    return None


def _add_syntax_fault(source: Source, message: str, faults: Faults) -> None:
    from propsched.files.positions import syntax_line

    line = syntax_line(message, source.text)
    plain = re.sub(r" \(at .*\)$", "", message)
    right = "strings in quotes, days as 2026-11-01, decimals with a point"
    faults.add(source.path, line, f"is no valid TOML: {plain}", right)


def _add_located(
    source: Source,
    document: dict[str, Any],
    found: list[tuple[Key, str, str]],
    faults: Faults,
) -> None:
    """Give every fault its line; the parser for that is only loaded here."""
    from propsched.files.positions import nearest_line, toml_lines

    lines = toml_lines(source.text)
    for key, what, right in found:
        line = nearest_line(lines, key)
        faults.add(source.path, line, f"{_named(key, document)} {what}", right)


def _shaped(document: dict[str, Any], add: Add) -> dict[str, Any]:
    """Return the document in the shape of Season, refusing what has no place there."""
    for name in document:
        if name not in _TOP:
            add((name,), "is not a key known here", one_of(name, _TOP))
    season = document.get("season", {})
    if not isinstance(season, dict):
        add(("season",), "is no table", "must be [season] with name, start and end")
        season = {}
    for name in season:
        if name not in _SEASON:
            add(("season", name), "is not a key known here", one_of(name, _SEASON))
    shaped = {name: season[name] for name in _SEASON if name in season}
    for name, field in _FIELDS.items():
        if name in document:
            shaped[field] = _renamed(document[name], (name,), (name,), add)
    return shaped


def _renamed(value: Any, at: Key, place: Key, add: Add) -> Any:
    """Return the value with ``from`` and ``to`` as the names of the fields."""
    if isinstance(value, list):
        return [
            _renamed(item, (*at, n), place, add) if isinstance(item, dict) else item
            for n, item in enumerate(value)
        ]
    if not isinstance(value, dict):
        return value
    kind = _TABLES.get(place)
    renamed: dict[str, Any] = {}
    for name, inner in value.items():
        typed = name
        if kind is Space:
            if name in _UNTYPED:
                right = f"must be {_UNTYPED[name]} = [ … ]"
                add((*at, name), "is not a key known here", right)
                continue
            if name == "make_up" and isinstance(inner, list):
                name = "make_up_days"
        if kind in _DATED:
            if name in ("start", "end"):
                right = f'must be "{"from" if name == "start" else "to"}"'
                add((*at, name), "is not a key known here", right)
                continue
            name = {"from": "start", "to": "end"}.get(name, name)
        inner_place = (*place, typed)
        shaped = _renamed(inner, (*at, typed), inner_place, add)
        single = _TABLES.get(inner_place) in (Away, Reserved) and isinstance(
            inner, dict
        )
        renamed[name] = [shaped] if single else shaped
    return renamed


def _file_key(loc: tuple[str | int, ...]) -> Key:
    """Return the key as the file has it from the path of a field."""
    names = list(loc)
    if names[0] in ("probes", "spaces"):
        names[0] = str(names[0]).removesuffix("s")
    elif names[0] in _SEASON:
        names.insert(0, "season")
    plain = tuple(k for k in names[:-1] if isinstance(k, str))
    if _TABLES.get(plain) in _DATED:
        names[-1] = {"start": "from", "end": "to"}.get(str(names[-1]), names[-1])
    return tuple(_UNTYPED.get(str(name), name) for name in names)


def _keys_of(kind: Any) -> tuple[str, ...]:
    names = tuple(name for name in field_names(kind) if name not in _UNTYPED)
    if kind in _DATED:
        return tuple({"start": "from", "end": "to"}.get(n, n) for n in names)
    return names


def _named(key: Key, document: dict[str, Any]) -> str:
    """Return the key in words: ``space "bench", heat.set_c``."""
    if len(key) > 1 and key[0] in ("space", "probe") and isinstance(key[1], int):
        items = document.get(str(key[0]), [])
        item = items[key[1]] if key[1] < len(items) else {}
        name = item.get("id") if isinstance(item, dict) else None
        head = f'{key[0]} "{name}"' if name else f"{key[0]} number {key[1] + 1}"
        return ", ".join(part for part in (head, _dotted(key[2:])) if part) + ":"
    return _dotted(key) + ":"


def _dotted(key: Key) -> str:
    parts = [f"[{k + 1}]" if isinstance(k, int) else f".{k}" for k in key]
    return "".join(parts).removeprefix(".")


def _space_ids(document: dict[str, Any]) -> set[str]:
    spaces = document.get("space", [])
    items = spaces if isinstance(spaces, list) else []
    return {
        str(item["id"]) for item in items if isinstance(item, dict) and "id" in item
    }
