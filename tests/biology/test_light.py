"""Light and warmth together, held against plants grown in both."""

from itertools import product

import numpy as np
import pytest
from builders import make_crop, make_needs, make_zone

from propsched.biology.development import grow
from propsched.biology.light import USUAL_K, draws, least_light_mol, light_factor
from propsched.files.crop_table import read_crop_table

CROPS = read_crop_table()
POINSETTIA = make_needs(stage="grow", base_c=5, light_min_mol=4, light_want_mol=10)
"""Base of the source; the light that the crop table asks for tender plants."""
TRIED = list(product((19, 23, 27), (5, 10, 20)))
"""Temperatures [°C] and light [mol/m²·d] of the source."""


def worth(temp_c: float, mol: float) -> float:
    return light_factor(mol, POINSETTIA, temp_c - POINSETTIA.base_c)


def ratio(temp_c: float, mol: float) -> float:
    """mol/m² per degree-day."""
    return mol / (temp_c - POINSETTIA.base_c)


def test_what_had_little_light_for_its_warmth_was_thin_and_weak() -> None:
    """Liu & Heins 1996 HortScience 31:584, 1997 Acta Hortic. 435:171: thin, weak stems
    at 0.2 mol/m² per degree-day, stouter ones up to 1.2."""
    poor = [worth(*one) for one in TRIED if ratio(*one) < 0.3]
    rich = [worth(*one) for one in TRIED if ratio(*one) > 1.1]

    assert poor
    assert rich
    assert max(poor) < 0.6
    assert min(rich) == 1.0


def test_quality_goes_with_light_per_degree_day() -> None:
    """Liu & Heins 1997: build closely related to the ratio, over nine treatments."""
    ranked = sorted(TRIED, key=lambda one: ratio(*one))
    worths = [worth(*one) for one in ranked]

    assert worths == sorted(worths)
    assert len(set(worths)) >= 4


def test_marigold_grown_cool_and_bright_is_better_than_warm_and_dim() -> None:
    """Moccaldi & Runkle 2007 J. Amer. Soc. Hort. Sci. 132:283: 2.45 times as heavy and
    twice as many flowers at 15 °C in 25 mol as at 25 °C in 5 mol."""
    marigold = CROPS.get("french marigold", "seed")
    grown = next(n for n in marigold.stages if draws(n))
    cool, warm = (
        light_factor(mol, grown, temp_c - grown.base_c)
        for temp_c, mol in ((15.0, 25.0), (25.0, 5.0))
    )

    assert cool == 1.0
    assert warm < 0.75


@pytest.mark.parametrize("name", ["onion", "lettuce", "leek", "cauliflower"])
def test_december_light_draws_seedlings_in_a_warm_room_and_not_in_a_frame(
    name: str,
) -> None:
    """Common practice: cooler by 3–5 K after emergence, or seedlings draw in winter
    light, which is about 2.5 mol/m²·d under glass in December."""
    crop = CROPS.get(name, "seed")
    needs = next(n for n in crop.stages if draws(n))
    one = make_crop(needs)
    shares = [
        grow(one, None, make_zone(t, light_mol=2.5), end_day=200, quantile=0.8)[0]
        for t in (8.0, 20.0)
    ]
    cold, warm = (float(growth.success[0, 0]) for growth in shares)

    assert cold > 0.85
    assert warm < 0.6


def test_the_crop_table_s_light_holds_ten_kelvins_above_base() -> None:
    needs = make_needs(stage="seedling", base_c=4, light_min_mol=5, light_want_mol=10)
    mol = np.linspace(0, 20, 50)
    usual = np.full_like(mol, USUAL_K)

    assert light_factor(mol, needs, usual) == pytest.approx(light_factor(mol, needs))
    assert least_light_mol(needs, 14) == 5
    assert least_light_mol(needs, 20) == 8


def test_what_has_not_started_is_asked_for_its_light_alone() -> None:
    """Cuttings under a lid do not grow on before they have roots."""
    cutting = make_needs(stage="start", light_min_mol=5, light_want_mol=10)
    one = make_crop(cutting, method="evergreen")
    cool, warm = (
        grow(one, None, make_zone(t, light_mol=5), end_day=300, quantile=0.8)[0]
        for t in (12.0, 24.0)
    )

    assert least_light_mol(cutting, 30) == 5
    assert warm.success[0, 0] >= cool.success[0, 0]
