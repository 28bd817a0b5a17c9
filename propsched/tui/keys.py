"""The keys of a page, as its widgets bind them."""

from collections.abc import Iterator

from textual.binding import Binding
from textual.widget import Widget

OURS = "propsched."


def page_keys(page: Widget) -> Iterator[tuple[str, str]]:
    """Key and what it does, of a page and of what it is made of."""
    for widget in (page, *page.query(Widget)):
        for kind in type(widget).__mro__:
            if kind.__module__.startswith(OURS) and "BINDINGS" in vars(kind):
                for one in Binding.make_bindings(vars(kind)["BINDINGS"]):
                    if one.description:
                        yield one.key_display or one.key, one.tooltip or one.description
    if page.query("DataTable") or page.query("OptionList"):
        yield from (("up", "from row to row"), ("down", "from row to row"))
