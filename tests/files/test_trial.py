"""A trial's counts are read in one way, or refused with the line at fault."""

from pathlib import Path

import pytest

from propsched.domain.trial import Dish
from propsched.errors import InvalidInputError
from propsched.files.trial import Counts, read_trial


def trial(folder: Path, text: str) -> Path:
    path = folder / "trial.csv"
    path.write_text(text, encoding="utf-8")
    return path


NEW = """\
temp_c,day,sown,new,dish
10,5,20,0,a
10,8,,7,a
10,10,,6,a
10,5,20,1,b
10,9,,9,b
15,0,20,0,a
15,4,,12,a
"""
DISHES = (
    Dish(10.0, 20, (5.0, 8.0, 10.0), (0, 7, 6), "10 °C a"),
    Dish(10.0, 20, (5.0, 9.0), (1, 9), "10 °C b"),
    Dish(15.0, 20, (4.0,), (12,), "15 °C a"),
)


def test_dishes_are_told_apart_and_sown_is_said_once(tmp_path: Path) -> None:
    assert read_trial(trial(tmp_path, NEW)) == DISHES


def test_cumulative_counts_are_the_same_trial(tmp_path: Path) -> None:
    text = (
        NEW.replace("new", "cumulative")
        .replace("10,10,,6", "10,10,,13")
        .replace("10,9,,9", "10,9,,10")
    )
    assert read_trial(trial(tmp_path, text)) == DISHES


def test_a_spreadsheet_with_decimal_commas_is_read(tmp_path: Path) -> None:
    text = "temp_c;day;sown;new\n12,5;3,5;20;4\n12,5;5;20;9\n"
    assert read_trial(trial(tmp_path, text)) == (
        Dish(12.5, 20, (3.5, 5.0), (4, 9), "12.5 °C"),
    )


@pytest.mark.parametrize(
    ("counts", "given", "new"),
    [
        ((3, 9, 4), None, (3, 9, 4)),  # falls, so it cannot be cumulative
        ((8, 15, 18), None, (8, 7, 3)),  # 41 of 20 sown, so it cannot be new
        ((2, 5, 9), "new", (2, 5, 9)),
        ((2, 5, 9), "cumulative", (2, 3, 4)),
    ],
)
def test_germinated_is_read_as_it_can_only_be_or_as_it_is_said(
    counts: tuple[int, ...],
    given: Counts | None,
    new: tuple[int, ...],
    tmp_path: Path,
) -> None:
    rows = "".join(f"10,{day},20,{n}\n" for day, n in enumerate(counts, start=3))
    path = trial(tmp_path, "temp_c,day,sown,germinated\n" + rows)
    assert read_trial(path, given)[0].new == new


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("temp_c,day,sown,germinated\n10,3,20,2\n10,4,20,5\n", "say --new or --cum"),
        ("temp_c,day,sown\n10,3,20\n", "no column of counts"),
        ("temp_c,day,sown,new,cumulative\n10,3,20,1,1\n", "two columns of counts"),
        ("temp_c,day,sown,new\n", "has no rows"),
        ("temp_c,day,new\n10,3,2\n", ":2: 10 °C: sown is blank"),
        ("temp_c,day,sown,new\n10,3,20,2\n10,4,30,2\n", "sown is 20 and 30"),
        ("temp_c,day,sown,new\n10,3,20,2\n10,3,20,2\n", ":3: 10 °C: day 3 is there"),
        ("temp_c,day,sown,new\n10,3,20,12\n10,4,20,12\n", "24 have come of 20"),
        ("temp_c,day,sown,cumulative\n10,3,20,5\n10,4,20,4\n", ":3: 10 °C: 4 on day 4"),
        ("temp_c,day,sown,new\n10,0,20,1\n", "1 come on day 0"),
        ("temp_c,day,sown,new\n10,0,20,0\n", "no look after day 0"),
        ("temp_c,day,sown,new\nwarm,3,20,1\n", ":2: temp_c is"),
        ("temp_c,day,sown,new\n100,3,20,1\n", "temp_c is 100 – must be -20 to 60"),
        ("temp_c,day,sown,new\n10,-3,20,1\n", "day is -3"),
        ("temp_c,day,sown,new\n10,3,0,0\n", "sown is 0"),
        ("temp_c,day,sown,new\n10,3,20,1.5\n", "new is"),
        ("temp_c,day,sown,new\n10,3,20,-1\n", "new is -1"),
        ("temp_c,day,sown,new\n10,3,20,\n", "new is blank"),
        ("", "is empty"),
    ],
)
def test_what_is_wrong_is_said(text: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(InvalidInputError) as caught:
        read_trial(trial(tmp_path, text))
    assert said in str(caught.value)


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    text = "temp_c,day,sown,new\nwarm,3,20,1\n10,3,20,x\n"
    with pytest.raises(InvalidInputError) as caught:
        read_trial(trial(tmp_path, text))
    assert [problem.line for problem in caught.value.problems] == [2, 3]
