"""What is supposed beyond the files: what it does, and what cannot be."""

from datetime import date

import pytest
from folders import write_folder

from propsched.domain.repeats import expand
from propsched.errors import PropschedError, UnknownNameError
from propsched.service.change import (
    Change,
    Late,
    Lost,
    Without,
    changed_batches,
    supposed,
    to_note,
    told,
)
from propsched.service.ground import Ground, capacity
from propsched.service.loaded import Loaded, load
from propsched.service.prepare import states_of
from propsched.service.raised import Raised, raised
from propsched.thermal.snap import Spell

TODAY = date(2027, 2, 1)


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> Loaded:
    folder = write_folder(tmp_path_factory.mktemp("season"), pins_csv=None)
    return load(folder, TODAY)


def batches(loaded: Loaded) -> tuple[Raised, ...]:
    return tuple(
        raised(b, loaded.files.crops.get(b.crop, b.method))
        for b in expand(loaded.files.batches)
    )


def after(loaded: Loaded, change: Change) -> tuple[Loaded, dict[str, Raised]]:
    whole = batches(loaded)
    states = states_of(loaded, whole)
    made = supposed(loaded, change, states)
    changed = changed_batches(whole, change, states, loaded.today)
    return made, {one.name: one for one in changed}


def test_a_loss_of_what_stands_is_as_if_noted_today(loaded: Loaded) -> None:
    made, whole = after(loaded, Change(lost=(Lost(batch="currants", count=12),)))
    states = states_of(made, tuple(whole.values()))
    before = states_of(loaded, batches(loaded))["currants"].count
    assert before is not None
    assert states["currants"].count == before - 12
    made, whole = after(loaded, Change(lost=(Lost(batch="currants"),)))
    assert states_of(made, tuple(whole.values()))["currants"].lost


def test_what_was_not_begun_is_lost_as_material(loaded: Loaded) -> None:
    leeks = {one.name: one for one in batches(loaded)}["leeks"]
    _, whole = after(loaded, Change(lost=(Lost(batch="leeks", count=10),)))
    assert whole["leeks"].sown == leeks.sown - 10
    assert whole["leeks"].spare == pytest.approx(
        leeks.spare * (leeks.sown - 10) / leeks.sown
    )
    _, whole = after(loaded, Change(lost=(Lost(batch="leeks"),)))
    assert "leeks" not in whole


def test_a_delivery_that_is_late_keeps_as_long(loaded: Loaded) -> None:
    """Leeks were to be had from 10 February to 31 March, 49 days on."""
    late = Late(batch="leeks", first=date(2027, 3, 1))
    _, whole = after(loaded, Change(late=(late,)))
    batch = whole["leeks"].batch
    assert batch.available_from == date(2027, 3, 1)
    assert batch.available_to == date(2027, 3, 31)
    later = Late(batch="leeks", first=date(2027, 4, 10))
    _, whole = after(loaded, Change(late=(later,)))
    assert whole["leeks"].batch.available_to == date(2027, 5, 29)
    one_sowing = Late(batch="salad-3", first=date(2027, 3, 20))
    _, whole = after(loaded, Change(late=(one_sowing,)))
    assert whole["salad-3"].batch.available_from == date(2027, 3, 20)
    assert whole["salad-2"].batch.available_from == date(2027, 2, 3)


def test_a_space_out_of_use_has_no_area_on_those_days(loaded: Loaded) -> None:
    out = Without(space="bench", first=date(2027, 3, 1), last=date(2027, 3, 10))
    made, _ = after(loaded, Change(without=(out,)))
    season = made.season
    ground = Ground(season=season, zone=None, offset=0, today=TODAY)  # type: ignore[arg-type]
    row = capacity(ground)[[s.id for s in season.spaces].index("bench")]
    closed = [season.horizon.date(d) for d in range(ground.days) if row[d] == 0]
    assert closed == [date(2027, 3, n) for n in range(1, 11)]


def test_cold_goes_with_the_season(loaded: Loaded) -> None:
    spell = Spell(first=date(2027, 2, 5), days=3, drop_k=8.0)
    assert after(loaded, Change(cold=(spell,)))[0].cold == (spell,)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (Change(lost=(Lost(batch="leek"),)), "did you mean leeks"),
        (Change(lost=(Lost(batch="currants", count=999),)), "999 lost of"),
        (Change(lost=(Lost(batch="leeks", count=99_999),)), "99999 lost of"),
        (Change(late=(Late(batch="currants", first=TODAY),)), "was begun"),
        (Change(late=(Late(batch="leeks", first=date(2027, 7, 1)),)), "season's end"),
        (
            Change(late=(Late(batch="leeks", first=date(2027, 2, 10)),)),
            "leeks is to be had from 10 February as it is",
        ),
        (Change(without=(Without(space="attic"),)), "the season has border"),
        (Change(without=(Without(space="pond"),)), "nothing stands in pond"),
        (
            Change(without=(Without(space="bench", last=date(2027, 1, 31)),)),
            "before it begins",
        ),
        (
            Change(cold=(Spell(first=date(2027, 1, 31), days=3, drop_k=8.0),)),
            "would begin on 2027-01-31",
        ),
        (
            Change(cold=(Spell(first=date(2027, 6, 1), days=3, drop_k=8.0),)),
            "after the season's end",
        ),
    ],
)
def test_what_cannot_be_is_named(loaded: Loaded, change: Change, said: str) -> None:
    with pytest.raises((PropschedError, UnknownNameError), match=said):
        after(loaded, change)


def test_it_is_told_in_words_and_where_to_note_it(loaded: Loaded) -> None:
    change = Change(
        cold=(Spell(first=date(2027, 2, 5), days=3, drop_k=8.0),),
        lost=(Lost(batch="currants", count=12), Lost(batch="leeks")),
        late=(Late(batch="salad-3", first=date(2027, 3, 20)),),
        without=(Without(space="bench", last=date(2027, 3, 1)),),
    )
    assert told(change) == (
        "8 °C colder from 5 February to 7 February",
        "12 of currants lost",
        "leeks lost",
        "salad-3 not to be had before 20 March",
        "bench out of use to 1 March",
    )
    states = states_of(loaded, batches(loaded))
    assert to_note(change, states, "S")[:2] == (
        "propsched note S lost currants 12",
        "batches.csv: take leeks out",
    )
    assert not Change()
