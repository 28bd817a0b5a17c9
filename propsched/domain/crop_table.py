"""The crop table as a value: every crop by every method, found as people type it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from unicodedata import combining, normalize

from propsched.domain.crop import Crop, Method
from propsched.errors import UnknownNameError


@dataclass(frozen=True, kw_only=True)
class CropTable:
    """Crops by method, in file order."""

    crops: tuple[Crop, ...] = ()
    citations: dict[str, str] = field(default_factory=dict)
    """Source key to citation."""
    digest: str = ""
    """Of all files the table was read from."""

    def get(self, name: str, method: Method | str) -> Crop:
        """
        Return the row of exactly this name and method.

        Raises
        ------
        UnknownNameError
            When there is none; the message offers what is near.
        """
        crop = self._by_key.get((name, method))
        if crop is not None:
            return crop
        methods = self.methods(name)
        if methods:
            msg = f'"{name}" has no method "{method}" – {", ".join(methods)}'
            raise UnknownNameError(msg)
        near = self.near(name)
        hint = f" – did you mean {' or '.join(near)}?" if near else ""
        raise UnknownNameError(f'no crop "{name}"{hint}')

    def methods(self, name: str) -> tuple[Method, ...]:
        """Return the methods known for a crop of exactly this name."""
        return tuple(crop.method for crop in self.crops if crop.name == name)

    def find(self, name: str, method: Method | str | None = None) -> tuple[Crop, ...]:
        """
        Return the rows meant by a name in any case or number, synonyms included.

        A crop's own name counts before other names, and a name as it is typed
        before its singular, so that a synonym never hides a crop.
        """
        typed = plain_name(name)
        for names, wanted in (
            (self._own, {typed}),
            (self._own, _singulars(typed)),
            (self._other, {typed}),
            (self._other, _singulars(typed)),
        ):
            keys = {key for form in wanted for key in names.get(form, ())}
            if keys:
                return tuple(
                    crop
                    for crop in self.crops
                    if crop.key in keys and method in (None, crop.method)
                )
        return ()

    def near(self, name: str) -> tuple[str, ...]:
        """Return up to three crop names that look like a mistyped one."""
        known: dict[str, str] = {}
        for crop in self.crops:
            for form in (crop.name, *crop.also, crop.latin):
                known.setdefault(plain_name(form), crop.name)
        known.pop("", None)
        close = get_close_matches(plain_name(name), known, n=6, cutoff=0.6)
        return tuple(dict.fromkeys(known[form] for form in close))[:3]

    @cached_property
    def _by_key(self) -> dict[tuple[str, str], Crop]:
        return {crop.key: crop for crop in self.crops}

    @cached_property
    def _own(self) -> dict[str, list[tuple[str, Method]]]:
        return _index((crop, (crop.name,)) for crop in self.crops)

    @cached_property
    def _other(self) -> dict[str, list[tuple[str, Method]]]:
        return _index((crop, (*crop.also, crop.latin)) for crop in self.crops)


def plain_name(name: str) -> str:
    """Return a name without case, accents, hyphens and quotes, in natural order."""
    if name.count(",") == 1:
        noun, first = name.split(",")
        name = f"{first} {noun}"
    bare = "".join(c for c in normalize("NFKD", name.casefold()) if not combining(c))
    words = "".join(" " if c in "-_" else c for c in bare if c not in "'’‘\"")
    return " ".join(words.split())


def _index(
    named: Iterable[tuple[Crop, tuple[str, ...]]],
) -> dict[str, list[tuple[str, Method]]]:
    index: dict[str, list[tuple[str, Method]]] = {}
    for crop, names in named:
        for form in {f for name in names for f in _singulars(plain_name(name))}:
            if form:
                index.setdefault(form, []).append(crop.key)
    return index


def _singulars(name: str) -> set[str]:
    """Return the name and what it may be the plural of."""
    forms = {name}
    for ending, single in (("s", ""), ("es", ""), ("ies", "y"), ("ves", "f")):
        if name.endswith(ending) and len(name) > len(ending) + 2:
            forms.add(name.removesuffix(ending) + single)
    return forms
