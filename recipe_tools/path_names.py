"""Paths that open nothing: why, and which name was most likely meant."""

from __future__ import annotations

import errno
import os
from itertools import islice
from pathlib import Path

_LOOKED_THROUGH = 10_000
"""Names of a folder that are compared, so that a mistyped path takes no longer than a right one."""


def why_not_opened(path: str | os.PathLike[str], error: Exception) -> str:
    """Return why a path cannot be read, to follow its name: "does not exist; ...".

    error: what the system raised. Where nothing is there, the nearest name in the folder is said.
    """
    if isinstance(error, FileNotFoundError):
        return "is a link to nothing" if Path(path).is_symlink() else _not_there(Path(path))
    if isinstance(error, PermissionError):
        return "may not be read"
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
