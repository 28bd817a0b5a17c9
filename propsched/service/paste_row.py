"""A row of ``crops.csv`` as it is suggested; nothing heavy is loaded."""

from dataclasses import dataclass

from propsched.domain.crop import Method


@dataclass(frozen=True, slots=True, kw_only=True)
class PasteRow:
    """A row of ``crops.csv``, its columns in order."""

    crop: str
    method: Method
    stage: str
    figure: str
    value: str
    basis: str
    source: str
    note: str
