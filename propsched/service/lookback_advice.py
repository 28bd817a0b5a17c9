"""What a season that is looked back on says for the next one, in sentences."""

from collections.abc import Iterable, Iterator

from propsched.service.looked_back import LookBack

LATE_D = 7
"""A batch that is out so many days late is told to be begun earlier."""
EARLY_D = 21
FEW = 0.7
"""Fewer than this share of what was reckoned is told."""
LEAST_PLANTS = 5
"""Of smaller numbers a share says nothing."""
SLOW_D = 3


def for_next_year(back: LookBack) -> tuple[str, ...]:
    """What to do otherwise, the plants first, then the places, then the notes."""
    return (
        *_dates(back),
        *_pace(back),
        *_losses(back),
        *_warmth(back),
        *_to_note(back),
    )


def _dates(back: LookBack) -> Iterator[str]:
    for one in back.outcomes:
        if one.late_d is None:
            continue
        if one.late_d >= LATE_D:
            yield (
                f"{one.batch}: out {one.late_d} days after it was wanted – begin it "
                "earlier or warmer, or want it later"
            )
        elif one.late_d <= -EARLY_D:
            yield (
                f"{one.batch}: out {-one.late_d} days before it was wanted – it could "
                "have left its room to others so long"
            )


def _pace(back: LookBack) -> Iterator[str]:
    """Crops that are quicker or slower than the table, without rows for it yet."""
    told = {(row.crop, row.method) for row in back.crop_rows if row.figure == "sum_c_d"}
    for group in back.by_crop:
        if abs(group.error_d) < SLOW_D:
            continue
        way = "later" if group.error_d > 0 else "sooner"
        number = "1 batch" if group.batches == 1 else f"{group.batches} batches"
        crop = next(
            one
            for one in back.came
            if (one.crop, one.method) == (group.name, group.method)
        )
        rows = (
            "a row for crops.csv lets the next plan know"
            if (crop.crop, crop.method) in told
            else "too little to change a figure by"
        )
        yield (
            f"{group.name} came {abs(group.error_d):g} days {way} than reckoned with "
            f"the weather that came ({number}): {rows}"
        )


def _losses(back: LookBack) -> Iterator[str]:
    for one in back.losses:
        if one.of >= LEAST_PLANTS and one.through < FEW * one.expected:
            yield (
                f"{one.batch}: {one.through} of {one.of} came through in {one.space} "
                f"({one.stage}), about {one.expected:.0f} were reckoned – look for the "
                "cause before you sow more"
            )


def _warmth(back: LookBack) -> Iterator[str]:
    for one in back.spaces:
        if one.stands_out:
            way = "warmer" if one.warmer_c > 0 else "colder"
            yield (
                f"{one.space} is {abs(one.warmer_c):.1f} °C {way} than its entry in "
                f"season.toml makes it ({one.days} days read) – readings put that "
                "right while they are new; for good, look over the entry with: "
                "propsched temps --explain"
            )


def _to_note(back: LookBack) -> Iterator[str]:
    if back.unread:
        yield (
            f"nothing was read in {_list(back.unread)} – one reading a week there "
            "makes the next plan surer"
        )
    if back.silent:
        yield (
            f"nobody noted when {_list(back.silent)} came up or rooted – that day is "
            "what the next plan can learn most from"
        )


def _list(names: Iterable[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
