"""Greatest likelihood of counts in cells, between limits, with standard errors."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Cells = Callable[[Floats], tuple[Floats, Floats]]
"""Parameters (P,) to probabilities (C,) and their slopes (C, P)."""

_LEAST = 1e-12
_STEPS = 200
_DONE = 1e-9


@dataclass(frozen=True, slots=True)
class Found:
    """Parameters at the greatest likelihood."""

    values: Floats
    covariance: Floats
    """(P, P); NaN in rows of parameters that lie on a limit, and everywhere where the
    counts do not tell the parameters apart."""
    log_likelihood: float
    at_limit: NDArray[np.bool_]


def maximise(
    cells: Cells,
    counts: Floats,
    trials: Floats,
    start: Floats,
    limits: tuple[Floats, Floats],
) -> Found:
    """
    Fisher scoring with damping, parameters held between limits.

    Parameters
    ----------
    cells : callable
        Probability of each cell and its slope by each parameter.
    counts, trials : ndarray
        Seen in each cell, and out of how many. Shape (C,)
    start : ndarray
        First guess. Shape (P,)
    limits : tuple of ndarray
        Lowest and highest value of each parameter.

    Returns
    -------
    Found
        Covariance is the inverse of the expected information of the parameters
        that do not lie on a limit.
    """
    low, high = limits
    at = np.clip(start, low, high)
    prob, slope = cells(at)
    best = _log_likelihood(prob, counts)
    damping = 1e-3
    for _ in range(_STEPS):
        score, information = _scoring(prob, slope, counts, trials)
        free = ~_stuck(at, score, low, high)
        if not free.any():
            break
        part = information[np.ix_(free, free)]
        scaled = part + damping * np.diag(np.diag(part) + 1e-9)
        step = np.zeros_like(at)
        step[free] = np.linalg.solve(scaled, score[free])
        tried = np.clip(at + step, low, high)
        prob_tried, slope_tried = cells(tried)
        got = _log_likelihood(prob_tried, counts)
        if got >= best:
            moved = got - best
            at, prob, slope, best = tried, prob_tried, slope_tried, got
            damping = max(damping / 10, 1e-9)
            if moved < _DONE and damping < 1e-2:
                break
        else:
            damping *= 10
            if damping > 1e9:
                break
    score, information = _scoring(prob, slope, counts, trials)
    on = _stuck(at, score, low, high)
    free = ~on
    covariance = np.full((at.size, at.size), np.nan)
    # where counts do not tell figures apart, none of their errors is known
    part = information[np.ix_(free, free)]
    if np.linalg.matrix_rank(part, hermitian=True) == free.sum():
        inverse = np.linalg.inv(part)
        if (np.diag(inverse) > 0).all():
            covariance[np.ix_(free, free)] = inverse
    return Found(at, covariance, best, on)


def _log_likelihood(prob: Floats, counts: Floats) -> float:
    return float(counts @ np.log(np.maximum(prob, _LEAST)))


def _scoring(
    prob: Floats, slope: Floats, counts: Floats, trials: Floats
) -> tuple[Floats, Floats]:
    """Slope of the log likelihood, and the expected information."""
    safe = np.maximum(prob, _LEAST)
    score = slope.T @ (counts / safe)
    information = slope.T @ (slope * (trials / safe)[:, None])
    return score, information


def _stuck(at: Floats, score: Floats, low: Floats, high: Floats) -> NDArray[np.bool_]:
    """Parameters that lie on a limit and would go beyond it."""
    return ((at <= low) & (score <= 0)) | ((at >= high) & (score >= 0))
