"""Every stage of a crop has its word and its letter."""

from propsched.domain.crop import STAGES
from propsched.tui.views.stage_words import LETTERS, stage_words


def test_every_stage_has_a_letter_of_its_own() -> None:
    assert set(LETTERS) == set(STAGES)
    assert len(set(LETTERS.values())) == len(STAGES)


def test_every_stage_is_told_in_words() -> None:
    assert all(stage_words(stage, "seed") != stage for stage in STAGES)
