"""Every test of the files reads a tiny crop table, not the shipped one."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from folders import write_table

from propsched.files import crop_table


@pytest.fixture(autouse=True, scope="session")
def tiny_table(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    folder = write_table(tmp_path_factory.mktemp("table"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(crop_table, "shipped_folder", lambda: folder)
        yield folder
