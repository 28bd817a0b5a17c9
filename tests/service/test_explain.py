"""Spaces of a season explained on a day."""

from datetime import date
from pathlib import Path

import pytest
from folders import write_folder

from propsched.errors import PropschedError, UnknownNameError
from propsched.service.explain import explain, sentence
from propsched.service.explanation import ExplainAnswer, Flow

TODAY = date(2026, 11, 2)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_folder(tmp_path / "season", history_csv=None, pins_csv=None)


def asked(folder: Path, *spaces: str, **over: object) -> ExplainAnswer:
    plain: dict[str, object] = {"today": TODAY, "winters": 3}
    return explain(folder, spaces=spaces, **{**plain, **over})  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def all_spaces(tmp_path_factory: pytest.TempPathFactory) -> ExplainAnswer:
    folder = tmp_path_factory.mktemp("all") / "season"
    return asked(write_folder(folder, history_csv=None, pins_csv=None))


def test_flows_add_up_to_what_is_kept(all_spaces: ExplainAnswer) -> None:
    """What is told, small flows left out, within so many hundredths of a W/m²."""
    answer = all_spaces
    assert [s.space for s in answer.spaces] == [
        "border", "house", "bench", "hotbed", "pond",
    ]  # fmt: skip
    for one in answer.spaces[:-1]:
        total = sum(flow.w_m2 for flow in one.flows)
        assert total == pytest.approx(one.storage.w_m2, abs=0.05 * 8)
        assert list(one.flows) == sorted(one.flows, key=lambda f: -f.w_m2)
    assert answer.spaces[-1].flows == ()


def test_a_known_day_is_one_winter_and_a_later_one_all_of_them(folder: Path) -> None:
    (known,) = asked(folder, "border").spaces
    (later,) = asked(folder, "border", on=date(2027, 1, 10)).spaces
    assert (known.kind, known.winters, known.on) == ("observed", 1, TODAY)
    assert (later.kind, later.winters) == ("outlook", 3)


def test_words_name_the_space_whose_air_it_breathes(folder: Path) -> None:
    (bench,) = asked(folder, "bench", on=date(2027, 1, 10)).spaces
    words = {flow.term: flow.words for flow in bench.flows}
    assert words["air"] == "the air of house"
    assert words["heater"] == "the heater"
    assert bench.sentence.startswith("Warmed mostly by the heater")


def test_a_hotbed_says_when_it_can_be_sown(folder: Path) -> None:
    """Made up on 1 February by its file and daybook; burning ten days later."""
    (bed,) = asked(folder, "hotbed", on=date(2027, 2, 11)).spaces
    assert bed.bed is not None
    assert bed.bed.made_up == date(2027, 2, 1)
    assert max(bed.flows, key=lambda f: f.w_m2).term == "decay"
    assert {a.what for a in bed.assumptions} >= {"what can rot", "heat set free"}


def test_every_figure_has_a_basis(all_spaces: ExplainAnswer) -> None:
    for one in all_spaces.spaces:
        assert one.assumptions
        for figure in one.assumptions:
            assert figure.basis in {
                "published", "derived", "common practice", "memory", "yours",
            }  # fmt: skip
            if figure.basis in {"published", "derived"}:
                assert figure.source, figure.what
    (bench,) = (one for one in all_spaces.spaces if one.space == "bench")
    (set_point,) = (a for a in bench.assumptions if a.what == "set point")
    assert (set_point.value, set_point.basis) == (18, "yours")


def test_unknown_spaces_and_days_outside_are_refused(folder: Path) -> None:
    with pytest.raises(UnknownNameError, match="no space 'moon'"):
        asked(folder, "moon")
    with pytest.raises(PropschedError, match="outside the season"):
        asked(folder, "border", on=date(2028, 1, 1))


def flow(words: str, w_m2: float) -> Flow:
    return Flow(term="sun", words=words, w_m2=w_m2)


@pytest.mark.parametrize(
    ("flows", "kept", "said"),
    [
        (
            [("the sun", 40), ("the air", 5), ("drying", -10), ("the open sky", -44)],
            -9.0,
            "Warmed mostly by the sun; loses most to the open sky and is cooling down.",
        ),
        (
            [("the sun", 24), ("the heater", 23), ("the air", -46)],
            0.4,
            "Warmed mostly by the sun and the heater; loses most to the air.",
        ),
        ([("the sun", 9)], 9.0, "Warmed mostly by the sun and is warming up."),
        ([], 0.0, "Follows the air of its room: nothing else warms or cools it."),
    ],
)
def test_a_plain_sentence(
    flows: list[tuple[str, float]], kept: float, said: str
) -> None:
    assert sentence([flow(*f) for f in flows], flow("kept", kept)) == said
