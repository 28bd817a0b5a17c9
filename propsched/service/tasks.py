"""One batch to one task: its weight, its dates, what is decided or under way."""

from dataclasses import replace
from math import ceil

from propsched.advice.effort import leave_minutes, start_minutes
from propsched.advice.state import BatchState
from propsched.biology.growth import StageGrowth
from propsched.domain.crop import UNSTARTED, Needs
from propsched.optimise.problem import (
    AREA_SCALE,
    PPM,
    WORTH_SCALE,
    Pinned,
    StageTable,
    Task,
)
from propsched.service.ground import Ground
from propsched.service.raised import Raised
from propsched.service.underway import begun, in_each_state, through


def make_task(
    one: Raised,
    state: BatchState | None,
    pins: tuple[Pinned, ...],
    profile: int,
    tables: tuple[StageTable, ...],
    growth: tuple[StageGrowth, ...],
    ground: Ground,
    gate: int,
) -> tuple[Task, tuple[StageTable, ...] | None]:
    """
    The task of a batch.

    Returns
    -------
    task, and tables of its own (a profile to add) if what stands already could
    not have been started where it stands.
    """
    crop, batch, season = one.crop, one.batch, ground.season
    weights, horizon = season.weights, season.horizon
    needs = crop.stages
    plants, share = counted(one, state)
    weight = round(batch.priority * WORTH_SCALE * batch.portion)
    wanted_by = horizon.day(batch.wanted_by) if batch.wanted_by else None
    # wanted before it may stand out at night: wanted for somewhere else than that
    gate = gate if wanted_by is None else min(gate, max(0, wanted_by))
    first, last = start_window(one, ground)
    # a pin without a day says where it is to stand, not that it must be raised
    day_decided = any(pin.start is not None for pin in pins)
    task = Task(
        name=one.name,
        profile=profile,
        area=tuple(
            ceil(n.container.area_m2(p) * AREA_SCALE - 1e-6)
            for n, p in zip(needs, plants, strict=True)
        ),
        minutes=(
            *(
                start_minutes(n.min_per_container, n.container.number(p))
                for n, p in zip(needs, plants, strict=True)
            ),
            leave_minutes(
                needs[-1].container.name, needs[-1].container.number(plants[-1])
            ),
        ),
        share=share,
        weight=weight,
        earliest=first,
        latest=last,
        gate=gate,
        wanted_from=horizon.day(batch.wanted_from) if batch.wanted_from else None,
        wanted_by=wanted_by,
        late_per_day=round(weights.late_per_week / 7 * weight),
        early_per_day=round(weights.early_per_week / 7 * weight),
        over_weight=round(weights.standing_over * weight),
        must=day_decided,
        pins=pins,
    )
    if state is None:
        return task, None
    return _under_way(one, task, state, tables, growth, ground)


def counted(
    one: Raised, state: BatchState | None
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """
    Plants that take up room in each stage, and plants entering it ÷ plants wanted.

    Of a batch under way as many as the daybook has left. Shares in ppm.
    """
    needs = one.crop.stages
    plants = [one.plants(k) for k in range(len(needs))]
    share = [round(one.spare * PPM) if n.stage == "start" else PPM for n in needs]
    if state is not None and state.count is not None:
        k = state.stage_index
        started = needs[k].stage not in UNSTARTED
        left = state.count / (one.batch.wanted if started else one.sown)
        if started:
            share[k] = round(min(left, 1.0) * PPM)
        else:
            share[_start_of(needs)] = round(one.spare * left * PPM)
        plants = [max(1, round(n * min(1.0, left))) for n in plants]
    if state is not None and one.moves_on is not None:
        # of a stage in two parts the losses are those of the second
        share[state.stage_index + 1] = share[state.stage_index]
        share[state.stage_index] = PPM
    return tuple(plants), tuple(share)


def _start_of(needs: tuple[Needs, ...]) -> int:
    return next(k for k, n in enumerate(needs) if n.stage == "start")


def start_window(one: Raised, ground: Ground) -> tuple[int, int]:
    """First and last day of the season on which the batch may be started."""
    batch, horizon = one.batch, ground.season.horizon
    first = horizon.day(batch.available_from) if batch.available_from else 0
    last = horizon.day(batch.available_to) if batch.available_to else ground.days - 1
    first = max(0, first, ground.today_day)
    last = min(ground.days - 1, last)
    if one.crop.material and not (batch.available_from and batch.available_to):
        months = set(local_months(one.crop.material, ground.season.site.latitude))
        if batch.available_from is None:
            while first <= last and horizon.date(first).month not in months:
                first += 1
        if batch.available_to is None:
            stop = first
            while stop <= last and horizon.date(stop).month in months:
                stop += 1
            last = max(stop - 1, first) if batch.available_from else stop - 1
    return first, last


def local_months(months: tuple[int, ...], latitude: float) -> tuple[int, ...]:
    """Months of the crop table, which is northern, at the site."""
    if latitude >= 0:
        return months
    return tuple((month + 5) % 12 + 1 for month in months)


def _under_way(
    one: Raised,
    task: Task,
    state: BatchState,
    tables: tuple[StageTable, ...],
    growth: tuple[StageGrowth, ...],
    ground: Ground,
) -> tuple[Task, tuple[StageTable, ...] | None]:
    """Hold a batch where it stands; development from before the season counts."""
    k, horizon = state.stage_index, ground.season.horizon
    task = replace(
        task,
        first_stage=k,
        earliest=0,
        latest=ground.days - 1,
        must=True,
        under_way=True,
    )
    later = tuple(p for p in task.pins if p.stage > k)
    if not ground.variants_of(state.space):
        # the daybook does not say where: counted from today
        here = Pinned(stage=k, start=ground.today_day)
        return replace(task, pins=(*later, here)), None
    v = ground.variant_now(state.space)
    # the tables are read on the day its present stage began here
    here_from = max(state.since, state.here_since)
    day = min(max(0, horizon.day(here_from)), ground.days - 1)
    if one.moves_on is not None:
        here = Pinned(stage=k, variants=(v,), start=day, length=one.moves_on - day)
        return replace(task, pins=(*later, here)), None
    stays = one.crop.stays_in_row and k == len(tables) - 1
    if len(ground.open_states(v)) > 1:
        table = in_each_state(
            one, state, tables[k], growth[k], ground, day=day, stays=stays
        )
        here = Pinned(stage=k, variants=ground.open_states(v), start=day)
        own = (*tables[:k], table, *tables[k + 1 :])
        return replace(task, pins=(*later, here)), own
    booked = through(
        one, state, growth[k], ground, quantile=ground.season.weights.quantile
    )
    own, table, length = tables, tables[k], None
    if booked <= ground.days - 1 and not stays:
        # what should be through but is not reported so can go on from today
        length = max(1, booked - day, ground.today_day - day)
        if table.success[v, day] <= 0:
            start = begun(state, ground)
            success = table.success.copy()
            success[v, day] = round(float(growth[k].success[v, start]) * PPM)
            own = (*tables[:k], replace(table, success=success), *tables[k + 1 :])
    elif table.over_success[v, day] < 0:
        # it stands there all the same: keep its place, expect nothing of it
        over = table.over_success.copy()
        over[v, day] = 0
        own = (*tables[:k], replace(table, over_success=over), *tables[k + 1 :])
    here = Pinned(stage=k, variants=(v,), start=day, length=length)
    return replace(task, pins=(*later, here)), None if own is tables else own
