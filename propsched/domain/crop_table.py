"""The crop table as a value: every crop by every method, found as people type it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from propsched.domain.crop import Crop, Method
from propsched.domain.crop_names import (
    binomial,
    close_set,
    offered,
    plain_name,
    same_species,
    singulars,
    without_cultivar,
)
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
        before its singular, so that a synonym never hides a crop.  Then come
        names with words parted, joined or ordered otherwise, Latin with author or
        cultivar, a cultivar in quotes behind the crop, a genus; these only where
        they lead to one crop.  Slips of the pen find nothing; see ``near``.
        """
        keys = self._exact(plain_name(name)) or self._loose(name)
        return tuple(
            crop
            for crop in self.crops
            if crop.key in keys and method in (None, crop.method)
        )

    def near(self, name: str) -> tuple[str, ...]:
        """Return up to five crops that a name not known may have meant."""
        species = {crop.name for crop in self._of_species(name)}
        by_latin = tuple(dict.fromkeys(c.name for c in self.crops if c.name in species))
        return tuple(dict.fromkeys((*by_latin, *offered(name, self._known))))[:5]

    def _exact(self, typed: str) -> set[tuple[str, Method]]:
        for names, wanted in (
            (self._own, {typed}),
            (self._own, singulars(typed)),
            (self._other, {typed}),
            (self._other, singulars(typed)),
        ):
            keys = {key for form in wanted for key in names.get(form, ())}
            if keys:
                return keys
        return set()

    def _loose(self, name: str) -> set[tuple[str, Method]]:
        """Keys of the one crop meant by a name that is not there as it is typed."""
        bare = without_cultivar(name)
        tries = [
            {key for form in close_set(name) for key in self._close.get(form, ())},
            {crop.key for crop in self._of_species(name)},
        ]
        if bare and bare != name:
            tries.insert(0, self._exact(plain_name(bare)))
            close = (self._close.get(form, ()) for form in close_set(bare))
            tries.insert(1, {key for keys in close for key in keys})
        for keys in tries:
            if len({crop for crop, _ in keys}) == 1:
                return keys
        return set()

    def _of_species(self, name: str) -> tuple[Crop, ...]:
        """Crops of the species that is typed, or of the genus where it stands alone."""
        genus, species = binomial(name)
        if species:
            return tuple(
                crop
                for crop in self.crops
                if same_species((genus, species), binomial(crop.latin))
            )
        if len(genus) < 4:
            return ()
        return tuple(c for c in self.crops if binomial(c.latin)[0] == genus)

    @cached_property
    def _known(self) -> dict[str, str]:
        known: dict[str, str] = {}
        for own in (True, False):
            for crop in self.crops:
                for form in (crop.name,) if own else (*crop.also, crop.latin):
                    known.setdefault(plain_name(form), crop.name)
        known.pop("", None)
        return known

    @cached_property
    def _close(self) -> dict[str, list[tuple[str, Method]]]:
        index: dict[str, list[tuple[str, Method]]] = {}
        for crop in self.crops:
            for form in {f for n in (crop.name, *crop.also) for f in close_set(n)}:
                index.setdefault(form, []).append(crop.key)
        return index

    @cached_property
    def _by_key(self) -> dict[tuple[str, str], Crop]:
        return {crop.key: crop for crop in self.crops}

    @cached_property
    def _own(self) -> dict[str, list[tuple[str, Method]]]:
        return _index((crop, (crop.name,)) for crop in self.crops)

    @cached_property
    def _other(self) -> dict[str, list[tuple[str, Method]]]:
        return _index((crop, (*crop.also, crop.latin)) for crop in self.crops)


def _index(
    named: Iterable[tuple[Crop, tuple[str, ...]]],
) -> dict[str, list[tuple[str, Method]]]:
    index: dict[str, list[tuple[str, Method]]] = {}
    for crop, names in named:
        for form in {f for name in names for f in singulars(plain_name(name))}:
            if form:
                index.setdefault(form, []).append(crop.key)
    return index
