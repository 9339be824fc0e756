"""Paths as people read them, and why one opens nothing: with the name most likely meant."""

from __future__ import annotations

import errno
import os
from itertools import islice
from pathlib import Path

_LOOKED_THROUGH = 10_000
"""Names of a folder that are compared, so that a mistyped path takes no longer than a right one."""


def relative_to(path: str | os.PathLike[str], folder: str | os.PathLike[str]) -> str:
    """Return a path as it reads from a folder; as it is where no way leads there.

    On Windows there is none from one drive to another.
    """
    try:
        return os.path.relpath(path, folder)
    except ValueError:
        return os.fspath(path)


def reading_flags() -> int:
    """Return the flags with which a path of a stranger is opened.

    Without O_NONBLOCK, opening a pipe nobody writes to would wait for ever; without O_BINARY,
    Windows would change line ends and stop at the first Ctrl-Z.
    """
    flags = os.O_RDONLY
    for name in ("O_NONBLOCK", "O_BINARY", "O_CLOEXEC"):
        flags |= getattr(os, name, 0)
    return flags


def why_not_opened(path: str | os.PathLike[str], error: Exception) -> str:
    """Return why a path cannot be read, to follow its name: "does not exist; ...".

    error: what the system raised. Where nothing is there, the nearest name in the folder is said.
    """
    if isinstance(error, FileNotFoundError):
        return "is a link to nothing" if Path(path).is_symlink() else _not_there(Path(path))
    if isinstance(error, PermissionError):
        # Windows says the same of a folder, and of a file that another program has to itself.
        return "is a folder, not a file" if os.path.isdir(path) else "may not be read"  # noqa: PTH112
    if isinstance(error, RuntimeError) or getattr(error, "errno", None) == errno.ELOOP:
        return "is a link that leads in a circle"
    if isinstance(error, OSError) and error.strerror:
        return f"cannot be read ({error.strerror.lower()})"
    return "has a name that no file can have" if isinstance(error, ValueError) else "cannot be read"


def _not_there(missing: Path) -> str:
    said = ""
    while not missing.parent.is_dir():
        missing = missing.parent
        said = f": there is no folder {missing.name}"
    nearest = _nearest(missing, folders=bool(said))
    return f"does not exist{said}" + (f"; the nearest name there is {nearest}" if nearest else "")


def _nearest(missing: Path, *, folders: bool) -> str:
    """Return the name beside a missing one that looks most like it, or an empty text."""
    from difflib import get_close_matches

    try:
        with os.scandir(missing.parent) as entries:
            listed = islice(entries, _LOOKED_THROUGH)
            names = sorted(entry.name for entry in listed if entry.is_dir() or not folders)
    except OSError:
        return ""
    folded = {known.casefold(): known for known in names if not known.startswith(".")}
    close = get_close_matches(missing.name.casefold(), list(folded), n=1, cutoff=0.6)
    return folded[close[0]] if close else ""
