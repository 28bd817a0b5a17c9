"""The job that brings a batch into a stage or out of the last one, in a sentence."""

from propsched.advice.basis import Basis
from propsched.advice.effort import leave_minutes, start_minutes
from propsched.advice.job import Job, JobKind, containers_text
from propsched.domain.crop import DORMANT, UNSTARTED, Crop, Needs
from propsched.domain.plan import Placement

_BEGIN: dict[str, tuple[JobKind, str]] = {
    "seed": ("sow", "Sow"),
    "division": ("divide", "Divide"),
    "tuber": ("start", "Set up"),
}
_STRIKE: tuple[JobKind, str] = ("strike", "Strike cuttings of")
_STAGE: dict[str, tuple[JobKind, str]] = {
    "prick-out": ("prick out", "Prick out"),
    "pot-up": ("pot up", "Pot up"),
    "pot-on": ("pot on", "Pot on"),
    "harden": ("harden off", "Harden off"),
}
_BROUGHT = {
    ("chill", "warm"): "into the cold",
    ("start", "warm"): "out of the warmth",
    ("start", "chill"): "out of the cold",
}
"""Seed from the stage in which it lay into the next one."""
_LIES = {"warm": ", to lie warm", "chill": ", to stand cold"}
_BIT_BY_BIT = "where it stands: open a little more each day"


def step(ground: Basis, here: Placement, before: Placement | None) -> Job | None:
    """The job that brings a batch into a stage; None where there is none."""
    crop = ground.crops.get(here.batch)
    state = ground.states.get(here.batch)
    came_from = state.space if state else ""
    if before is not None and (not came_from or before.start >= ground.today):
        came_from = before.space  # it will have been moved there by then
    from_space = came_from if came_from != here.space else ""
    named = None
    if not here.moved:
        named = _named(
            ground,
            here,
            under_way=state is not None or before is not None,
            moves=bool(from_space),
        )
    if named is None and not from_space:
        return None
    kind, what = named or _moved(ground, here, before, from_space)
    needs = _needs(crop, here.stage)
    per_container = needs.min_per_container if needs else 0.0
    return Job(
        date=here.start,
        kind=kind,
        batch=here.batch,
        crop=here.crop,
        what=what + ground.was_due(here.start),
        from_space=from_space,
        space=here.space,
        stage=here.stage,
        count=_count(ground, here, begins=before is None),
        containers=here.containers,
        container=here.container,
        minutes=0 if here.moved else start_minutes(per_container, here.containers),
        caution=crop.hazard if crop and kind != "move" else "",
    )


def _named(
    ground: Basis, here: Placement, *, under_way: bool, moves: bool
) -> tuple[JobKind, str] | None:
    """Kind and sentence, or None for a step that is at most a move."""
    size = containers_text(here.containers, here.container)
    name = ground.name(here)
    if here.stage in _STAGE:
        kind, verb = _STAGE[here.stage]
        if here.stage != "harden":
            return kind, f"{verb} {name}: {size} → {here.space}"
        return kind, f"{verb} {name} " + (f"→ {here.space}" if moves else _BIT_BY_BIT)
    if here.stage not in UNSTARTED:
        return None
    if under_way:
        crop = ground.crops.get(here.batch)
        brought = _BROUGHT.get((here.stage, _lay(crop, here.stage)))
        return ("start", f"Bring {name} {brought} → {here.space}") if brought else None
    kind, verb = _BEGIN.get(here.method, _STRIKE)
    number = _count(ground, here, begins=True)
    if number is not None and number != here.containers:
        # seed in the row is thinned to what stands there
        size = f"{number} {'for' if here.container == 'row' else 'in'} {size}"
    lies = _LIES.get(here.stage, "")
    return kind, f"{verb} {name}: {size} → {here.space}{lies}"


def _lay(crop: Crop | None, stage: str) -> str:
    """The stage before, if seed lay warm or cold in it; else blank."""
    names: list[str] = [needs.stage for needs in crop.stages] if crop else []
    at = names.index(stage) if stage in names else 0
    return names[at - 1] if at > 0 and names[at - 1] in DORMANT else ""


def _moved(
    ground: Basis, here: Placement, before: Placement | None, from_space: str
) -> tuple[JobKind, str]:
    what = f"Move {ground.name(here)}: {from_space} → {here.space}"
    shows = before is not None and before.stage == "start" and here.method == "seed"
    shows = shows and not here.moved
    return "move", what + (", once the seedlings show" if shows else "")


def leaving(ground: Basis, last: Placement) -> Job:
    crop = ground.crops.get(last.batch)
    outdoors = crop is None or crop.destination == "outdoors"
    what = (
        f"Plant out {ground.name(last)} from {last.space}"
        if outdoors
        else f"{ground.name(last)} in {last.space} is ready: plant under glass"
    )
    return Job(
        date=last.end,
        kind="plant out" if outdoors else "ready",
        batch=last.batch,
        crop=last.crop,
        what=what + ground.was_due(last.end),
        from_space=last.space,
        count=_count(ground, last, begins=False),
        containers=last.containers,
        container=last.container,
        minutes=leave_minutes(last.container, last.containers),
        caution=crop.hazard if crop else "",
    )


def _needs(crop: Crop | None, stage: str) -> Needs | None:
    return next((n for n in crop.stages if n.stage == stage), None) if crop else None


def _count(ground: Basis, here: Placement, *, begins: bool) -> int | None:
    state = ground.states.get(here.batch)
    if state is not None and state.count is not None:
        return state.count
    if begins:
        return ground.sown.get(here.batch)
    return here.containers if here.container == "row" else None
