"""Stages as a grower says them."""

START: dict[str, str] = {
    "seed": "sown, until it is up",
    "hardwood": "struck, rooting",
    "evergreen": "struck, rooting",
    "tip": "struck, rooting",
    "basal": "struck, rooting",
    "root": "laid in, until shoots show",
    "division": "divided, taking hold",
    "tuber": "started into growth",
}
"""What the stage ``start`` is, by method."""
WORDS: dict[str, str] = {
    "warm": "lying warm",
    "chill": "being chilled",
    "seedling": "seedlings",
    "prick-out": "pricked out",
    "pot-up": "potted up",
    "pot-on": "potted on",
    "grow": "growing on",
    "harden": "hardening off",
}
LETTERS: dict[str, str] = {
    "warm": "W", "chill": "C", "start": "S", "seedling": "D", "prick-out": "P",
    "pot-up": "U", "pot-on": "O", "grow": "G", "harden": "H",
}  # fmt: skip
"""Where there is no room for the word; the line below explains it."""


def stage_words(stage: str, method: str) -> str:
    """``struck, rooting``; the stage as it is where we know no better."""
    if stage == "start":
        return START.get(method, "started")
    return WORDS.get(stage, stage)
