"""Every batch in one row: how far it is, where it stands, what is next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal, TypeAlias, get_args

from propsched.advice.by_itself import ends_with
from propsched.advice.job import DUTIES, Job
from propsched.domain.crop import UNSTARTED, Crop, Method
from propsched.report.words import clean, day_text
from propsched.service.halves_named import plans_named
from propsched.tui.views.season_routes import Spell, routes_of
from propsched.tui.views.stage_words import stage_words

if TYPE_CHECKING:
    from propsched.advice.state import BatchState
    from propsched.domain.plan import BatchPlan
    from propsched.service.opened import Opened
    from propsched.service.raised import Raised
    from propsched.tui.desk import Desk

State: TypeAlias = Literal[
    "waiting", "sown", "struck", "divided", "started", "emerged", "rooted",
    "established", "hardening", "out", "lost", "left out",
]  # fmt: skip
STATES: tuple[State, ...] = get_args(State)
"""In the order in which a batch goes through them."""
Order: TypeAlias = Literal["next", "batch", "space", "state"]
ORDERS: tuple[Order, ...] = get_args(Order)
ALSO: Mapping[State, str] = {
    "waiting": "to begin", "emerged": "germinated up", "rooted": "up",
    "established": "up", "hardening": "hardened off", "out": "planted gone done",
    "lost": "dead failed gone", "left out": "unplanned no room",
}  # fmt: skip
"""What people may call a state as well, for finding."""
EARLY = timedelta(days=14)
"""Ready so long before it is wanted, a batch counts as early."""
BEGUN: Mapping[Method, State] = {
    "seed": "sown", "division": "divided", "tuber": "started",
}  # fmt: skip
"""How a batch is called once it is begun; others are struck."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchRow:
    """One batch."""

    raised: "Raised"
    state: State
    noted: "BatchState | None"
    """By the daybook; None: not begun."""
    plan: "BatchPlan | None"
    left_out: str
    """Why it has no place in the plan; blank: it has one, or there is no plan."""
    over: bool
    """Stands over the season's end."""
    space: str
    """Where it stands; of one that waits where it will; blank: nowhere, or not told."""
    jobs: tuple[Job, ...]
    """All that are still to come."""
    ways: tuple[tuple[Spell, ...], ...]
    lost: bool = False
    """Whether the daybook has any of it as lost."""

    @property
    def name(self) -> str:
        return self.raised.batch.id

    @property
    def next(self) -> Job | None:
        return self.jobs[0] if self.jobs else None

    @property
    def next_text(self) -> str:
        """``prick out 6 Mar``."""
        job = self.next
        if job is None:
            return "stands over" if self.over and self.standing else ""
        late = "overdue " if job.overdue else ""
        return f"{job.kind} {late}{day_text(job.date)}"

    @property
    def standing(self) -> bool:
        return self.noted is not None and self.noted.standing

    @property
    def ready_text(self) -> str:
        """Day by which it is ready in the booked share of the winters."""
        if self.plan is None or self.state in ("out", "lost"):
            return ""
        if self.plan.ready_latest is None:
            return "over" if self.over else ""
        return day_text(self.plan.ready_latest) + ("!" if self.late else "")

    @property
    def late(self) -> bool:
        """Whether it may be ready only after the day it is wanted by."""
        own = self.plan
        return (
            own is not None
            and own.ready_latest is not None
            and own.wanted_by is not None
            and own.ready_latest > own.wanted_by
        )

    @property
    def early(self) -> bool:
        """Whether it is ready long before the day it is wanted by."""
        own = self.plan
        return (
            own is not None
            and own.ready_latest is not None
            and own.wanted_by is not None
            and own.ready_latest <= own.wanted_by - EARLY
        )

    @property
    def plants_text(self) -> str:
        """``25/40`` expected of those wanted, or what was planted out."""
        if self.state == "out" and self.noted is not None and self.noted.count:
            return f"{self.noted.count} out"
        if self.state == "lost":
            return "none"
        wanted = self.raised.batch.wanted
        if self.plan is None:
            return f"–/{wanted}"
        return f"{self.plan.plants_expected:.0f}/{wanted}"

    @property
    def sought(self) -> str:
        """All that a filter finds it by."""
        batch, crop = self.raised.batch, self.raised.crop
        stage = self.noted.stage if self.noted else ""
        job = self.next
        overdue = job is not None and job.overdue
        parts = [
            batch.id, crop.name, batch.variety, crop.method, self.state, self.space,
            ALSO.get(self.state, ""), "standing" if self.standing else "",
            "lost losses" if self.lost else "", "early" if self.early else "",
            "late" if self.late or overdue else "", "overdue" if overdue else "",
            stage_words(stage, crop.method) if stage else "", batch.note,
            *(spell.space for way in self.ways for spell in way if spell.by != "over"),
            f"priority {batch.priority}", self.next_text,
        ]  # fmt: skip
        return clean(" ".join(parts)).casefold()


