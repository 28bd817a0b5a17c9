"""What those that stand in a space need of its warmth, as lines to draw and to say."""

from dataclasses import dataclass
from datetime import date
from math import isnan
from typing import TYPE_CHECKING

from propsched.report.words import clean
from propsched.tui.views.season_book import SeasonBook

if TYPE_CHECKING:
    from propsched.domain.crop import Needs
    from propsched.service.opened import Opened


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """Of one stage of one batch while it stands here."""

    batch: str
    crop: str
    stage: str
    start: date
    end: date
    """First day it is gone."""
    least_c: float
    """Of the root zone; what it means says ``least_word``. [°C]"""
    least_word: str
    best_c: float | None
    """None: warmth does nothing for it. [°C]"""
    best_to_c: float | None
    night_c: float | None
    """Least of the air at night. [°C]"""
    noted: bool
    """It stands there by the daybook."""

    @property
    def best_text(self) -> str:
        if self.best_c is None:
            return ""
        if self.best_to_c is None or self.best_to_c == self.best_c:
            return f"{self.best_c:g} °C"
        return f"{self.best_c:g}–{self.best_to_c:g} °C"


def needs_on(
    opened: "Opened", book: SeasonBook, space: str, day: date, *, batch: str = ""
) -> list[Need]:
    """
    Of what stands in a space on a day, the most demanding first.

    Parameters
    ----------
    batch : str
        That is chosen: it comes before all others.
    """
    own = book.of(space)
    if own is None:
        return []
    found = {}
    for spell in own.standing(day, day):
        if spell.by == "over" and day >= book.today:
            continue
        crop = opened.crops.get(spell.batch)
        stages = () if crop is None else crop.stages
        for needs in stages:
            if needs.stage == spell.stage:
                need = _need(
                    needs,
                    batch=spell.batch,
                    crop=spell.crop,
                    span=(spell.start, spell.end),
                    noted=spell.by == "daybook",
                )
                found[spell.batch, spell.stage] = need
    return sorted(found.values(), key=lambda n: (n.batch != batch, -n.least_c, n.batch))


def _need(
    needs: "Needs", *, batch: str, crop: str, span: tuple[date, date], noted: bool
) -> Need:
    least, word = needs.base_c, "grows above"
    best: float | None = needs.opt_c
    best_to: float | None = needs.opt_to_c
    night = needs.min_c
    if needs.stage == "chill":
        least, word = needs.cold_from_c, "chills from"
        best, best_to = needs.cold_from_c, needs.cold_to_c
    elif needs.stage == "warm":
        least, word = needs.warm_from_c, "lies warm from"
        best, best_to = needs.warm_from_c, needs.warm_to_c
    elif needs.stage == "harden":
        best = best_to = None
        night = needs.damage_c
    elif needs.floor_c is not None and needs.floor_c > least:
        least, word = needs.floor_c, "rots below"
    return Need(
        batch=clean(batch),
        crop=clean(crop),
        stage=needs.stage,
        start=span[0],
        end=span[1],
        least_c=least,
        least_word=word,
        best_c=best,
        best_to_c=best_to,
        night_c=night,
        noted=noted,
    )


def need_text(need: Need, root_c: float, air_c: float) -> str:
    """``leek (start) grows above 2 °C, best 18–24 °C: 9.6 °C short of its best``."""
    who = f"{need.batch} ({need.stage})"
    if need.crop != need.batch.replace("-", " ") and not need.batch.startswith(
        need.crop.replace(" ", "-")
    ):
        who = f"{need.batch}, {need.crop} ({need.stage})"
    parts = [] if need.best_c is None else [f"{need.least_word} {need.least_c:g} °C"]
    if need.best_c is not None and need.stage != "chill":
        parts.append(f"best {need.best_text}")
    elif need.best_c is not None:
        parts = [f"chills at {need.best_text}"]
    if need.night_c is not None:
        parts.append(f"nights above {need.night_c:g} °C")
    if not parts:
        parts = ["any warmth will do"]
    verdict = _verdict(need, root_c, air_c)
    return f"{who} {', '.join(parts)}" + (f": {verdict}" if verdict else "")


def _verdict(need: Need, root_c: float, air_c: float) -> str:
    cold_night = need.night_c is not None and air_c < need.night_c
    night = f"; NIGHT TOO COLD, air down to {air_c:.1f} °C" if cold_night else ""
    if isnan(root_c) or need.best_c is None:
        return night[2:]
    chills = need.stage == "chill"
    return (_chilled if chills else _grown)(need, need.best_c, root_c) + night


def _chilled(need: Need, from_c: float, root_c: float) -> str:
    if root_c > (need.best_to_c or from_c):
        return "TOO WARM to chill"
    return "TOO COLD to chill" if root_c < from_c else "it chills"


def _grown(need: Need, best_c: float, root_c: float) -> str:
    top = need.best_to_c or best_c
    if root_c <= need.least_c:
        rots = need.least_word == "rots below"
        return "TOO COLD, may rot" if rots else "TOO COLD, stands still"
    if root_c < best_c:
        return f"{best_c - root_c:.1f} °C short of its best"
    return "at its best" if root_c <= top else f"{root_c - top:.1f} °C above its best"
