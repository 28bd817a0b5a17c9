"""The loop over hours."""

from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from propsched.domain.season import Site
from propsched.thermal import materials as m
from propsched.thermal.column import STEP_S, Columns, surface_flow, thermostat
from propsched.thermal.covers import vented_loss
from propsched.thermal.crew import BESIDE, DEEP, OUTDOORS, Crew
from propsched.thermal.ground import Wave, kusuda, yearly_wave
from propsched.thermal.hotbed import rot
from propsched.thermal.outlook_types import Outlook
from propsched.thermal.places import BED_LAYERS, BED_SOIL_LAYERS, GROUND_M
from propsched.thermal.rooms import room_air
from propsched.thermal.surface import Forcing, Hours, force

Array = NDArray[np.float64]

BESIDE_M = 0.5
"""Depth that stands for the ground beside a bed. [m]"""


class Hour(NamedTuple):
    """What one hour did, all places at once: (V, K) [W/m²] or [W/m²·K]."""

    hour: int
    """Since the first day; below 0 before it."""
    around_c: Array
    """Air around, ground below, ground beside, (3, V, K). [°C]"""
    conductance: Array
    """First layer to the air around."""
    into: Array
    """Into the column whatever its temperature."""
    flow: Array
    """Through the surface into the column."""
    heater: Array | None
    """In the root zone of the heated places."""
    decay: Array | None
    """Set free in each rotting layer, (B, L, K)."""


class Watch(Protocol):
    """Looks on while the hours go by."""

    def before(self, columns: Columns) -> None:
        """See the columns as they were at the start of the hour."""

    def after(self, columns: Columns, forcing: Forcing, t: int, hour: Hour) -> None:
        """See them at its end; ``t`` is its row of the forcing."""


