"""What every page of the app is."""

from typing import TYPE_CHECKING, ClassVar, cast

from textual.containers import Vertical
from textual.events import Key

from propsched.tui import asks
from propsched.tui.desk import Desk

if TYPE_CHECKING:
    from propsched.tui.app import PropschedApp


class Page(Vertical):
    """
    One page; it shows the desk and asks the app for what is to change.

    A page decides nothing: what it says comes from a view (``propsched.tui.views``),
    built from the desk and what the page itself has open (a filter, a cursor).
    """

    TITLE: ClassVar[str]
    """One or two words."""
    TAB: ClassVar[str] = ""
    """On its tab; blank: the title."""
    KEY: ClassVar[str]
    """That opens it from any other page."""
    HELP: ClassVar[str]
    """What it is for, a sentence or two for the help screen."""

    @property
    def desk(self) -> Desk:
        return cast("PropschedApp", self.app).desk

    async def _on_key(self, event: Key) -> None:
        """
        Its own keys at once, as they come.

        Else they would be done only when they have been through all that the page
        stands in, and figures typed meanwhile would come before them: of 8.5, enter
        and 7 the page would store 8.57.
        """
        bound = self.screen.active_bindings.get(event.key)
        if not self.has_focus or bound is None or bound.node is not self:
            return
        if await self.app.run_action(bound.binding.action, self):
            event.stop()
            event.prevent_default()

    def show(self, desk: Desk) -> None:
        """Bring the widgets up to date; called when the desk changes while this page
        is open, and when it is opened."""
        raise NotImplementedError

    def open_chosen(self) -> None:
        """Show the batch or space that was chosen elsewhere by itself."""

    def take_back(self) -> None:
        """What was done last: here, where the page does something, else anywhere."""
        self.post_message(asks.Undo(changes=True))

    def arrive(self) -> None:
        """Take the focus where it belongs; called when the page is opened."""
        self.focus()
