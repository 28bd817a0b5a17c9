"""Which figures of the shipped crop table a season's own replace."""

from collections.abc import Iterator
from dataclasses import dataclass

from propsched.domain.crop import Crop
from propsched.domain.crop_table import CropTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Overridden:
    """A figure of the season's own; a whole row where ``figure`` is blank."""

    crop: str
    method: str
    stage: str = ""
    figure: str = ""
    shipped: str | None = None
    """Value in the shipped table; None where it has none."""
    own: str = ""

    def told(self) -> str:
        """``leek by seed, start base_c: 1.7 → 3``."""
        row = f"{self.crop} by {self.method}"
        if not self.figure:
            return f"{row}: a row of the season's own"
        at = f"{self.stage} {self.figure}" if self.stage else self.figure
        return f"{row}, {at}: {self.shipped or 'not given'} → {self.own}"


def overridden(table: CropTable, shipped: CropTable) -> Iterator[Overridden]:
    """Yield what differs from the shipped table, in its order."""
    before = {crop.key: crop for crop in shipped.crops}
    for crop in table.crops:
        if crop.key not in before:
            yield Overridden(crop=crop.name, method=crop.method)
        else:
            yield from changed(crop, before[crop.key])


def changed(crop: Crop, shipped: Crop) -> Iterator[Overridden]:
    """Yield the figures of one row that are not the shipped ones."""
    old = {(f.stage, f.name): f for f in shipped.figures}
    for figure in crop.figures:
        was = old.pop((figure.stage, figure.name), None)
        if was is None or (was.value, was.source) != (figure.value, figure.source):
            yield Overridden(
                crop=crop.name,
                method=crop.method,
                stage=figure.stage,
                figure=figure.name,
                shipped=was.value if was else None,
                own=figure.value,
            )