class March:
    """State of all places while the hours go by, and what is kept of it."""

    def __init__(
        self,
        crew: Crew,
        site: Site,
        outlook: Outlook,
        hours: Hours,
        *,
        first_day: int,
        shared: bool,
        watch: Watch | None = None,
    ) -> None:
        self.watch = watch
        self.decay_w_m2: Array | None = None
        n, k, v = outlook.horizon.days, len(outlook.winters), len(crew.places)
        self.crew, self.hours = crew, hours
        self.winters = 1 if shared else k
        self.first_doy = float(hours.day_of_year[0])
        soil = m.SOILS[site.soil]
        self.wave: Wave = yearly_wave(site, hours.day_of_year, outlook)
        self.diffusivity = soil.k_w_mk.value / soil.c_j_m3k.value * 86_400
        self.room_c = room_air(crew.rooms, hours)
        self.columns = Columns([p.mesh for p in crew.places], self.winters)
        start = [
            kusuda(
                p.mesh.middle_m, self.first_doy + first_day, self.wave, self.diffusivity
            )
            for p in crew.places
        ]
        layers = np.array(start)[..., None] + crew.shift_k[1][:, None]
        full = np.concatenate([layers, layers[:, -2:]], axis=1)
        self.columns.spread(full, np.zeros_like(layers), self.winters)
        self.own_air = np.repeat(layers[:, 0], self.winters, axis=1)
        self.root_c = np.empty((24 * n, v, k), dtype=np.float32)
        self.air_c = np.empty((24 * n, v, k), dtype=np.float32)
        self.kwh = np.zeros((n, v, k), dtype=np.float32)
        self.area_m2 = np.array([[p.space.area_m2] for p in crew.places])
        self.close = np.array(
            [i for i, p in enumerate(crew.places) if p.skin.close_share > 0],
            dtype=np.intp,
        )
        skins = [crew.places[i].skin for i in self.close]
        self.close_share = np.array([[s.close_share] for s in skins]).reshape(-1, 1)
        self.close_most = np.array([[s.close_most_k] for s in skins]).reshape(-1, 1)
        self.opened = np.array([[p.skin.opened] for p in crew.places])[crew.vented]
        rotting = crew.places[crew.rotting]
        decays = [p.decay for p in rotting if p.decay is not None]
        self.decays = np.array(
            [[d.rate_d, d.heat_j_kg, d.lag_d] for d in decays]
        ).T.reshape(3, len(rotting), 1, 1)
        self.layer_m = np.array(
            [p.bed.dz_m[BED_LAYERS] for p in rotting if p.bed is not None]
        ).reshape(len(rotting), BED_LAYERS.stop - BED_LAYERS.start, 1)
        self.left = np.zeros((len(rotting), self.layer_m.shape[1], self.winters))
        self.made_at = np.zeros((len(rotting), 1, 1))

    def fan_out(self, winters: int) -> None:
        """Go on in so many winters from a state that all of them share."""
        cols = self.columns
        cols.spread(cols.temp_c, cols.ice_j_m2, winters)
        self.own_air = np.repeat(self.own_air, winters, axis=1)
        self.left = np.repeat(self.left, winters, axis=2)
        self.winters = winters

    def make_up(self, day: int) -> None:
        """Make up the beds whose day it is."""
        crew, cols = self.crew, self.columns
        for v, (place, when) in enumerate(zip(crew.places, crew.make_up, strict=True)):
            if when != day or place.bed is None or place.decay is None:
                continue
            old, new = cols.meshes[v], place.bed
            was = cols.temp_c[v, : cols.n].copy()
            root = old.share_at(old.probe_m) @ was
            layers = np.stack([old.share_at(z) for z in new.middle_m]) @ was
            hot = slice(
                0 if place.space.kind == "heap" else BED_SOIL_LAYERS, BED_LAYERS.stop
            )
            layers[:BED_SOIL_LAYERS] = root
            layers[hot] = place.space.fill_c
            cols.put(v, new)
            cols.temp_c[v, : cols.n] = layers
            cols.ice_j_m2[v] = 0.0
            b = v - crew.rotting.start
            self.left[b] = place.decay.degradable_kg_m3
            self.made_at[b] = 24.0 * day

    def _surroundings(self, days: NDArray[np.int64], first_day: int) -> Array:
        """Outdoor air, deep ground, ground beside and rooms. (T, R, K)"""
        hours = 24 * days.size
        winters = slice(0, self.winters)
        out = np.empty((hours, BESIDE + 1 + len(self.crew.rooms), self.winters))
        out[:, OUTDOORS] = self.hours.air_c[days][..., winters].reshape(hours, -1)
        doy = self.first_doy + first_day + (np.arange(hours) + 0.5) / 24
        for row, depth in ((DEEP, GROUND_M), (BESIDE, BESIDE_M)):
            out[:, row] = kusuda(depth, doy, self.wave, self.diffusivity)[:, None]
        rooms = self.room_c[days][..., winters]
        out[:, BESIDE + 1 :] = rooms.reshape(hours, -1, self.winters)
        return out

    def run(self, days: NDArray[np.int64], first_day: int) -> None:
        """
        Go through some days.

        Parameters
        ----------
        days : ndarray
            Days of the outlook whose weather it is.
        first_day : int
            Number of the first of them; below 0 nothing is kept.
        """
        crew, cols = self.crew, self.columns
        skins = crew.skins(first_day)
        inner = [mesh.skin_m2k_w for mesh in cols.meshes]
        f = force(skins, inner, self.hours, days, slice(0, self.winters))
        around = self._surroundings(days, first_day)
        total = f.film + f.shut
        share = f.film / total
        conductance = share * f.shut
        into = share * f.gain + f.ground
        power = crew.power_w_m2[days][:, :, None]
        table = np.empty((around.shape[1] + len(skins), self.winters))
        own = around.shape[1]
        table[own:] = self.own_air
        got = np.empty((3, len(skins), self.winters))
        for t in range(24 * days.size):
            table[:own] = around[t]
            np.take(table, crew.around, axis=0, out=got, mode="clip")
            got += crew.shift_k
            cols.temp_c[:, cols.n :] = got[1:].transpose(1, 0, 2)
            predicted = cols.predict()
            if crew.rotting.stop:
                self._rot(first_day * 24 + t)
            ground = cols.top_c
            inside = f.film[t] * ground
            inside += f.shut[t] * got[0]
            inside += f.gain[t]
            inside /= total[t]
            if crew.air_heated.size:
                self._heat_air(f, inside, total, share, into, power, t, days, first_day)
            if crew.vented.stop:
                self._vent(f, inside, got[0], conductance, into, t)
            flow, back = surface_flow(cols, predicted, conductance[t], got[0], into[t])
            heat = None
            if crew.heated.stop:
                heat = self._heat(flow, back, power[t // 24], first_day + t // 24)
            hour = 24 * first_day + t
            row = Hour(hour, got, conductance[t], into[t], flow, heat, self.decay_w_m2)
            self._finish(f, t, row)
            table[own:] = inside
            if hour >= 0:
                self.root_c[hour] = cols.probe_c
                self.air_c[hour] = inside
                if self.close.size:
                    self._close(hour, inside)
        self.own_air = table[own:].copy()

    def _finish(self, f: Forcing, t: int, row: Hour) -> None:
        """End the hour, somebody looking on or not."""
        if self.watch is None:
            self.columns.finish(row.flow, row.heater, self.crew.heated)
            return
        self.watch.before(self.columns)
        self.columns.finish(row.flow, row.heater, self.crew.heated)
        self.watch.after(self.columns, f, t, row)

    def _rot(self, hour: int) -> None:
        if not self.left.any():
            return
        rows = self.crew.rotting
        temp = self.columns.temp_c[rows, BED_LAYERS]
        self.left, heat = rot(self.left, temp, hour - self.made_at, self.decays)
        self.decay_w_m2 = heat * self.layer_m
        self.columns.add_source(rows, BED_LAYERS, self.decay_w_m2)

    def _vent(
        self,
        f: Forcing,
        inside: Array,
        around: Array,
        conductance: Array,
        into: Array,
        t: int,
    ) -> None:
        """Open vents where it is too warm; changes this hour's row."""
        rows = self.crew.vented
        warm = inside[rows] > f.vent_c[t, rows]
        if not warm.any():
            return
        film, gain, ground = f.film[t, rows], f.gain[t, rows], self.columns.top_c[rows]
        shut, out = f.shut[t, rows], around[rows]
        open_ = vented_loss(
            film, ground, shut, self.opened, out, gain, f.vent_c[t, rows]
        )
        loss = np.where(warm, open_, shut)
        share = film / (film + loss)
        inside[rows] = (film * ground + loss * out + gain) / (film + loss)
        conductance[t, rows] = share * loss
        into[t, rows] = share * gain + f.ground[t, rows]

    def _heat(self, flow: Array, back: Array, power: Array, day: int) -> Array:
        """Thermostats of the root zone; takes their share off the surface's flow."""
        cols, rows = self.columns, self.crew.heated
        sensor = cols.probe_c[rows] + cols.top_probe[rows] * flow[rows]
        lost = back[rows] * cols.heat0[rows]
        per_w = cols.heat_probe[rows] - cols.top_probe[rows] * lost
        heat = thermostat(self.crew.set_c[rows] - sensor, per_w, power[rows])
        flow[rows] -= lost * heat
        if day >= 0:
            self.kwh[day, rows] += heat * self.area_m2[rows] * (STEP_S / 3.6e6)
        return heat

    def _heat_air(
        self,
        f: Forcing,
        inside: Array,
        total: Array,
        share: Array,
        into: Array,
        power: Array,
        t: int,
        days: NDArray[np.int64],
        first_day: int,
    ) -> None:
        """Heaters of houses, which hold the air."""
        rows, day = self.crew.air_heated, first_day + t // 24
        short = (self.crew.set_c[rows] - inside[rows]) * total[t, rows]
        heat = np.clip(short, 0.0, power[t // 24, rows])
        inside[rows] += heat / total[t, rows]
        into[t, rows] += share[t, rows] * heat
        if day >= 0:
            self.kwh[day, rows] += heat * self.area_m2[rows] * (STEP_S / 3.6e6)

    def _close(self, hour: int, inside: Array) -> None:
        """Air among plants under a fleece or a second lid."""
        rows = self.close
        lift = self.close_share * (self.columns.top_c[rows] - inside[rows])
        lift = np.clip(lift, -self.close_most, self.close_most)
        self.air_c[hour, rows] = inside[rows] + lift
