"""How many of an old lot of seed still come."""

from statistics import NormalDist

NORMAL = NormalDist()
"""From the standard library: scipy would take longer to load than all else here."""
LIFE_YEARS = {
    "Abelmoschus": 2, "Allium": 1, "Allium porrum": 2, "Allium ampeloprasum": 2,
    "Apium": 3, "Asparagus": 3, "Beta": 4, "Brassica": 4, "Capsicum": 2,
    "Cichorium": 5, "Cichorium intybus": 4, "Citrullus": 4, "Cucumis": 5,
    "Cucurbita": 4, "Daucus": 3, "Foeniculum": 4, "Lactuca": 6, "Pastinaca": 1,
    "Petroselinum": 1, "Phaseolus": 3, "Pisum": 3, "Raphanus": 5, "Solanum": 4,
    "Spinacia": 3, "Tragopogon": 1, "Zea": 2,
}  # fmt: skip
"""Life expectancy of seed under favourable conditions, by genus, or by species where
the table tells them apart: Maynard & Hochmuth, Knott's Handbook for Vegetable Growers,
4th ed., 1997, as given by Iowa State University Extension (2 April 1999). [years]"""
OTHERS_YEARS = 3
"""Of what the table has not (common practice for flower seed). [years]"""
NEW, STILL_GOOD = 0.95, 0.70
"""A good lot when new, and at the end of its life expectancy; judgement, about the
minimum at which seed may be sold."""


def life_years(latin: str) -> tuple[float, bool]:
    """
    Life expectancy of a species' seed.

    Returns
    -------
    float, bool
        [years] And whether it is the published figure of its genus or species.
    """
    words = latin.split()
    for key in (" ".join(words[:2]), *words[:1]):
        if key in LIFE_YEARS:
            return LIFE_YEARS[key], True
    return OTHERS_YEARS, False


def viability(new: float, age_years: float, life_years: float) -> float:
    """
    Share of a lot that still germinates.

    Parameters
    ----------
    new : float
        Share when the lot was new, or as the packet says. 0..1
    age_years : float
        Since then. [years]
    life_years : float
        Years in which a lot of 95 % falls to 70 %.

    Returns
    -------
    float
        0..1

    Notes
    -----
    Lives of the seeds of a lot are normally distributed, so that its probit falls
    in a straight line [1]_; the slope is set by the life expectancy.

    References
    ----------
    .. [1] R. H. Ellis and E. H. Roberts, "Improved equations for the prediction of
       seed longevity," Ann. Bot., vol. 45, pp. 13–30, 1980.
    """
    if age_years <= 0:
        return new
    per_year = (NORMAL.inv_cdf(NEW) - NORMAL.inv_cdf(STILL_GOOD)) / life_years
    start = NORMAL.inv_cdf(min(max(new, 1e-6), 0.9999))
    return NORMAL.cdf(start - per_year * age_years)
