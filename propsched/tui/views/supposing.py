"""What is supposed on the page for cold: chosen by arrows, or typed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal, get_args

from propsched.report.words import clean, day_text
from propsched.tui.views.typed_day import day_within

if TYPE_CHECKING:
    from propsched.tui.desk import Desk

Kind = Literal["cold", "lost", "late", "without"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Field = Literal["kind", "drop", "first", "days", "batch", "count", "space", "last"]
FIELDS: dict[Kind, tuple[Field, ...]] = {
    "cold": ("kind", "drop", "first", "days"),
    "lost": ("kind", "batch", "count"),
    "late": ("kind", "batch", "first"),
    "without": ("kind", "space", "first", "last"),
}
TOLD: dict[Kind, str] = {
    "cold": "it turns cold",
    "lost": "plants are lost",
    "late": "material comes late",
    "without": "a space is out of use",
}
DROP_C, DAYS = 8, 3
MOST_DROP_C, MOST_DAYS, MOST_COUNT = 30, 120, 9999
WEEK = 7


@dataclass(frozen=True, slots=True)
class Limits:
    """What there is to choose from."""

    today: date
    end: date
    batches: tuple[str, ...]
    spaces: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Supposing:
    """What is chosen so far."""

    kind: Kind = "cold"
    drop_c: int = DROP_C
    days: int = DAYS
    first: date
    last: date
    batch: str = ""
    count: int | None = None
    """None: all."""
    space: str = ""
    at: int = 1
    """The field with the cursor; at first what is most often changed."""
    typed: str = ""
    refused: str = ""

    @property
    def fields(self) -> tuple[Field, ...]:
        return FIELDS[self.kind]

    @property
    def field(self) -> Field:
        return self.fields[min(self.at, len(self.fields) - 1)]


def limits_of(desk: "Desk") -> Limits | None:
    """None where nothing was read yet."""
    opened = desk.opened
    if opened is None:
        return None
    return Limits(
        today=opened.today,
        end=opened.season.end,
        batches=tuple(one.batch.id for one in opened.whole),
        spaces=tuple(space.id for space in opened.season.spaces if space.stands),
    )


def usual(limits: Limits, desk: "Desk") -> Supposing:
    """Cold from tomorrow on; the batch and space that are looked at."""
    tomorrow = min(limits.today + timedelta(days=1), limits.end)
    return Supposing(
        first=tomorrow,
        last=min(tomorrow + timedelta(days=WEEK - 1), limits.end),
        batch=_of(desk.batch, limits.batches),
        space=_of(desk.space, limits.spaces),
    )


def _of(name: str, names: Sequence[str]) -> str:
    return name if name in names else names[0] if names else ""


def moved(now: Supposing, by: int) -> Supposing:
    """To the field above or below."""
    return replace(now, at=min(max(now.at + by, 0), len(now.fields) - 1), typed="")


def turned(now: Supposing, by: int, limits: Limits) -> Supposing:
    """The field with the cursor, so many steps on."""
    now = replace(now, typed="", refused="")
    match now.field:
        case "kind":
            at = (KINDS.index(now.kind) + by) % len(KINDS)
            return replace(now, kind=KINDS[at])
        case "batch":
            return replace(now, batch=_next(now.batch, limits.batches, by), count=None)
        case "space":
            return replace(now, space=_next(now.space, limits.spaces, by))
        case "first" | "last":
            return _on_day(now, _day_of(now) + timedelta(days=by), limits)
        case _:
            return _stepped(now, by)


def _stepped(now: Supposing, by: int) -> Supposing:
    if now.field == "drop":
        return replace(now, drop_c=_held(now.drop_c + by, 1, MOST_DROP_C))
    if now.field == "days":
        return replace(now, days=_held(now.days + by, 1, MOST_DAYS))
    count = _held((now.count or 0) + by, 0, MOST_COUNT)
    return replace(now, count=count or None)


def _next(now: str, names: Sequence[str], by: int) -> str:
    if not names:
        return now
    at = names.index(now) if now in names else 0
    return names[(at + by) % len(names)]


def _held(value: int, least: int, most: int) -> int:
    return min(max(value, least), most)


def _day_of(now: Supposing) -> date:
    return now.last if now.field == "last" else now.first


def _on_day(now: Supposing, day: date, limits: Limits) -> Supposing:
    day = min(max(day, limits.today), limits.end)
    if now.field == "last":
        return replace(now, last=max(day, now.first))
    return replace(now, first=day, last=max(day, now.last))


def typing(now: Supposing, character: str, limits: Limits) -> Supposing:
    """A digit, or what parts a date; at once taken as far as it makes sense."""
    if now.field in ("kind", "batch", "space"):
        return replace(now, refused="arrows choose this one")
    return _taken(replace(now, typed=now.typed + character, refused=""), limits)


def rubbed(now: Supposing, limits: Limits) -> Supposing:
    return _taken(replace(now, typed=now.typed[:-1], refused=""), limits)


def _taken(now: Supposing, limits: Limits) -> Supposing:
    if not now.typed:
        return now
    if now.field in ("first", "last"):
        day, refused = day_within(now.typed, limits.today, limits.today, limits.end)
        if day is None:
            return replace(now, refused=refused)
        return replace(_on_day(now, day, limits), typed=now.typed)
    if not now.typed.isdigit():
        return replace(now, refused="a whole number")
    return _numbered(now, int(now.typed))


def _numbered(now: Supposing, number: int) -> Supposing:
    most = {"drop": MOST_DROP_C, "days": MOST_DAYS}.get(now.field, MOST_COUNT)
    if not 1 <= number <= most:
        return replace(now, refused=f"{number} – must be 1 to {most}")
    if now.field == "drop":
        return replace(now, drop_c=number)
    if now.field == "days":
        return replace(now, days=number)
    return replace(now, count=number)


def said(now: Supposing) -> str:
    """In words, as the line at the bottom tells what is being tried."""
    first, batch = day_text(now.first), clean(now.batch)
    match now.kind:
        case "cold":
            days = "1 day" if now.days == 1 else f"{now.days} days"
            return f"{now.drop_c} °C colder for {days} from {first}"
        case "lost":
            return f"{'all' if now.count is None else now.count} of {batch} lost"
        case "late":
            return f"{batch} not to be had before {first}"
        case "without":
            return f"{clean(now.space)} out of use from {first} to {day_text(now.last)}"


LABELS: dict[Field, str] = {
    "kind": "What if …",
    "drop": "colder by",
    "days": "for",
    "batch": "batch",
    "count": "how many",
    "space": "space",
    "first": "from",
    "last": "to",
}


def value_text(now: Supposing, field: Field) -> str:
    """What a field holds; with what is being typed where it makes no sense yet."""
    if now.refused and now.typed and field == now.field:
        return f"{now.typed}?"
    day = now.last if field == "last" else now.first
    texts: dict[Field, str] = {
        "kind": TOLD[now.kind],
        "drop": f"{now.drop_c} °C, day and night",
        "days": "1 day" if now.days == 1 else f"{now.days} days",
        "batch": clean(now.batch) or "–",
        "space": clean(now.space) or "–",
        "count": "all of them" if now.count is None else f"{now.count} of them",
    }
    return texts.get(field, f"{day:%a} {day_text(day)}")
