"""What to protect on the next nights, and what helps."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from propsched.domain.repeats import expand
from propsched.domain.season import Season
from propsched.errors import PropschedError
from propsched.service.at_risk import (
    Nights,
    Risk,
    coming,
    is_likely,
    risks_of,
    with_helps,
)
from propsched.service.check import forecast_notes
from propsched.service.climate import warmth
from propsched.service.loaded import PLANNING, load, season_over
from propsched.service.opened import plan_of
from propsched.service.prepare import states_of
from propsched.service.raised import raised
from propsched.service.remedies import FLEECE, HEAT, MAT
from propsched.service.stands_on import stands_on

CLEAR_K = 3.0
"""Leaves under a clear, still sky are so much colder than the air beside them, and
more on bare dry skins (derived: sky loss of 80 W/m² against what the soil gives)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TonightAnswer:
    today: date
    nights: tuple[date, ...]
    """Evenings looked at."""
    rows: tuple[Risk, ...]
    """By night, greatest loss first."""
    nearest: Risk | None
    """What comes nearest to harm where nothing is at risk; None: nothing could be."""
    standing: int
    """Batches that stand somewhere on the first night."""
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def tonight(
    folder: Path,
    *,
    nights: int = 3,
    today: date | None = None,
    winters: int = 25,
    seed: int = 0,
) -> TonightAnswer:
    """
    The spaces and stages at risk on each of the next nights.

    What stands there is told by the daybook, and from tomorrow on by the plan in
    force too.

    Raises
    ------
    PropschedError
        If the season is over.
    """
    loaded = load(folder, today, PLANNING)
    season, first = loaded.season, loaded.today
    if first > season.end:
        raise PropschedError(season_over(season))
    plan, stray = plan_of(loaded.files)
    whole = tuple(
        raised(batch, loaded.files.crops.get(batch.crop, batch.method))
        for batch in expand(loaded.files.batches)
    )
    states = states_of(loaded, whole)
    evenings = coming(first, nights)
    until = evenings[-1] + timedelta(days=2)
    warm = warmth(loaded, winters=winters, seed=seed, until=until)
    table = Nights(warm, season)
    rows: list[Risk] = []
    every: list[Risk] = []
    standing = 0
    for evening in evenings:
        stands = stands_on(
            evening,
            today=first,
            raised=whole,
            states=states,
            plan=plan,
            noted=bool(loaded.files.daybook),
        )
        standing = len(stands) if evening == first else standing
        risks = risks_of(stands, table, evening)
        every += risks
        likely = [risk for risk in risks if is_likely(risk)]
        rows += with_helps(likely, {one.batch: one for one in stands}, table, first)
    nearest = None
    if not rows and every:
        nearest = min(every, key=lambda r: (-r.probability, r.margin_k))
    kinds = {warm.outlook.kind[warm.horizon.day(e) + 1] for e in evenings}
    notes = [*loaded.files.notes, *forecast_notes(loaded.files.weather, first)]
    if plan is None:
        only = "only what daybook.csv has standing is looked at"
        notes.append(f"{stray}; {only}" if stray else f"no plan yet: {only}")
    if "outlook" in kinds:
        notes.append(
            "weather.csv has no forecast for some of these nights: past winters stand "
            "for it, so a probability is that of the season more than of the night"
        )
    return TonightAnswer(
        today=first,
        nights=evenings,
        rows=tuple(rows),
        nearest=nearest,
        standing=standing,
        cautions=cautions(rows, season),
        notes=tuple(notes),
    )


def cautions(rows: Iterable[Risk], season: Season) -> tuple[str, ...]:
    """What to know of what is at risk and of what is done about it."""
    rows = tuple(rows)
    kinds = {space.id: space.kind for space in season.spaces}
    at = {kinds.get(row.space, "") for row in rows}
    done = {help_.what for row in rows for help_ in row.helps}
    said = []
    if at & {"open-ground", "polytunnel"}:
        said.append(
            f"Under a clear, still sky leaves are up to {CLEAR_K:g} °C colder than the "
            "air beside them: count that in for what stands in the open."
        )
    if at & {"cold-frame", "hotbed", "glasshouse", "polytunnel", "propagator"}:
        said.append("Shut lids and vents before the evening: the figures count on it.")
    if FLEECE in done:
        said.append(
            "Fleece holds off a degree at most, and on some still nights nothing: what "
            "has to be safe is brought in."
        )
    if done & {FLEECE, MAT}:
        said.append("Lay covers before the evening cools, take them off in daylight.")
    if at & {"glasshouse", "polytunnel"}:
        said.append(
            "No paraffin or gas heater in a closed house without air: carbon monoxide."
        )
    if HEAT in done:
        said.append(
            "Mains near water: gear for wet places, residual-current protection, a "
            "qualified electrician for the wiring, local wiring rules first."
        )
    return tuple(said)
