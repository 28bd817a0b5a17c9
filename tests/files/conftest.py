"""Every test of the files reads a tiny crop table, not the shipped one."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from folders import write_table

from propsched.files import crop_table


@pytest.fixture(scope="session")
def tiny_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_table(tmp_path_factory.mktemp("table"))


@pytest.fixture(autouse=True)
def tiny_table(tiny_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """For one test at a time: other folders of tests read the shipped table."""
    read_before = crop_table.shipped_table.cache_info().currsize
    monkeypatch.setattr(crop_table, "shipped_folder", lambda: tiny_folder)
    yield tiny_folder
    if not read_before:
        crop_table.shipped_table.cache_clear()
