"""Names of crops as people type them: number, case, Latin, cultivars, slips."""

import re
from collections.abc import Iterable, Mapping
from difflib import SequenceMatcher
from itertools import product
from unicodedata import combining, normalize

LEAST_LIKE = 0.72
"""Likeness below which a name is not offered for another (judgement)."""
MOST_OFFERED = 5
"""Names offered at a time."""
_BEHIND = 0.12
"""Names so much less like than the likeliest are not offered beside it
(judgement)."""
_MOST_WORDS = 6
_QUOTED = re.compile(r"(?:(?<=\s)|^)(['‘\"“][^'’\"”]+['’\"”])(?=\s|$|,)")
_RANKS = ("var", "subsp", "ssp", "f", "cv", "group", "gp", "sp", "spp", "hybrids")
_COMMON = frozenset(
    form
    for word in (
        "plant", "seed", "seedling", "tree", "tuber", "corm", "bulb", "crown",
        "cutting", "root", "plug",
    )
    for form in (word, f"{word}s")
)  # fmt: skip
"""Words that say nothing of the crop when they come last."""


def plain_name(name: str) -> str:
    """Return a name without case, accents, hyphens and quotes, in natural order."""
    if name.count(",") == 1:
        noun, first = name.split(",")
        name = f"{first} {noun}"
    bare = "".join(c for c in normalize("NFKD", name.casefold()) if not combining(c))
    words = "".join(" " if c in "-_" else c for c in bare if c not in "'’‘\"")
    return " ".join(words.split())


def singulars(name: str) -> set[str]:
    """Return the name and what it may be the plural of."""
    forms = {name}
    for ending, single in (("s", ""), ("es", ""), ("ies", "y"), ("ves", "f")):
        if name.endswith(ending) and len(name) > len(ending) + 2:
            forms.add(name.removesuffix(ending) + single)
    return forms


def without_cultivar(name: str) -> str:
    """Return ``tomato`` of ``tomato 'Moneymaker'``: what stands in quotes goes."""
    return _QUOTED.sub(" ", name).strip(" ,")


def close_set(name: str) -> set[str]:
    """
    Return forms in which word breaks and word order do not matter.

    ``sweetcorn`` is ``sweet corn``, ``beans french`` is ``french bean``; words
    such as ``plants`` or ``seed`` at the end are left out.
    """
    words = plain_name(name).replace(",", " ").split()
    found: set[str] = set()
    while words:
        for one in _word_forms(words):
            found |= {"".join(one), " ".join(sorted(one))}
        if words[-1] not in _COMMON or len(words) == 1:
            break
        words = words[:-1]
    return found


def _word_forms(words: list[str]) -> Iterable[tuple[str, ...]]:
    """The words as they are, and with any of them in the singular."""
    return product(*(singulars(word) for word in words[:_MOST_WORDS]))


def binomial(latin: str) -> tuple[str, str]:
    """
    Return genus and species, either blank, without author, rank and cultivar.

    ``Solanum lycopersicum L.`` and ``S. lycopersicum 'Ailsa Craig'`` are the same
    species; of an initial the genus is left to be compared by its letter.
    """
    text = re.sub(r"\(.*?\)", " ", without_cultivar(latin))
    text = text.replace("×", " x ")
    words = [w for w in re.split(r"[\s.]+", plain_name(text)) if w and w != "x"]
    if not words:
        return "", ""
    species = words[1] if len(words) > 1 and words[1] not in _RANKS else ""
    return words[0], species if species.isalpha() else ""


def same_species(typed: tuple[str, str], known: tuple[str, str]) -> bool:
    """Whether two binomials are the same, the genus perhaps only its initial."""
    if not (typed[1] and known[1]) or typed[1] != known[1]:
        return False
    genus = typed[0]
    return genus == known[0] or (len(genus) == 1 and known[0].startswith(genus))


def offered(typed: str, known: Mapping[str, str]) -> tuple[str, ...]:
    """
    Return the crops that a name not known may have meant, likeliest first.

    Parameters
    ----------
    typed : str
    known : mapping
        Every name there is, plain, to the crop it belongs to.
    """
    words = {s for w in plain_name(typed).split() for s in singulars(w)} - _COMMON
    if not words:
        return ()
    best: dict[str, float] = {}
    for name, crop in known.items():
        score = likeness(plain_name(typed), words, name)
        best[crop] = max(best.get(crop, 0.0), score)
    least = max(LEAST_LIKE, max(best.values(), default=0.0) - _BEHIND)
    good = [crop for crop, score in best.items() if score >= least]
    return tuple(sorted(good, key=lambda crop: -best[crop])[:MOST_OFFERED])


def likeness(typed: str, words: set[str], name: str) -> float:
    """
    How like two names are, 0..1.

    Letters in common count most; sharing the noun, the last word, counts as very
    like, so that ``bean`` offers the beans and not whatever is spelt like it.
    """
    if not typed or not name:
        return 0.0
    parts = name.split()
    letters = _ratio(typed, name)
    noun, last = typed.split()[-1], parts[-1]
    if last in words or singulars(last) & words:
        same_noun = noun in singulars(last) or last in singulars(noun)
        letters = max(letters, 0.9 if same_noun else 0.75)
    elif len(noun) >= 4 and any(last.endswith(form) for form in singulars(noun)):
        letters = max(letters, 0.85)  # currant: blackcurrant
    elif len(parts) > 1:
        # one slip in one of several words: "runer bean", "japanese anenome"
        single = [_ratio(typed, part) for part in parts if len(part) > 3]
        letters = max([letters, *(0.9 * one for one in single if one > 0.8)])
    if words.issuperset(parts):
        letters = max(letters, 0.88)  # cherry tomato, tomato cherry: tomato
    return letters


def _ratio(a: str, b: str) -> float:
    """Share of letters in common; a changed first letter counts against."""
    if min(len(a), len(b)) < 3 or abs(len(a) - len(b)) > max(len(a), len(b)) / 2:
        return 0.0
    match = SequenceMatcher(None, a, b)
    if match.quick_ratio() < LEAST_LIKE - 0.1:
        return 0.0
    return match.ratio() - (0.06 if a[0] != b[0] else 0.0)
