"""What was to be done before today and is not in the daybook, in words."""

from collections.abc import Mapping
from datetime import date

from propsched.advice.by_itself import SAID, ends_with, to_note
from propsched.domain.batch import EventName
from propsched.domain.crop import UNSTARTED, Method, StageName
from propsched.domain.plan import Placement
from propsched.service.reasons import spoken
from propsched.service.way import Way

BEGUN: Mapping[Method, EventName] = {
    "seed": "sown",
    "division": "divided",
    "tuber": "started",
}
"""What a start of a method is noted as; that of cuttings as ``struck``."""
ENTERED: Mapping[StageName, EventName] = {
    "prick-out": "pricked-out",
    "pot-up": "potted-up",
    "pot-on": "potted-on",
    "harden": "hardening",
}


def begun_as(method: Method) -> EventName:
    """The event that begins a batch."""
    return BEGUN.get(method, "struck")


def entered_as(way: Way, k: int) -> EventName:
    """The event that brings a batch into a stage of its way."""
    crop = way.raised.crop
    stage = crop.stages[k].stage
    if stage in ENTERED:
        return ENTERED[stage]
    if k == 0 or stage in UNSTARTED:
        return begun_as(crop.method)
    return ends_with(crop) if crop.stages[k - 1].stage == "start" else "moved"


def not_noted(way: Way, k: int, old: Placement, today: date) -> str:
    """
    That a step the plan in force had before today is not noted; blank: it has time.

    Parameters
    ----------
    k : int
        Index of the stage, the first of its way that differs.
    """
    state = way.state
    if old.start >= today or (state is not None and k != state.stage_index + 1):
        return ""
    event = "moved" if old.moved else entered_as(way, k)
    space = old.space if state is None or state.space != old.space else ""
    return (
        f"not noted as {said(event)} yet (due {spoken(old.start)}): note it with "
        f"{to_note(way.name, event, space=space)}"
    )


def not_planted_out(way: Way) -> str:
    """The same of what is ready and was to be gone."""
    return f"not noted as planted out: note it with {to_note(way.name, 'planted-out')}"


def said(event: EventName) -> str:
    """``up`` of what has emerged, else the event in words."""
    if event == "hardening":
        return "hardening off"
    return SAID.get(event, event.replace("-", " "))
