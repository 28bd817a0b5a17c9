"""Where one crop does best if it is started on a given day."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from propsched.biology.climate import Climate
from propsched.biology.explain import explain
from propsched.biology.rank import Ranked, rank_spaces
from propsched.domain.container import TRAY_M2
from propsched.domain.crop import UNSTARTED, Crop, Method
from propsched.domain.space import told
from propsched.errors import PropschedError, UnknownNameError
from propsched.service.answers import WhereAnswer, WhereRow
from propsched.service.climate import Warmth, warmth
from propsched.service.loaded import WEATHER_ONLY, Loaded, load
from propsched.service.raised import raised
from propsched.service.tasks import local_months

SPOKEN = {"memory": "recalled, no source"}
"""A basis as it is told to a grower."""
NOT_RANKED = frozenset(
    {"container", "holds", "in_row_cm", "rows_cm", "min_per_container", "wait_d"}
)
"""Figures that do not decide where a crop does best."""


def where(
    folder: Path,
    crop: str,
    *,
    method: str | None = None,
    on: date | None = None,
    today: date | None = None,
    winters: int = 25,
    seed: int = 0,
) -> WhereAnswer:
    """
    Rank the spaces of a season for one crop.

    Parameters
    ----------
    crop : str
        As people type it.
    method : str, optional
        None takes the method of the season's own batch of this crop, else the
        first of the crop table.
    on : date, optional
        Day of the start; None is today.

    Raises
    ------
    UnknownNameError
        If there is no such crop, or it is not raised that way.
    PropschedError
        If the day lies outside the season.
    """
    loaded = load(folder, today, WEATHER_ONLY)
    season = loaded.season
    row, notes = chosen(loaded, crop, method)
    on = on or loaded.today
    if not season.start <= on <= season.end:
        raise PropschedError(
            f"{on} is outside the season – {season.start} to {season.end}"
        )
    warm = warmth(loaded, winters=winters, seed=seed)
    climate = Climate(warm.zone)
    day = warm.horizon.day(on)
    row = _as_in_batches(loaded, row)
    ranked = rank_spaces(
        row,
        climate,
        day,
        end_day=warm.horizon.day(season.end) + 1,
        quantile=season.weights.quantile,
        south=season.site.latitude < 0,
    )
    notes = (*notes, *_of_beds(loaded, warm))
    months = local_months(row.material, season.site.latitude)
    if months and on.month not in months:
        notes = (*notes, f"material of {row.name} is not usually to be had then")
    return WhereAnswer(
        crop=row.name,
        method=row.method,
        on=on,
        rows=tuple(
            _row(loaded, warm, one, on, row)
            for one in ranked
            if _label(warm, one.variant)
        ),
        explanation=explain(row, climate, day, ranked),
        figures=figures(row, loaded.files.crops.citations),
        notes=(*loaded.files.notes, *notes),
        currency=season.heat.currency,
    )


def _of_beds(loaded: Loaded, warm: Warmth) -> tuple[str, ...]:
    """Which day is taken for a bed whose day the plan is to choose."""
    found = []
    for space in loaded.season.spaces:
        made = warm.zone.variants[warm.zone.of(space.id)].space.make_up
        if space.make_up_open and made is not None:
            found.append(f"{space.id}: as if made up on {made}, the first of its days")
    return tuple(found)


def chosen(
    loaded: Loaded, name: str, method: str | None
) -> tuple[Crop, tuple[str, ...]]:
    """The row of the crop table that is meant, and what else it could have been."""
    table = loaded.files.crops
    rows = table.find(name)
    if not rows:
        near = table.near(name)
        hint = f" – did you mean {' or '.join(near)}?" if near else ""
        raise UnknownNameError(f"no crop {name!r}{hint}")
    methods: tuple[Method, ...] = tuple(row.method for row in rows)
    if method is not None:
        fitting = [row for row in rows if row.method == method]
        if not fitting:
            raise UnknownNameError(
                f"{rows[0].name} is not raised by {method!r} – {', '.join(methods)}"
            )
        return fitting[0], ()
    if len(rows) == 1:
        return rows[0], ()
    own = {(b.crop, b.method) for b in loaded.files.batches}
    first = next((row for row in rows if row.key in own), rows[0])
    others = ", ".join(
        f"{row.name} by {row.method}" for row in rows if row is not first
    )
    return first, (f"{first.name} by {first.method}; also known: {others}",)


def _as_in_batches(loaded: Loaded, row: Crop) -> Crop:
    """The crop in the container of the season's own batch, if there is one."""
    for batch in loaded.files.batches:
        if (batch.crop, batch.method) == row.key:
            return raised(batch, row).crop
    return row


def _label(warm: Warmth, variant: int) -> str:
    """
    The space, and its state where it is not the usual one: ``bench, heat on``.

    Blank for a bed made up later than on the first of its days, which is left out.
    """
    zone = warm.zone
    one, usual = (
        zone.variants[variant],
        zone.variants[zone.of(zone.variants[variant].space.id)],
    )
    if one.space.make_up != usual.space.make_up:
        return ""
    state = told(one.name)
    return f"{one.space.id}, {state}" if state else one.space.id


def _row(loaded: Loaded, warm: Warmth, one: Ranked, on: date, crop: Crop) -> WhereRow:
    space = warm.zone.variants[one.variant].space
    half = None if one.half_by is None else warm.horizon.date(one.half_by)
    most = None if one.most_by is None else warm.horizon.date(one.most_by)
    tray = min(1.0, TRAY_M2 / space.area_m2)
    return WhereRow(
        space=_label(warm, one.variant),
        start=on,
        half_by=half,
        most_by=most,
        days=one.days,
        root_mean_c=round(one.root_mean_c, 1),
        success=round(one.success, 2),
        limits=one.limits,
        basis=basis(crop),
        stands_over=one.stands_over,
        cost=round(one.kwh * loaded.season.heat.price_per_kwh * tray, 2),
    )


def figures(crop: Crop, citations: Mapping[str, str]) -> tuple[str, ...]:
    """What the ranking rests on: figures of chilling and start, with their origin."""
    told, sources = [], dict[str, str]()
    for figure in crop.figures:
        if figure.stage not in UNSTARTED or figure.name in NOT_RANKED:
            continue
        origin = SPOKEN.get(figure.basis, figure.basis)
        if figure.source:
            origin += f" [{figure.source}]"
            sources[figure.source] = citations.get(figure.source, "the season's own")
        note = f" ({figure.note})" if figure.note else ""
        told.append(f"{figure.stage}, {figure.name} {figure.value}: {origin}{note}")
    return (*told, *(f"[{key}] {text}" for key, text in sources.items()))


def basis(crop: Crop) -> str:
    """Where the figures of the start stage come from, weakest first."""
    own = {f.basis for f in crop.figures if f.stage == "start"}
    order = ("memory", "common practice", "derived", "published")
    return ", ".join(name for name in order if name in own)
