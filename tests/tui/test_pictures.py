"""Every page as a picture, at the smallest size that must do and at a larger one."""

import pytest
from syrupy.assertion import SnapshotAssertion
from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode
from tui_desks import make_app, settled

from propsched.tui.app import PAGES

SIZES = {"80x24": (80, 24), "120x40": (120, 40)}


class SvgExtension(SingleFileSnapshotExtension):
    file_extension = "svg"
    _write_mode = WriteMode.TEXT


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("page", PAGES)
async def test_page(page: str, size: str, snapshot: SnapshotAssertion) -> None:
    app = make_app("faulty" if page == "problems" else "planned")
    async with app.run_test(size=SIZES[size]) as pilot:
        await settled(pilot)
        app.page = page
        await settled(pilot)
        picture = app.export_screenshot(title="propsched")
    assert snapshot(extension_class=SvgExtension) == picture
