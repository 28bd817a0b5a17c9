"""How many of a batch came through each stage, beside how many were to."""

from collections.abc import Iterable, Iterator, Mapping

from propsched.advice.passages import Passage
from propsched.biology.development import grow
from propsched.biology.growth import StageGrowth
from propsched.domain.crop import DORMANT, UNSTARTED
from propsched.service.ground import Ground
from propsched.service.looked_back import Losses
from propsched.service.raised import Raised, germination


def losses_of(
    stages: Iterable[Passage], whole: Mapping[str, Raised], ground: Ground
) -> Iterator[Losses]:
    """
    Of every stage that is over and whose numbers are known.

    Parameters
    ----------
    ground : Ground
        With the weather that came.

    Notes
    -----
    Seed and cuttings are counted when they have come, as a blank says nothing: a start
    without a count at its end, and no loss noted, is left out.  What is reckoned to
    come through is the share of the space in which the stage began, of seed times the
    germination of the packet.
    """
    assert ground.climate is not None
    tables: dict[tuple[str, str, str], tuple[StageGrowth, ...]] = {}
    for stage in stages:
        state = stage.state
        if stage.ended is None or not stage.began or state.stage in DORMANT:
            continue
        unstarted = state.stage in UNSTARTED
        if stage.left is None and (unstarted and not stage.all_lost):
            continue
        if not ground.variants_of(state.stays[0].space):
            continue
        one = whole[state.batch]
        if one.profile not in tables:
            tables[one.profile] = grow(
                one.crop,
                None,
                ground.climate,
                end_day=ground.offset + ground.days,
                quantile=ground.season.weights.quantile,
            )
        growth = tables[one.profile][state.stage_index]
        day = ground.offset + ground.season.horizon.day(state.since)
        if not 0 <= day < growth.success.shape[1]:
            continue
        share = float(growth.success[ground.variant_on(state.stays[0].space, day), day])
        alive = germination(one.batch, one.crop) if state.stage == "start" else 1.0
        yield Losses(
            batch=state.batch,
            crop=one.crop.name,
            method=one.crop.method,
            stage=state.stage,
            space=state.stays[0].space,
            of=stage.began,
            through=_through(stage),
            expected=stage.began * share * alive,
            counted=stage.left is not None,
        )


def _through(stage: Passage) -> int:
    assert stage.began is not None
    if stage.all_lost:
        return 0
    if stage.left is not None:
        return min(stage.left, stage.began)
    return max(0, stage.began - stage.lost)
