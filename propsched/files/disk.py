"""Bytes to the disk: whole or not at all, and by one program at a time."""

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from propsched.errors import InputProblem, InvalidInputError

LOCK = ".propsched.lock"
LOCK_S = 30.0
"""How long to wait for another program. [s]"""
ASK_AGAIN_S = 0.01
"""How often to ask whether it has let go. [s]"""
PART = ".part"
"""Ending of what is written before it takes its file's place."""

_NO_ROOM = "make room on the disk; nothing was changed"
_MAY_NOT = "copy the folder to where you may write; nothing was changed"
_NO_LOCKS = "this drive knows no locks: keep the season on a disk of this computer"
_ADVICE = {
    errno.ENOSPC: _NO_ROOM,
    errno.EDQUOT: _NO_ROOM,
    errno.EROFS: _MAY_NOT,
    errno.EACCES: _MAY_NOT,
    errno.EPERM: _MAY_NOT,
    errno.ENOLCK: _NO_LOCKS,
    errno.EOPNOTSUPP: _NO_LOCKS,
}


@contextmanager
def only_writer(folder: Path, path: Path) -> Iterator[None]:
    """
    Hold the folder's lock; what the disk refuses is the user's to mend.

    The system lets go of the lock when a program ends, however it ends, so that
    none is left behind.

    Parameters
    ----------
    path : Path
        The file meant, which the errors name.

    Raises
    ------
    InvalidInputError
        When the folder is not there, another program does not let go, or the disk
        refuses; then everything is as it was.
    """
    from filelock import FileLock, Timeout  # takes its time, and reading needs none

    if not folder.is_dir():  # the lock would make it
        problem = InputProblem(str(path), 0, "cannot be written: there is no folder")
        raise InvalidInputError([problem])
    try:
        with FileLock(folder / LOCK, timeout=LOCK_S, poll_interval=ASK_AGAIN_S):
            yield
    except Timeout:
        what, right = "is being written by another program", "try again"
        raise InvalidInputError([InputProblem(str(path), 0, what, right)]) from None
    except OSError as error:
        raise refused(path, error) from error


def refused(path: Path, error: OSError) -> InvalidInputError:
    """What the disk refused, as a fault that says what helps."""
    what = f"cannot be written: {error.strerror or error}"
    right = _ADVICE.get(error.errno or 0, "")
    return InvalidInputError([InputProblem(str(path), 0, what, right)])


def must_be_writable(path: Path) -> None:
    """
    Refuse long work whose end could not be written beside ``path``.

    Raises
    ------
    InvalidInputError
        When the disk takes no file there now.
    """
    try:
        with tempfile.TemporaryFile(dir=path.parent, suffix=PART):
            pass
    except OSError as error:
        raise refused(path, error) from error


def replace_file(path: Path, content: bytes) -> None:
    """
    Put the content in place at once: a reader sees the old file or the new one.

    Raises
    ------
    OSError
        Under the file's own name; then the old one is still there.
    """
    try:
        _replace(path.resolve(), content)  # a link goes on pointing to the file
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error


def _replace(path: Path, content: bytes) -> None:
    handle, name = tempfile.mkstemp(
        dir=path.parent, prefix=f".{path.name}.", suffix=PART
    )
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
        Path(name).chmod(mode)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def add_to_file(path: Path, content: bytes) -> None:
    """
    Add to the end of a file that is there, in one piece and down to the disk.

    Raises
    ------
    OSError
        Under the file's own name; then the file is as long as it was.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_APPEND)
        try:
            _add(handle, content)
        finally:
            os.close(handle)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error


def _add(handle: int, content: bytes) -> None:
    before = os.fstat(handle).st_size
    try:
        # one call is one piece, unless the disk is nearly full
        done = os.write(handle, content)
        while done < len(content):
            done += os.write(handle, content[done:])
        os.fsync(handle)
    except BaseException:
        with suppress(OSError):  # the first error is the one to tell
            os.ftruncate(handle, before)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _sync_folder(folder: Path) -> None:
    """Have the new name survive a power cut too, where the system knows how."""
    if os.name != "posix":
        return  # no handle on a folder elsewhere
    with suppress(OSError):  # some shared drives have none either; the file is there
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
