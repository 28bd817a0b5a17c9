"""What warms and what cools a space, hour by hour, in W/m² of its floor."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from propsched.domain.quantities import Horizon
from propsched.domain.season import Site
from propsched.domain.space import Variant
from propsched.thermal.column import STEP_S, THETA, Columns, Mesh
from propsched.thermal.covers import Skin
from propsched.thermal.crew import Crew, assemble
from propsched.thermal.march import Hour
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.simulate import march_through
from propsched.thermal.surface import Forcing, Hours, force, hours_of
from propsched.thermal.tuning import Tuning

Array = NDArray[np.float64]

RADIANT = ("sun", "sky", "evaporation", "lamp")
TERMS = (*RADIANT, "heater", "air", "ventilation", "below", "side", "decay")
"""Flows into the space, in the order in which they are told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """
    Daily means of what flows into a space, mean of the winters. [W/m²]

    The space is its ground, compost or sand and the air above it up to the cover.
    """

    horizon: Horizon
    flows: dict[str, Array]
    """By term, each (N,); below 0 what it loses."""
    storage: Array
    """Taken up by the layers, ice counted as a debt; (N,)."""

    def day(self, day: int) -> dict[str, float]:
        """Each term of one day. [W/m²]"""
        return {name: float(flow[day]) for name, flow in self.flows.items()}


def radiant_flows(
    skin: Skin, mesh: Mesh, hours: Hours, end_day: int, winters: slice
) -> Array:
    """
    Sun, sky, evaporation and lamp of the days up to one. [W/m²] (4, 24 D, K)

    Notes
    -----
    Each is what the forcing changes by when it is let in after those before it, so
    that the four add up to the forcing whatever it consists of. The sun is what is
    absorbed, less what it would take to warm snow above 0 °C.
    """
    days = np.arange(end_day)
    off = replace(
        skin, sun=0.0, sky_day=0.0, sky_night=0.0, wet=0.0, dries_w_m2=0.0, lamp_w_m2=0
    )
    sky = replace(off, sky_day=skin.sky_day, sky_night=skin.sky_night)
    sun = replace(sky, sun=skin.sun)
    wet = replace(sun, wet=skin.wet, dries_w_m2=skin.dries_w_m2)

    def total(one: Skin) -> Array:
        f = force([one], [mesh.skin_m2k_w], hours, days, winters)
        return np.asarray((f.gain + f.ground)[:, 0])

    steps = [total(one) for one in (off, sky, sun, wet, skin)]
    by_sky, by_sun, by_water, by_lamp = np.diff(np.stack(steps), axis=0)
    return np.stack([by_sun, by_sky + steps[0], by_water, by_lamp])


class _Ledger:
    """Books the flows of one place while the hours go by."""

    def __init__(
        self, row: int, crew: Crew, hours: Hours, days: int, winters: int
    ) -> None:
        self.row, self.crew = row, crew
        place = crew.places[row]
        self.radiant = radiant_flows(
            place.skin, place.mesh, hours, days, slice(0, winters)
        )
        self.flows = np.zeros((len(TERMS), days))
        self.storage = np.zeros(days)
        self.was: tuple[Array, Array] = (np.empty(0), np.empty(0))

    def before(self, columns: Columns) -> None:
        row = self.row
        self.was = columns.temp_c[row].copy(), columns.ice_j_m2[row].copy()

    def after(self, columns: Columns, forcing: Forcing, t: int, hour: Hour) -> None:
        if hour.hour < 0:
            return
        row, n, mesh = self.row, columns.n, columns.meshes[self.row]
        was, ice = self.was
        capacity = (mesh.c_j_m3k * mesh.dz_m)[:, None]
        thawed = columns.ice_j_m2[row] - ice
        # the step itself is taken before water freezes or ice melts
        stepped = columns.temp_c[row, :n] - thawed / capacity
        middle = THETA * stepped + (1 - THETA) * was[:n]
        k = middle.shape[1]
        radiant = self.radiant[:, hour.hour, :k]
        base, side = _through_the_mesh(mesh, middle, was[n:])
        heater, closed, vented = self._surface(forcing, t, hour, middle[0])
        flows = [*radiant, heater, closed, vented, base, side, self._decay(hour, k)]
        day = hour.hour // 24
        self.flows[:, day] += np.mean(flows, axis=1) / 24
        taken = capacity * (columns.temp_c[row, :n] - was[:n]) - thawed
        self.storage[day] += taken.sum(axis=0).mean() / STEP_S / 24

    def _surface(
        self, f: Forcing, t: int, hour: Hour, top: Array
    ) -> tuple[Array, Array, Array]:
        """Heaters, and the air around: through the cover and through open vents."""
        row, crew = self.row, self.crew
        film, shut, gain = f.film[t, row], f.shut[t, row], f.gain[t, row]
        g, around = hour.conductance[row], hour.around_c[0, row]
        loss = film * g / (film - g) if crew.places[row].skin.vented else shut
        heater = np.zeros_like(top)
        if row in crew.air_heated:
            share = film / (film + loss)
            gain = (hour.into[row] - f.ground[t, row]) / share
            heater = gain - f.gain[t, row]
        inside = (film * top + loss * around + gain) / (film + loss)
        if hour.heater is not None and crew.heated.start <= row < crew.heated.stop:
            heater = heater + hour.heater[row - crew.heated.start]
        return heater, shut * (around - inside), (loss - shut) * (around - inside)

    def _decay(self, hour: Hour, winters: int) -> Array:
        rows = self.crew.rotting
        if hour.decay is None or not rows.start <= self.row < rows.stop:
            return np.zeros(winters)
        return np.asarray(hour.decay[self.row - rows.start].sum(axis=0))


def _through_the_mesh(mesh: Mesh, middle: Array, beyond: Array) -> tuple[Array, Array]:
    """From below and from beside; ``beyond`` holds their temperatures."""
    last = mesh.dz_m[-1] / (2 * mesh.k_w_mk[-1])
    base = 1 / (1 / mesh.base_w_m2k + last) if mesh.base_w_m2k > 0 else 0.0
    side = (mesh.side_w_m3k * mesh.dz_m)[:, None] * (beyond[1] - middle)
    return base * (beyond[0] - middle[-1]), np.asarray(side.sum(axis=0))


def heat_balance(
    site: Site,
    variants: Sequence[Variant],
    given: int,
    outlook: Outlook,
    *,
    work_day: NDArray[np.bool_],
    tunings: Sequence[Tuning] | None = None,
    until: int | None = None,
) -> Balance:
    """
    Simulate once more and keep what flowed into one of the variants.

    Parameters
    ----------
    site, variants, outlook, work_day, tunings
        As for ``simulate``.
    given : int
        Which of the variants.
    until : int, optional
        The first day that is not asked about; those from it on are left out.

    Notes
    -----
    Flows are those of the numerical scheme, so that they add up to the heat taken up
    by the layers within rounding; nothing is closed by a remainder.
    """
    hours = hours_of(site, outlook, work_day)
    crew = assemble(variants, site, outlook.horizon, tunings)
    whole = outlook.horizon
    days = whole.days if until is None else min(until, whole.days)
    row = int(crew.place_in_order[given])
    ledger = _Ledger(row, crew, hours, days, len(outlook.winters))
    march_through(crew, site, outlook, hours, ledger, days)
    return Balance(
        horizon=Horizon(whole.first, days),
        flows=dict(zip(TERMS, ledger.flows, strict=True)),
        storage=ledger.storage,
    )
