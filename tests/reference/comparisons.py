"""Treatments of dormant seed that a source itself compares, better one first."""

from dataclasses import dataclass

SYLVAN = "SylvanSeeds, Fernández-Pascual 2021 J. Veg. Sci. 32:e12960: "
USDA = "USDA Woody Plant Seed Manual 2008: "


@dataclass(frozen=True)
class Treated:
    warm_weeks: float
    cold_weeks: float
    percent: float
    at_c: float | None = None
    """Constant temperature of the test, where that is what differs."""


@dataclass(frozen=True)
class Compared:
    latin: str
    better: Treated
    worse: Treated
    source: str
    reason: str = ""
    """Why the model cannot rank it, or does only because it was made from it."""


PAIRS = (
    Compared("Sorbus aucuparia", Treated(0, 20, 77), Treated(0, 0, 0),
             SYLVAN + "Afroze & O'Reilly 2013"),
    Compared("Helleborus niger", Treated(8, 16, 95), Treated(0, 16, 10),
             SYLVAN + "Niimi et al. 2006"),
    Compared("Crataegus monogyna", Treated(16, 23, 76), Treated(0, 23, 6),
             SYLVAN + "Persson et al. 2006"),
    Compared("Carpinus betulus", Treated(0, 17, 45), Treated(0, 0, 0),
             SYLVAN + "Pipinis 2012"),
    Compared("Cornus sanguinea", Treated(0, 17, 95), Treated(0, 0, 0),
             SYLVAN + "Falleri 2004"),
    Compared("Prunus spinosa", Treated(4, 9, 46), Treated(13, 0, 0),
             SYLVAN + "Afroze & O'Reilly 2016, 4 of 13 assumed warm"),
    Compared("Primula veris", Treated(0, 9, 62), Treated(0, 0, 2),
             SYLVAN + "Ahmad & Hitchmough 2007"),
    Compared("Primula vulgaris", Treated(0, 9, 82), Treated(0, 0, 33),
             SYLVAN + "Ahmad & Hitchmough 2007"),
    Compared("Primula farinosa", Treated(0, 13, 92), Treated(0, 0, 22),
             "Fernández-Pascual et al. 2021 New Phytol., pooled counts"),
    Compared("Primula farinosa", Treated(0, 21, 77), Treated(0, 0, 22),
             "Fernández-Pascual et al. 2021 New Phytol., pooled counts"),
    Compared("Primula farinosa", Treated(0, 13, 92), Treated(0, 21, 77),
             "Fernández-Pascual et al. 2021 New Phytol., pooled counts",
             "too long: the loss was taken from this pair among others"),
    Compared("Alnus glutinosa", Treated(0, 26, 35), Treated(0, 0, 13),
             USDA + "Table 5 p. 238"),
    Compared("Prunus avium", Treated(2, 27, 88), Treated(0, 21.5, 76),
             USDA + "Table 6 p. 885",
             "the crop table asks for no warmth, and both have had their cold"),
    Compared("Rosa canina", Treated(9, 9, 47), Treated(13, 21, 34),
             USDA + "Table 3 p. 977",
             "too long: the loss was taken from this pair among others"),
    Compared("Rosa eglanteria", Treated(0, 64, 40), Treated(0, 81, 24),
             USDA + "Table 3 p. 977",
             "too long: the loss was taken from this pair among others"),
    Compared("Rosa rugosa", Treated(0, 30, 85), Treated(9, 13, 60),
             USDA + "Table 3 p. 977",
             "two ways to the same end, of which the crop table can have one"),
    Compared("Primula vulgaris", Treated(0, 0, 96, 10), Treated(0, 0, 81, 5),
             SYLVAN + "Marin et al. 2018"),
    Compared("Primula vulgaris", Treated(0, 0, 81, 5), Treated(0, 0, 68, 15),
             SYLVAN + "Marin et al. 2018"),
    Compared("Primula vulgaris", Treated(0, 0, 68, 15), Treated(0, 0, 39, 20),
             SYLVAN + "Marin et al. 2018"),
    Compared("Primula vulgaris", Treated(0, 0, 39, 20), Treated(0, 0, 5, 25),
             SYLVAN + "Marin et al. 2018"),
)  # fmt: skip
"""Left out, as they compare other things than weeks or the crop table has no figure for
what differs: bird cherry fresh against stored, cherry with and without its stone,
hornbeam 2 + 30 against 4 + 17 weeks (65 % both), ash tested at 15/5 against 15 °C,
snowdrop, bluebell and arum at constant temperatures, rowan of another lot."""

ASKED = {
    "Crataegus monogyna": (8, 31, "UK tree-seed treatment list"),
    "Carpinus betulus": (4, 35, "UK tree-seed treatment list"),
    "Cornus sanguinea": (9, 11, USDA + "Table 5 p. 430"),
    "Prunus spinosa": (2, 27, "UK tree-seed treatment list"),
    "Primula farinosa": (0, 13, "Fernández-Pascual et al. 2021, first of its lengths"),
    "Alnus glutinosa": (0, 26, USDA + "Table 5 p. 238, the same row"),
    "Prunus avium": (2, 28, "UK tree-seed treatment list"),
    "Rosa canina": (9, 9, USDA + "Table 3 p. 977, the first row"),
    "Rosa eglanteria": (0, 64, USDA + "Table 3 p. 977, the first row"),
}
"""Weeks asked for where the crop table has no chilling for the species, mostly from
another source than the comparison."""
