"""What stands round every page: head line, tabs, and what is going on."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from propsched.report.words import clean, percent_up
from propsched.service.since_plan import changed_beside, since_plan
from propsched.tui.desk import Desk, PageName, Planning

if TYPE_CHECKING:
    from propsched.domain.plan import Plan
    from propsched.service.opened import Opened

NARROW, WIDE = 60, 110
"""Columns below which the head takes two lines, and from which it is told in full."""
Style = Literal["", "note", "busy", "warning", "error"]


@dataclass(frozen=True, slots=True)
class Tab:
    page: PageName
    key: str
    """Blank on a phone, which has none."""
    title: str
    open: bool
    faulty: bool = False
    """There is something on it to be mended."""

    @property
    def text(self) -> str:
        """``▸s Season``: the mark says that it is open, not the colour alone."""
        mark, key = "▸" if self.open else " ", f"{self.key} " if self.key else ""
        return f"{mark}{key}{self.title}{'!' if self.faulty else ''}"


@dataclass(frozen=True, slots=True)
class Status:
    """The line at the bottom."""

    text: str
    style: Style

    def __bool__(self) -> bool:
        return bool(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameView:
    head: tuple[str, ...]
    """One line, or two where it is narrow; no longer than the width."""
    tabs: tuple[Tab, ...]
    status: Status

    @property
    def lines(self) -> tuple[str, ...]:
        said = (self.status.text,) if self.status else ()
        return (*self.head, *said)


def frame_view(
    desk: Desk,
    page: PageName,
    titles: dict[PageName, tuple[str, str]],
    *,
    width: int,
    elapsed_s: float | None = None,
) -> FrameView:
    """
    The frame round a page.

    Parameters
    ----------
    titles : dict
        Key and title of every page, in the order of the tabs.
    elapsed_s : float, optional
        Time since the planner began; None: as it told last. [s]
    """
    tabs = tuple(
        Tab(
            page=name,
            key=key if width >= NARROW else "",
            title=title,
            open=name == page,
            faulty=name == "problems" and bool(desk.problems),
        )
        for name, (key, title) in titles.items()
    )
    return FrameView(
        head=_head(desk, width),
        tabs=tabs,
        status=status_of(desk, elapsed_s),
    )


def _head(desk: Desk, width: int) -> tuple[str, ...]:
    plan = plan_text(desk, short=width < WIDE)
    if desk.opened is None:
        return (_fitting(f"{clean(desk.folder.name)} · {plan}", width),)
    name, today = clean(desk.opened.season.name), day_in_words(desk.opened.today)
    if width < NARROW:
        room = width - len(today) - 3
        return (f"{_fitting(name, room)} · {today}", _fitting(plan, width))
    room = width - len(today) - len(plan) - 6
    if room < 8:
        return (_fitting(f"{today} · {plan}", width),)
    return (f"{_fitting(name, room)} · {today} · {plan}",)


def plan_text(desk: Desk, *, short: bool = False) -> str:
    """What the plan in force is, and whether it is still the files' plan."""
    if desk.opened is None:
        return "files with faults" if desk.problems else "reading the files"
    plan = desk.opened.plan
    if desk.opened.whole == () and (plan is None or not plan.batches):
        return "no batches yet"
    if plan is None:
        return "no plan yet – p plans"
    if desk.problems:
        return "the files have faults: x shows them"
    return _older(desk.opened) or _how_good(plan, short=short)


def _older(opened: "Opened") -> str:
    """Why another plan may be better; what was noted as planned is no reason."""
    if changed_beside(opened):
        return "files changed since the plan: p plans again"
    otherwise = len(since_plan(opened).otherwise)
    return f"{otherwise} noted otherwise than planned: p plans again" * bool(otherwise)


def plan_told(plan: "Plan") -> str:
    """What to say of a plan that was just made."""
    stopped = "Stopped: the best so far is saved" if plan.status == "stopped" else ""
    return f"{stopped or 'A new plan is saved'} – {_how_good(plan)}."


def _how_good(plan: "Plan", *, short: bool = False) -> str:
    placed = f"{len(plan.batches)} of {_asked(plan)} batches"
    if plan.gap < 1e-9:  # rounding of a proven optimum
        return f"{placed}, the best possible"
    near = f"{placed}, within {percent_up(plan.gap)} of the best"
    return near if short else f"{near} possible"


def _asked(plan: "Plan") -> int:
    """Batches that it was to find room for; a half counts with its batch."""
    raised = {one.batch for one in plan.batches}
    return len(raised | {one.batch for one in plan.not_placed})


def status_of(desk: Desk, elapsed_s: float | None = None) -> Status:
    """What is going on; without that, what was said last."""
    if desk.planning.busy:
        return Status(planning_text(desk.planning, elapsed_s), "busy")
    if not desk.said:
        return Status(_lead_on(desk), "note")
    said = "; ".join(clean(line) for line in desk.said.splitlines())
    spoken = {"note": "", "warning": "Look at this: ", "error": "Not done: "}
    return Status(spoken[desk.tone] + said, desk.tone)


def _lead_on(desk: Desk) -> str:
    """What to do next in a season that is still to begin."""
    if desk.opened is None or desk.problems:
        return ""
    if not desk.opened.whole:
        return "Write what is to be raised into batches.csv: it is read once saved."
    return "" if desk.opened.plan else "p plans the season: what stands where, when."


def planning_text(
    going: Planning, elapsed_s: float | None = None, *, stops: str = "esc"
) -> str:
    """``Planning – solving, 12 s, within 2.1 % of the best possible – esc stops``."""
    time_s = going.elapsed_s if elapsed_s is None else elapsed_s
    parts = [going.step.lower()] if going.step else []
    parts.append(f"{time_s:.0f} s")
    if going.gap is not None:
        parts.append(f"within {percent_up(going.gap)} of the best possible")
    ending = "stopping, the best so far is kept" if going.stopping else f"{stops} stops"
    return f"{clean(going.what)} – {', '.join(parts)} – {ending}"


def day_in_words(day: date) -> str:
    """``Sun 15 Nov``."""
    return f"{day:%a} {day.day} {day:%b}"


def _fitting(text: str, width: int) -> str:
    """Cut with a sign that it is."""
    return text if len(text) <= width else text[: max(0, width - 1)].rstrip() + "…"
