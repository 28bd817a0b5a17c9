"""
What a thermometer shows into what was warm there, and how sure that is.

References
----------
.. [1] ASTM E563, "Standard Practice for Preparation and Use of an Ice-Point Bath as a
   Reference Temperature"; Measurement Canada TE-LP-001 for its use with probes.
.. [2] JCGM 100:2008, "Evaluation of measurement data – Guide to the expression of
   uncertainty in measurement": 4.2 repeated observations, 4.3.7 rectangular limits.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from statistics import fmean, stdev

from pandas import DataFrame

from propsched.domain.season import Probe
from propsched.domain.space import Space

PROBE_SD_C = 0.3
"""Left of a cheap probe's error once its offset is added; from memory. [K]"""
DEPTH_SD_C = 0.3
"""One centimetre too deep or shallow, in 0.3 to 0.5 K/cm; from memory. [K]"""
UNCHECKED_SD_C = 1.0 / sqrt(3)
"""Of a probe nobody checked: anywhere within ±1 K (judgement), [2]_ 4.3.7. [K]"""
READ_SD_C = 0.1
"""Scatter of one reading of a probe left in its place; judgement. [K]"""
ICE_BATH_SD_C = 0.1
"""A kitchen's bath of crushed ice against 0 °C, from memory. [K]"""
DEFAULT_RESOLUTION_C = 0.1
"""Last digit of a thermometer nobody described. [K]"""


@dataclass(frozen=True, slots=True)
class Sitting:
    """Several readings of one sitting, as one."""

    mean_c: float
    sd_c: float | None
    """Scatter of the single readings; None for a single one. [K]"""
    se_c: float
    """Standard error of the mean, the last digit's width included. [K]"""
    number: int


def resolution_sd(resolution_c: float) -> float:
    """
    Standard deviation that rounding to the last digit brings.

    Parameters
    ----------
    resolution_c : float
        Width of the last digit. [K]

    Notes
    -----
    A value is anywhere within the digit, so width/√12, [1]_.

    References
    ----------
    .. [1] JCGM 100:2008, 4.3.7 and F.2.2.1.
    """
    return resolution_c / sqrt(12)


def reading_sd(probe: Probe | None) -> float:
    """
    Standard deviation of one reading as a temperature at the depth asked for. [K]

    Parameters
    ----------
    probe : Probe or None
        None is a thermometer that the season does not describe.
    """
    if probe is None:
        own, digit = UNCHECKED_SD_C, DEFAULT_RESOLUTION_C
    else:
        own, digit = PROBE_SD_C, probe.resolution_c
    return hypot(own, DEPTH_SD_C, resolution_sd(digit))


def sitting(temps_c: Sequence[float], resolution_c: float) -> Sitting:
    """
    Mean and spread of readings taken one after another in one place.

    Parameters
    ----------
    temps_c : sequence of float
        At least one. [°C]
    resolution_c : float
        Width of the last digit. [K]

    Notes
    -----
    Scatter over the square root of the number, [1]_ 4.2.3; of one reading
    ``READ_SD_C`` stands for it. Rounding does not average out where the readings
    agree, so it is added in full.

    References
    ----------
    .. [1] JCGM 100:2008.
    """
    number = len(temps_c)
    sd = stdev(temps_c) if number > 1 else None
    scatter = READ_SD_C if sd is None else sd / sqrt(number)
    se = hypot(scatter, resolution_sd(resolution_c))
    return Sitting(fmean(temps_c), sd, se, number)


def offset_against(
    temps_c: Sequence[float],
    resolution_c: float,
    *,
    true_c: float = 0.0,
    true_sd_c: float = ICE_BATH_SD_C,
) -> tuple[float, float]:
    """
    Offset to add to a probe that showed these, and its standard deviation.

    Parameters
    ----------
    temps_c : sequence of float
        What it showed once it had settled. [°C]
    resolution_c : float
        Width of the last digit. [K]
    true_c : float
        What a better thermometer showed beside it; 0 is crushed ice in water [1]_.
        [°C]
    true_sd_c : float
        Error of that. [K]

    Returns
    -------
    offset_c, sd_c : float
        [K]

    References
    ----------
    .. [1] ASTM E563.
    """
    shown = sitting(temps_c, resolution_c)
    return true_c - shown.mean_c, hypot(shown.se_c, true_sd_c)


def corrected_readings(
    readings: DataFrame, probes: Iterable[Probe], spaces: Iterable[Space] = ()
) -> DataFrame:
    """
    Readings as temperatures: each probe's offset added, once and here.

    Parameters
    ----------
    readings : DataFrame
        time, space, depth_cm, temp_c as shown, probe.
    probes : iterable of Probe
        Of the season. A probe that is not among them counts as unchecked.
    spaces : iterable of Space, optional
        Give the depth of readings without one.

    Returns
    -------
    DataFrame
        time, space, depth_cm (NaN where not known), temp_c (offset added), sd_c; rows
        and index as they came.
    """
    known = {probe.id: probe for probe in probes}
    depths = {space.id: space.depth_cm for space in spaces}
    offsets = {name: probe.offset_c for name, probe in known.items()}
    sds = {name: reading_sd(probe) for name, probe in known.items()}
    used = readings["probe"]
    deep = readings["depth_cm"].fillna(readings["space"].map(depths).astype(float))
    return DataFrame(
        {
            "time": readings["time"],
            "space": readings["space"],
            "depth_cm": deep,
            "temp_c": readings["temp_c"] + used.map(offsets).astype(float).fillna(0.0),
            "sd_c": used.map(sds).astype(float).fillna(reading_sd(None)),
        }
    )
