"""What warms and what cools a space on a day, and what the model assumes of it."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date
from pathlib import Path

import numpy as np

from propsched.domain.season import Season
from propsched.domain.space import Space
from propsched.errors import PropschedError, UnknownNameError
from propsched.service.climate import Warmth, warmth
from propsched.service.explanation import ExplainAnswer, Flow, SpaceExplained
from propsched.service.loaded import WEATHER_ONLY, Loaded, load, only
from propsched.service.variants import usual_of, variants_of
from propsched.thermal.assumptions import YOURS, Assumption, assumptions
from propsched.thermal.balance import TERMS, heat_balance
from propsched.thermal.bed_outlook import bed_outlook
from propsched.thermal.guesses import Rotting
from propsched.thermal.heap_outlook import heap_outlook
from propsched.thermal.places import reports_air
from propsched.thermal.skins import BENCHES, INDOORS
from propsched.thermal.tuning import Tuning

LEAST_W_M2 = 0.05
"""Flows smaller than this are not told."""
LEAST_MOVED = 0.02
"""Figures moved by less are not told."""
EVEN = 0.8
"""A second flow of at least this share of the first is named with it."""
ROOM_ONLY = "Follows the air of its room: nothing else warms or cools it."
STEADY_W_M2 = 1.0
"""Less than this taken up or given off is no change to speak of."""


def explain(
    folder: Path,
    *,
    spaces: Sequence[str] = (),
    on: date | None = None,
    today: date | None = None,
    winters: int = 25,
    seed: int = 0,
) -> ExplainAnswer:
    """
    Explain some or all spaces of a season on one day.

    Parameters
    ----------
    spaces : sequence of str
        Ids; none means all.
    on : date, optional
        None is today.

    Raises
    ------
    UnknownNameError
        If a space is not in the season.
    PropschedError
        If the day lies outside the season.
    """
    loaded = load(folder, today, WEATHER_ONLY)
    season = loaded.season
    known = [space.id for space in season.spaces]
    for name in spaces:
        if name not in known:
            raise UnknownNameError(
                f"no space {name!r} – the season has {', '.join(known)}"
            )
    on = on or loaded.today
    if not season.start <= on <= season.end:
        raise PropschedError(
            f"{on} is outside the season – {season.start} to {season.end}"
        )
    wanted = tuple(spaces) or tuple(known)
    some = only(loaded, wanted)
    warm = warmth(some, winters=winters, seed=seed)
    return ExplainAnswer(
        spaces=tuple(_explained(some, warm, name, on, seed) for name in wanted),
        notes=loaded.files.notes,
    )


def _explained(
    loaded: Loaded, warm: Warmth, name: str, on: date, seed: int
) -> SpaceExplained:
    alone = only(loaded, (name,)).season
    day = warm.horizon.day(on)
    row = int(warm.states[name][day])
    variants = list(usual_of(variants_of(alone, loaded.today)))
    given = next(i for i, v in enumerate(variants) if v.space.id == name)
    variants[given] = warm.zone.variants[row]
    space = variants[given].space
    work_day = np.array([alone.is_work_day(day) for day in warm.horizon])
    tunings = [warm.learnt.get(v.space.id, Tuning()) for v in variants]
    balance = heat_balance(
        alone.site,
        variants,
        given,
        warm.outlook,
        work_day=work_day,
        tunings=tunings,
        until=day + 1,
    )
    hours = slice(24 * day, 24 * day + 24)
    words = flow_words(space, alone)
    told = [
        Flow(term=term, words=words[term], w_m2=w_m2)
        for term, w_m2 in balance.day(day).items()
        if abs(w_m2) >= LEAST_W_M2 and not reports_air(space)
    ]
    flows = tuple(sorted(told, key=lambda flow: -flow.w_m2))
    storage = Flow(
        term="storage", words=words["storage"], w_m2=float(balance.storage[day])
    )
    company = tuple(v for i, v in enumerate(variants) if i != given)
    rotting = Rotting(
        space=space,
        company=company,
        site=alone.site,
        outlook=warm.outlook,
        work_day=work_day,
        seed=seed,
        learnt=tunings[given],
    )
    kind = warm.outlook.kind[day]
    return SpaceExplained(
        space=name,
        on=on,
        kind=kind,
        winters=1 if kind == "observed" else len(warm.outlook.winters),
        root_mean_c=float(warm.modelled.root_c[row, :, hours].mean()),
        corrected_mean_c=float(warm.zone.root_c[row, :, hours].mean()),
        outdoor_mean_c=float(warm.zone.outdoor_c[:, hours].mean()),
        sentence="Measures the air, which has no balance of its own here."
        if reports_air(space)
        else sentence(flows, storage),
        flows=flows,
        storage=storage,
        assumptions=(*assumptions(space, alone.site), *_moved(tunings[given])),
        bed=bed_outlook(rotting) if space.kind == "hotbed" else None,
        heap=heap_outlook(rotting) if space.kind == "heap" else None,
    )


def _moved(tuning: Tuning) -> tuple[Assumption, ...]:
    """What readings have made of the figures."""
    plain = Tuning()
    return tuple(
        Assumption(
            what=f"{f.name.removesuffix('_k').replace('_', ' ')}, moved by readings",
            value=getattr(tuning, f.name),
            unit="K" if f.name.endswith("_k") else "times",
            basis=YOURS,
            source="readings.csv",
        )
        for f in fields(Tuning)
        if abs(getattr(tuning, f.name) - getattr(plain, f.name)) > LEAST_MOVED
    )


def flow_words(space: Space, season: Season) -> Mapping[str, str]:
    """What each term is for this space, as it completes "warmed by …"."""
    indoors = space.kind in (*INDOORS, *BENCHES)
    air = "the air outside"
    if space.inside is not None:
        air = f"the air of {space.inside}"
    elif space.kind in INDOORS:
        air = "the room's air"
    covered = space.kind in ("cold-frame", "glasshouse", "polytunnel", "hotbed")
    lidded = space.lid or (space.lid is None and space.kind == "propagator")
    if covered or lidded:
        air += ", through the cover"
    words = {
        "sun": "the sun",
        "sky": "the open sky" if not covered else "the sky, through the cover",
        "evaporation": "drying",
        "lamp": "the lamp",
        "heater": "the heater",
        "air": air,
        "ventilation": "open vents",
        "below": "what lies below, through the base" if indoors else "the ground below",
        "side": "the air around its sides" if space.kind == "heap" else "the edges",
        "decay": "its own rotting",
        "storage": "kept by the compost" if indoors else "kept by the ground",
    }
    assert set(words) == {*TERMS, "storage"}
    return words


def sentence(flows: Sequence[Flow], storage: Flow) -> str:
    """What warms it most, where that goes, and whether it is on the way up or down."""
    gains = [flow for flow in flows if flow.w_m2 > 0]
    losses = [flow for flow in reversed(flows) if flow.w_m2 < 0]
    parts = []
    if gains:
        parts.append(f"warmed mostly by {_most(gains)}")
    if losses:
        parts.append(f"loses most to {_most(losses)}")
    said = "; ".join(parts)
    if said and storage.w_m2 > STEADY_W_M2:
        said += " and is warming up"
    elif said and storage.w_m2 < -STEADY_W_M2:
        said += " and is cooling down"
    return said[0].upper() + said[1:] + "." if said else ROOM_ONLY


def _most(flows: Sequence[Flow]) -> str:
    """The greatest, and the second where it is nearly as great."""
    first, *rest = flows
    if rest and abs(rest[0].w_m2) >= EVEN * abs(first.w_m2):
        return f"{first.words} and {rest[0].words}"
    return first.words
