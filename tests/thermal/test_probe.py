"""Probes: offset, resolution, repeated readings, and what is left of their errors."""

import numpy as np
import pandas as pd
import pytest
from builders import make_space
from hypothesis import given
from hypothesis import strategies as st
from pandas import DataFrame

from propsched.domain.season import Probe
from propsched.files.series import empty_readings
from propsched.thermal.probe import (
    DEFAULT_RESOLUTION_C,
    ICE_BATH_SD_C,
    READ_SD_C,
    UNCHECKED_SD_C,
    corrected_readings,
    offset_against,
    reading_sd,
    resolution_sd,
    sitting,
)


def readings(*rows: tuple[str, float | None, float, str]) -> DataFrame:
    frame = DataFrame(rows, columns=["space", "depth_cm", "temp_c", "probe"])
    frame["depth_cm"] = frame["depth_cm"].astype(float)
    return frame.assign(time=pd.Timestamp("2027-02-06 08:30"), note="")


def test_a_last_digit_of_a_tenth_is_29_millikelvin() -> None:
    """Rectangular distribution, JCGM 100:2008 4.3.7: 0.1/√12 = 0.0289."""
    assert resolution_sd(0.1) == pytest.approx(0.0289, abs=5e-5)
    assert resolution_sd(0.5) == pytest.approx(0.144, abs=5e-4)


def test_readings_of_a_sitting_have_the_textbook_standard_error() -> None:
    """9.7, 9.9, 9.6: mean 9.7333, sd 0.15275 (n − 1), sd/√3 = 0.08819."""
    three = sitting([9.7, 9.9, 9.6], 0.1)
    assert three.mean_c == pytest.approx(9.73333, abs=1e-5)
    assert three.sd_c == pytest.approx(0.152753, abs=1e-6)
    assert three.se_c == pytest.approx((0.0881917**2 + 0.01 / 12) ** 0.5, abs=1e-6)
    assert three.number == 3


def test_readings_that_agree_are_no_surer_than_the_last_digit() -> None:
    assert sitting([9.5] * 20, 0.5).se_c == pytest.approx(resolution_sd(0.5))


def test_a_single_reading_has_no_spread_but_an_error() -> None:
    one = sitting([9.7], 0.1)
    assert one.sd_c is None
    assert one.se_c > READ_SD_C


def test_ice_makes_the_offset() -> None:
    """Mean in crushed ice is what is to be taken off (ASTM E563)."""
    offset, sd = offset_against([0.4, 0.4, 0.5, 0.3], 0.1)
    assert offset == pytest.approx(-0.4)
    assert ICE_BATH_SD_C < sd < 0.15


def test_a_better_thermometer_makes_the_offset_too() -> None:
    """Shows 18.5 and 18.7 where the better one shows 18.2: 0.4 too much."""
    offset, sd = offset_against([18.5, 18.7], 0.1, true_c=18.2, true_sd_c=0.05)
    assert offset == pytest.approx(-0.4)
    assert sd == pytest.approx((0.1**2 + 0.01 / 12 + 0.05**2) ** 0.5)


@given(st.floats(-9, 9), st.lists(st.floats(-1, 1), min_size=2, max_size=9))
def test_a_probe_mended_with_its_ice_offset_shows_zero_in_ice(
    fault: float, scatter: list[float]
) -> None:
    shown = [fault + s for s in scatter]
    offset, _ = offset_against(shown, 0.1)
    assert np.mean(shown) + offset == pytest.approx(0, abs=1e-9)


def test_offset_is_added_to_what_the_probe_showed() -> None:
    probes = [Probe(id="stem", offset_c=-0.4), Probe(id="dial", resolution_c=0.5)]
    shown = readings(
        ("frame", 8.0, 9.7, "stem"),
        ("frame", 8.0, 9.5, "dial"),
        ("frame", 8.0, 9.0, ""),
    )
    right = corrected_readings(shown, probes)
    assert list(right.columns) == ["time", "space", "depth_cm", "temp_c", "sd_c"]
    assert right["temp_c"].to_list() == pytest.approx([9.3, 9.5, 9.0])
    assert right["sd_c"].to_list() == pytest.approx(
        [reading_sd(probes[0]), reading_sd(probes[1]), reading_sd(None)]
    )


def test_a_blank_depth_is_the_space_s() -> None:
    shown = readings(
        ("frame", None, 9.7, ""), ("frame", 15.0, 9.7, ""), ("x", None, 1, "")
    )
    right = corrected_readings(shown, [], [make_space(id="frame", depth_cm=8)])
    assert right["depth_cm"].to_list() == pytest.approx(
        [8.0, 15.0, np.nan], nan_ok=True
    )


def test_no_readings_are_no_fault() -> None:
    right = corrected_readings(empty_readings(), [Probe(id="stem")], [make_space()])
    assert right.empty
    assert right["temp_c"].dtype == right["sd_c"].dtype == float


def test_a_checked_probe_is_surer_than_an_unchecked_one() -> None:
    """R = 0.3² + 0.3² K² beside the digit, for probe and depth; from memory."""
    fine = reading_sd(Probe(id="stem", resolution_c=0.1))
    assert fine**2 == pytest.approx(0.18 + resolution_sd(0.1) ** 2)
    assert fine < reading_sd(Probe(id="dial", resolution_c=1.0))
    unchecked = UNCHECKED_SD_C**2 + 0.09 + resolution_sd(DEFAULT_RESOLUTION_C) ** 2
    assert reading_sd(None) ** 2 == pytest.approx(unchecked)


@pytest.mark.parametrize("resolution_c", [0.01, 0.1, 0.5, 1.0])
def test_the_rounding_sd_is_that_of_rounded_values(resolution_c: float) -> None:
    """Against 200,000 rounded draws."""
    true = np.random.default_rng(3).uniform(0, 100, 200_000)
    shown = np.round(true / resolution_c) * resolution_c
    assert np.std(shown - true) == pytest.approx(resolution_sd(resolution_c), rel=0.01)
