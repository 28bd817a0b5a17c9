"""A tiny crop table for those tests of commands that ask for it."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from folders import write_table

from propsched.files import crop_table


@pytest.fixture
def tiny_table(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Path]:
    """In place of the shipped one, which other tests read once and keep."""
    folder = write_table(tmp_path_factory.mktemp("table"))
    monkeypatch.setattr(crop_table, "shipped_folder", lambda: folder)
    crop_table.shipped_table.cache_clear()
    yield folder
    crop_table.shipped_table.cache_clear()
