"""Files written whole or not at all: what is there stays until its successor is on disk."""

from __future__ import annotations

import contextlib
import os
import re
import stat
import sys
import tempfile
import time
from pathlib import Path

TEMPORARY_PREFIX = ".recipe-tools-"
TEMPORARY_SUFFIX = ".tmp"
_TEMPORARY = re.compile(r"\.recipe-tools-[a-z0-9_]{8}\.tmp")
_STALE_S = 3600.0
"""Age from which on nobody is writing a temporary file any more; writing takes moments."""

_TRIES, _PAUSE_S = 20, 0.05


class NotWrittenError(Exception):
    """A file that was not written; the message says why, in words for the user."""


def replace_file(path: Path, data: bytes, *, read: bytes, root: Path) -> None:
    """Write new bytes in place of those that were read from a file.

    read: what the file held when it was read; if it holds something else by now nothing is written.
    root: folder that a link must not lead out of. Mode and, where allowed, owner are kept. Raises
    NotWrittenError; the file is then as it was.
    """
    target = _inside(path, root)
    try:
        status = target.stat()
    except OSError as error:
        raise NotWrittenError(_reason(error)) from error
    if not stat.S_ISREG(status.st_mode):
        raise NotWrittenError("it is not a regular file")
    if not status.st_mode & 0o222:
        raise NotWrittenError("it is write-protected")
    _written(target, data, status, read=read)


def new_file(path: Path, data: bytes, *, root: Path) -> None:
    """Write a file that is not there yet. Raises NotWrittenError, also where it is there by now."""
    try:
        target = path.parent.resolve(strict=True) / path.name
        if not target.is_relative_to(root.resolve()):
            raise NotWrittenError("it lies outside the folder of the configuration")
        handle, name = tempfile.mkstemp(TEMPORARY_SUFFIX, TEMPORARY_PREFIX, target.parent)
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            temporary.chmod(0o666 & ~file_mask())
            _put_new(temporary, target)
        finally:
            temporary.unlink(missing_ok=True)
        _settle(target.parent)
    except OSError as error:
        raise NotWrittenError(_reason(error)) from error


def _put_new(temporary: Path, target: Path) -> None:
    """Give a finished file its name, unless that is taken by now. Raises OSError."""
    try:
        # A link fails where the name is taken; a replacement would not.
        os.link(temporary, target)
    except FileExistsError:
        raise
    except (OSError, AttributeError):
        # A disk without links, such as a memory stick: the name is taken first, then filled.
        target.open("xb").close()
        put_in_place(temporary, target)


def put_in_place(temporary: Path, target: Path) -> None:
    """Let a finished file take the place of another. Raises OSError.

    Windows refuses while another program has the old one open, as those that look for viruses or
    keep an index do for a moment: there it is tried again for a second.
    """
    for _ in range(_TRIES if sys.platform == "win32" else 0):
        try:
            temporary.replace(target)
        except PermissionError:
            time.sleep(_PAUSE_S)
        else:
            return
    temporary.replace(target)


def file_mask() -> int:
    """Return the mask for new files; it can only be read by setting it."""
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def create_file(source: Path, data: bytes, folder: Path, place: Path) -> None:
    """Write new bytes to a place below a folder, with the mode of the file they come from.

    place: relative path. Folders are made as needed. Nothing is written through a link below the
    folder, and not over the source itself. Raises NotWrittenError.
    """
    try:
        root = folder.resolve()
        target = root / place
        _without_links(root, place)
        if target.exists() and target.samefile(source):
            raise NotWrittenError("the output is the file itself; that takes --in-place")
        if target.exists() and not target.is_file():
            raise NotWrittenError(f"{place.as_posix()} in the output folder is not a file")
        status = source.stat()
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.exists() and target.read_bytes() == data:
            return
    except (OSError, ValueError, RuntimeError) as error:
        raise NotWrittenError(_reason(error)) from error
    _written(target, data, status, read=None)


def _inside(path: Path, root: Path) -> Path:
    """Follow a link, but not out of the root."""
    try:
        target = path.resolve(strict=True)
        inside = target.is_relative_to(root.resolve())
    except (OSError, RuntimeError) as error:  # RuntimeError: a loop of links
        raise NotWrittenError(_reason(error)) from error
    if not inside:
        raise NotWrittenError("it is a link that leads out of the given folder")
    return target


def _without_links(root: Path, place: Path) -> None:
    if place.is_absolute() or ".." in place.parts:
        raise NotWrittenError("its place would be outside the output folder")
    reached = root
    for part in place.parts:
        reached /= part
        if reached.is_symlink():
            below = reached.relative_to(root).as_posix()
            raise NotWrittenError(f"{below} in the output folder is a link; it is not followed")


def _written(target: Path, data: bytes, status: os.stat_result, *, read: bytes | None) -> None:
    """Put new bytes into a temporary file beside the target, and that in its place."""
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(TEMPORARY_SUFFIX, TEMPORARY_PREFIX, target.parent)
        temporary = Path(name)
        _sweep(target.parent, os.fstat(handle).st_mtime)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        _keep(temporary, status)
        if read is not None and target.read_bytes() != read:
            raise NotWrittenError("it was changed by somebody else since it was read")
        put_in_place(temporary, target)
        temporary = None
        _settle(target.parent)
    except OSError as error:
        raise NotWrittenError(_reason(error)) from error
    finally:
        # Also after Ctrl-C: whatever happened, nothing half-written is left behind.
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)


_swept: list[Path] = []
"""The folder that was swept last: of many files in one folder only the first pays for it."""


def _sweep(folder: Path, now: float) -> None:
    """Remove what writers that were killed left in a folder long ago, as far as it is ours.

    now: by the clock of the disk, which may be another machine's.
    """
    if _swept == [folder]:
        return
    _swept[:] = [folder]
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if not _TEMPORARY.fullmatch(entry.name):
                continue
            with contextlib.suppress(OSError):
                status = entry.stat(follow_symlinks=False)
                own = not hasattr(os, "geteuid") or status.st_uid == os.geteuid()
                old = now - status.st_mtime > _STALE_S
                if stat.S_ISREG(status.st_mode) and own and old:
                    Path(entry.path).unlink()


def _keep(temporary: Path, status: os.stat_result) -> None:
    own = temporary.stat()
    if (own.st_uid, own.st_gid) != (status.st_uid, status.st_gid) and hasattr(os, "chown"):
        # Only root may give a file away; a group one is not in cannot be kept either.
        with contextlib.suppress(OSError):
            os.chown(temporary, status.st_uid, status.st_gid)
    temporary.chmod(stat.S_IMODE(status.st_mode))


def _settle(folder: Path) -> None:
    """Have the folder entry reach the disk as well, where the system can do that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _reason(error: Exception) -> str:
    if isinstance(error, PermissionError) and sys.platform == "win32":
        return "access is denied; another program may have it open"
    if isinstance(error, OSError) and error.strerror:
        return error.strerror[0].lower() + error.strerror[1:]
    return "a loop of links" if isinstance(error, RuntimeError) else "the path is not valid"
