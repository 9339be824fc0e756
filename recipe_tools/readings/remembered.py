"""What a file of readings teaches, remembered by its content: reading two hundred takes a while.

Never trusted and never needed: what cannot be read is worked out anew.
"""

from __future__ import annotations

import json
import os
import tempfile
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any

from recipe_tools.readings import Readings
from recipe_tools.readings.file import MAX_BYTES, ReadingsError, parse_readings
from recipe_tools.readings.learning import Belief, Comparison, Learnt
from recipe_tools.readings.records import Expected, KeptReading
from recipe_tools.toml_in import TomlError, read_regular_file

WORTH_BYTES = 16 * 1024
"""Files below it are read as fast as they are found (derived_default)."""
_PREFIX = "readings-"
_KEPT = 8


def read_remembered(path: Path, folder: Path | None) -> Readings:
    """Return the readings of a file. folder: where it is remembered, None: nowhere.

    Raises ReadingsError.
    """
    try:
        data = read_regular_file(path, MAX_BYTES)
    except TomlError as error:
        raise ReadingsError(str(error)) from None
    digest = sha256(data).hexdigest()
    if folder is None or len(data) < WORTH_BYTES:
        return Readings(parse_readings(data), digest)
    place = folder / f"{_PREFIX}{_edition()}-{digest[:32]}.json"
    with suppress(OSError, ValueError, TypeError, KeyError, LookupError):
        return _from_json(json.loads(place.read_bytes()), digest)
    found = Readings(parse_readings(data), digest)
    with suppress(OSError):
        _remember(place, found)
    return found


def _edition() -> str:
    """Return a part of the name that changes with the program and with what it is made of."""
    own = Path(__file__).with_name("learning.py").stat()
    return f"{own.st_mtime_ns:x}"


def _remember(place: Path, readings: Readings) -> None:
    folder = place.parent
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    others = sorted(folder.glob(f"{_PREFIX}*.json"), key=lambda item: item.stat().st_mtime)
    for old in others[: max(0, len(others) - _KEPT + 1)]:
        old.unlink(missing_ok=True)
    handle, name = tempfile.mkstemp(dir=folder)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(_as_json(readings), file, separators=(",", ":"))
        Path(name).replace(place)
    finally:
        Path(name).unlink(missing_ok=True)


def _as_json(readings: Readings) -> dict[str, Any]:
    learnt = readings.learnt
    return {
        "entries": [
            [*item[:4], [*item.expected[:3], item.expected.sensitivities], *item[5:]]
            for item in readings.entries
        ],
        "belief": learnt.belief.dump(),
        "comparisons": learnt.comparisons,
    }


def _from_json(kept: dict[str, Any], digest: str) -> Readings:
    entries = [
        KeptReading._make([*item[:4], Expected(*item[4]), *item[5:7], tuple(item[7]), *item[8:]])
        for item in kept["entries"]
    ]
    comparisons = tuple(Comparison(*item) for item in kept["comparisons"])
    learnt = Learnt(Belief.load(kept["belief"]), len(entries), comparisons)
    return Readings(entries, digest, learnt)