@dataclass(frozen=True, slots=True)
class BatchesBook:
    rows: tuple[BatchRow, ...]
    """In the order of the file."""
    planned: bool

    def of(self, name: str) -> BatchRow | None:
        return next((row for row in self.rows if row.name == name), None)


def batches_book(desk: "Desk") -> BatchesBook | None:
    """All batches; None while they are not read."""
    opened = desk.opened
    if opened is None:
        return None
    routes = routes_of(opened)
    jobs = _jobs(opened)
    plan = opened.plan
    plans = plans_named(opened)
    reasons = {} if plan is None else {n.batch: n.reason for n in plan.not_placed}
    over = set() if plan is None else {one.batch for one in plan.standing_over}
    lost = {one.batch for one in opened.files.daybook if one.event == "lost"}
    rows = []
    for one in opened.whole:
        name = one.batch.id
        noted = opened.states.get(name)
        ways = routes.get(name, ())
        reason = reasons.get(name, "")
        if reason and (noted is not None or name in plans):
            reason = f"One half of it: {reason}" if name in plans else reason
        rows.append(
            BatchRow(
                raised=one,
                state=state_of(one.crop, noted, left_out=name not in plans and reason),
                noted=noted,
                plan=plans.get(name),
                left_out=reason,
                over=name in over,
                space=_space(noted, ways),
                jobs=tuple(jobs.get(name, ())),
                ways=ways,
                lost=name in lost,
            )
        )
    return BatchesBook(tuple(rows), plan is not None)


def state_of(crop: Crop, noted: "BatchState | None", *, left_out: object) -> State:
    """How far a batch is, in one word."""
    if noted is None:
        return "left out" if left_out else "waiting"
    if not noted.standing:
        return "lost" if noted.lost else "out"
    if noted.stage == "harden":
        return "hardening"
    if noted.stage in UNSTARTED:
        return BEGUN.get(crop.method, "struck")
    if crop.method == "seed":
        return "emerged"
    return "rooted" if ends_with(crop) == "rooted" else "established"


def _space(noted: "BatchState | None", ways: Sequence[Sequence[Spell]]) -> str:
    if noted is not None:
        return noted.space if noted.standing else ""
    return ways[0][0].space if ways and ways[0] else ""


def _jobs(opened: "Opened") -> dict[str, list[Job]]:
    """Jobs to the season's end, by batch; those of halves by their batch too."""
    if opened.plan is None:
        return {}
    from propsched.service.jobs import jobs_of

    days = max(1, (opened.season.end - opened.today).days + 1)
    found: dict[str, list[Job]] = {}
    known = {one.batch.id for one in opened.whole}
    for job in jobs_of(opened, days=days).rows:
        if job.batch and job.kind not in DUTIES:
            name = job.batch
            if name not in known:
                name = name.partition(" (")[0]
            found.setdefault(name, []).append(job)
    return found


def matching(rows: Sequence[BatchRow], words: str) -> tuple[BatchRow, ...]:
    """The rows in which every word of the filter is found."""
    wanted = words.casefold().split()
    return tuple(row for row in rows if all(word in row.sought for word in wanted))


def ordered(rows: Sequence[BatchRow], order: Order) -> tuple[BatchRow, ...]:
    """By next date, name, space or state; blank ones last."""
    return tuple(sorted(rows, key=lambda row: _rank(row, order)))


def _rank(row: BatchRow, order: Order) -> tuple[object, ...]:
    job = row.next
    when = date.max if job is None else job.date
    match order:
        case "next":
            return when, STATES.index(row.state), row.name
        case "batch":
            return (row.name,)
        case "space":
            return row.space == "", row.space, when, row.name
        case "state":
            return STATES.index(row.state), when, row.name
