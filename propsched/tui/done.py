"""What was noted and changed in this sitting, so that it can be taken back in turn."""

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from propsched.service.amend import Amended


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing that was done."""

    whom: str
    """Batch or space."""
    amended: "Amended | None" = None
    """What was changed; None: it was noted in the daybook."""


class Deeds:
    """In order; may be told of from any thread."""

    def __init__(self) -> None:
        self._deeds: list[Deed] = []
        self._lock = threading.Lock()

    def did(self, deed: Deed) -> None:
        with self._lock:
            self._deeds.append(deed)

    def taken(self, whom: str, *, changes: bool) -> Deed | None:
        """
        Take the last one out.

        Parameters
        ----------
        whom : str
            Of this batch or space; blank: of all.
        changes : bool
            Whether changes of files count, or only what was noted.

        Returns
        -------
        The last one; None: nothing of the kind was done.
        """
        with self._lock:
            for at in range(len(self._deeds) - 1, -1, -1):
                deed = self._deeds[at]
                mine = not whom or deed.whom == whom
                if mine and (changes or deed.amended is None):
                    return self._deeds.pop(at)
        return None
