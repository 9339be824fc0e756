"""Remembering a reading: appended to its file, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from recipe_tools.editing.writing import NotWrittenError, new_file, replace_file
from recipe_tools.readings.file import (
    MAX_BYTES,
    ReadingsError,
    appended,
    is_kept,
    parse_readings,
)
from recipe_tools.readings.records import KeptReading
from recipe_tools.toml_in import TomlError, read_regular_file

_TRIES = 5


def keep(path: Path, reading: KeptReading, *, root: Path) -> bool:
    """Append a reading to its file; False where the same one is there already.

    root: folder that a link must not lead out of. What is in the file stays byte for byte; where
    somebody else writes to it meanwhile it is read again. Raises ReadingsError or NotWrittenError;
    the file is then as it was.
    """
    for last in range(_TRIES):
        data = _present(path)
        if data is not None and is_kept(reading, parse_readings(data)):
            return False
        try:
            if data is None:
                new_file(path, appended(b"", reading), root=root)
            else:
                replace_file(path, appended(data, reading), read=data, root=root)
        except NotWrittenError:
            if last == _TRIES - 1 or _present(path) == data:
                raise
        else:
            return True
    return False


def _present(path: Path) -> bytes | None:
    """Return the bytes of the file, None where there is none yet. Raises ReadingsError."""
    if not path.exists() and not path.is_symlink():
        return None
    try:
        return read_regular_file(path, MAX_BYTES)
    except TomlError as error:
        raise ReadingsError(str(error)) from None
