"""The bytes of a file, unless it is none that may be read."""

# ruff: noqa: PTH114  (paths as text: an archive brings thousands, pathlib takes a while for each)

from __future__ import annotations

import os
import stat
from os import PathLike
from pathlib import Path

from recipe_tools.findings import Finding, find
from recipe_tools.formats import too_large
from recipe_tools.path_names import reading_flags, why_not_opened


def bytes_of(
    path: str | PathLike[str], limit: int, root: str | PathLike[str] | None
) -> bytes | Finding:
    """Return the content of a regular file of at most ``limit`` bytes, or why it cannot be had.

    root: folder the file must not lead out of through a link (None: it may). Never raises.
    """
    try:
        if root is not None and os.path.islink(path):
            target = Path(path).resolve(strict=True)
            if not target.is_relative_to(Path(root).resolve()):
                return find(
                    "file/outside-root",
                    "The link leads out of the folder that is checked; it was not followed.",
                )
        handle = os.open(path, reading_flags())
        try:
            status = os.fstat(handle)
            if stat.S_ISDIR(status.st_mode):
                return find("file/not-opened", "The path is a folder, not a file.", value="folder")
            if not stat.S_ISREG(status.st_mode):
                return find("file/not-regular", "The path is a pipe, socket or device, not a file.")
            if status.st_size > limit:
                return too_large(status.st_size, limit)
            data = _read_up_to(handle, limit + 1, status.st_size + 1)
        finally:
            os.close(handle)
    except (OSError, RuntimeError, ValueError) as error:  # RuntimeError: a loop of links
        return find("file/not-opened", "The file {reason}.", reason=why_not_opened(path, error))
    return too_large(len(data), limit) if len(data) > limit else data


def _read_up_to(handle: int, count: int, likely: int) -> bytes:
    """Read at most ``count`` bytes; likely: one more than there should be, to see the end."""
    parts = []
    step = min(max(likely, 1 << 12), 1 << 20)
    while count > 0 and (part := os.read(handle, min(count, step))):
        parts.append(part)
        count -= len(part)
    return b"".join(parts)
