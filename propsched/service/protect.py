"""What is at risk as rows of the list of differences."""

from collections.abc import Iterable

from propsched.service.at_risk import Help, Risk
from propsched.service.differences import Difference
from propsched.service.reasons import spoken

HARMS = {"frost": "frost", "roots": "roots killed", "chill": "set back"}
NO_HELP = "nothing here that would do"


def protect_rows(risks: Iterable[Risk]) -> tuple[Difference, ...]:
    """One row a batch, of its worst night."""
    return tuple(
        Difference(
            act=risk.night,
            kind="protect",
            batch=risk.batch,
            crop=risk.crop,
            stage=risk.stage,
            from_space=risk.space,
            from_date=risk.night,
            what=f"protect in {risk.space} by the night of {spoken(risk.night)}: "
            f"{_whole(risk.expected_c)} °C ({_whole(risk.low_c)} to "
            f"{_whole(risk.high_c)}), "
            f"{harm_text(risk)}, {chance(risk.probability)} likely",
            reason=helps_text(risk),
        )
        for risk in risks
    )


def _whole(temp_c: float) -> str:
    return f"{round(temp_c)}"


def harm_text(risk: Risk) -> str:
    """``frost below -2 °C``, with where it is measured unless that is the air."""
    at = "" if risk.where == "air" else f" in the {risk.where}"
    return f"{HARMS[risk.harm]} below {risk.limit_c:g} °C{at}"


def helps_text(risk: Risk) -> str:
    return "; or ".join(map(help_text, risk.helps)) or NO_HELP


def help_text(one: Help) -> str:
    """What helps, its gain, and how likely harm is with it."""
    left = f"{chance(one.probability)} left"
    if one.gain_k is None:
        return f"{one.what} ({left})"
    return f"{one.what} (+{one.gain_k:g} °C, {left})"


def chance(probability: float) -> str:
    """``under 1 %`` rather than 0, ``over 99 %`` rather than 100."""
    if probability < 0.01:
        return "under 1 %"
    return "over 99 %" if probability > 0.99 else f"{probability * 100:.0f} %"
