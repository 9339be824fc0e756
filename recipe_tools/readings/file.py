"""The file of readings: one ``[[reading]]`` each, appended by ``reading --keep``, edited by hand.

It lies below the root of the repository like a water report and is bounded; messages name line and
key, and quote nothing of it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from recipe_tools.key_names import unknown_key
from recipe_tools.readings.records import Expected, KeptReading
from recipe_tools.toml_in import TomlError, parse_toml, quoted

READINGS_NAME = "readings.toml"
MAX_BYTES = 1024 * 1024
MOST_READINGS = 2_000
MAX_TEXT = 300
LOWEST_PH, HIGHEST_PH = 4.0, 7.0
HOTTEST_CELSIUS = 80.0
EARLIEST_MINUTES = 5.0

_KEYS = ("recipe", "name", "date", "mash_ph", "celsius", "minutes", "added", "lots", "expected")
_EXPECTED_KEYS = ("predicted", "low", "high", "sensitivities")
_HEADER = re.compile(r"^[ \t]*\[\[[ \t]*reading[ \t]*\]\]", re.MULTILINE)
_FIRST_LINES = (
    "# Measured mashes, kept by `recipe-tools reading FILE --ph P --keep`.\n"
    "# `expected` is what was predicted then; leave it as it is. An entry may be deleted whole.\n"
)


class ReadingsError(Exception):
    """A file of readings that cannot be used. The message says why, without name and content."""


def parse_readings(data: bytes) -> tuple[KeptReading, ...]:
    """Return the readings of a TOML document. Raises ReadingsError."""
    try:
        table = parse_toml(data)
    except TomlError as error:
        raise ReadingsError(str(error)) from None
    for key in table:
        if key != "reading":
            raise ReadingsError(unknown_key(key, ("reading",)))
    entries = table.get("reading", [])
    if not isinstance(entries, list) or not all(isinstance(item, dict) for item in entries):
        raise ReadingsError("reading is not a list of tables; write [[reading]]")
    if len(entries) > MOST_READINGS:
        raise ReadingsError(f"holds more than {MOST_READINGS} readings, the most that are read")
    lines = _lines(data.decode("utf-8-sig"))
    found = []
    for place, entry in enumerate(entries):
        line = lines[place] if place < len(lines) else 0
        try:
            found.append(_reading(entry, line))
        except ReadingsError as error:
            where = f"line {line}" if line else f"entry {place + 1}"
            raise ReadingsError(f"{where}: {error}") from None
    return tuple(found)


def _lines(text: str) -> list[int]:
    lines: list[int] = []
    line, seen = 1, 0
    for match in _HEADER.finditer(text):
        line += text.count("\n", seen, match.start())
        seen = match.start()
        lines.append(line)
    return lines


def appended(data: bytes, reading: KeptReading) -> bytes:
    """Return the bytes of a file of readings with one more behind the others.

    What is there stays as it is, byte for byte. Raises ReadingsError where it cannot be understood
    or would grow too large; the new entry is read back before it is returned.
    """
    before = parse_readings(data) if data else ()
    line_end = b"\r\n" if b"\r\n" in data else b"\n"
    start = data or _FIRST_LINES.encode("utf-8")
    if not start.endswith(b"\n"):
        start += line_end
    entry = written(reading).encode("utf-8").replace(b"\n", line_end)
    result = start + line_end + entry
    if len(result) > MAX_BYTES:
        raise ReadingsError(f"would grow beyond {MAX_BYTES} bytes; begin a new file")
    *others, last = parse_readings(result)
    if tuple(others) != before or last._replace(line=0) != reading._replace(line=0):
        raise ReadingsError("would not read back as it was written")
    return result


def written(reading: KeptReading) -> str:
    """Return a reading as it stands in the file."""
    rows = [
        "[[reading]]",
        f"recipe = {quoted(reading.recipe)}",
        f"name = {quoted(reading.name)}",
        f"date = {reading.date}",
        f"mash_ph = {reading.mash_ph!r}",
    ]
    if reading.celsius is not None:
        rows.append(f"celsius = {reading.celsius!r}")
    if reading.minutes is not None:
        rows.append(f"minutes = {reading.minutes!r}")
    if reading.added:
        rows.append(f"added = [{', '.join(map(quoted, reading.added))}]")
    if reading.lots:
        pairs = (f"{quoted(malt)} = {quoted(lot)}" for malt, lot in reading.lots.items())
        rows.append(f"lots = {{ {', '.join(pairs)} }}")
    expected = reading.expected
    shifts = "; ".join(f"{key} {value!r}" for key, value in expected.sensitivities.items())
    rows.append(
        f"expected = {{ predicted = {expected.predicted!r}, low = {expected.low!r}, "
        f"high = {expected.high!r}, sensitivities = {quoted(shifts)} }}"
    )
    return "\n".join(rows) + "\n"


def _reading(entry: Mapping[str, Any], line: int) -> KeptReading:
    for key in entry:
        if key not in _KEYS:
            raise ReadingsError(unknown_key(key, _KEYS))
    return KeptReading(
        recipe=_text(entry, "recipe"),
        name=_text(entry, "name", empty=True),
        date=_day(entry.get("date")),
        mash_ph=_number(entry, "mash_ph", LOWEST_PH, HIGHEST_PH),
        expected=_expected(entry.get("expected")),
        celsius=_optional(entry, "celsius", -5.0, HOTTEST_CELSIUS),
        minutes=_optional(entry, "minutes", EARLIEST_MINUTES, 24.0 * 60.0),
        added=_texts(entry.get("added", [])),
        lots=_lots(entry.get("lots", {})),
        line=line,
    )


def _expected(value: Any) -> Expected:
    if not isinstance(value, dict):
        raise ReadingsError("has no expected, which says what was predicted then")
    for key in value:
        if key not in _EXPECTED_KEYS:
            raise ReadingsError(f"expected.{unknown_key(key, _EXPECTED_KEYS)}")
    predicted, low, high = (_number(value, key, 0.0, 14.0) for key in ("predicted", "low", "high"))
    if not low <= predicted <= high:
        raise ReadingsError("expected: predicted does not lie between low and high")
    return Expected(predicted, low, high, _sensitivities(value.get("sensitivities", "")))


def _sensitivities(value: Any) -> dict[str, float]:
    if not isinstance(value, str) or len(value) > 100 * MAX_TEXT:
        raise ReadingsError("expected.sensitivities is not a text of names and numbers")
    found: dict[str, float] = {}
    for part in value.split(";"):
        name, blank, number = part.strip().rpartition(" ")
        if not part.strip():
            continue
        try:
            shift = float(number)
        except ValueError:
            shift = math.nan
        if not blank or not abs(shift) <= 5.0 or name in found:
            raise ReadingsError("expected.sensitivities is not a text of names and numbers")
        found[name] = shift
    return found


def _text(entry: Mapping[str, Any], key: str, *, empty: bool = False) -> str:
    value = entry.get(key)
    if not isinstance(value, str) or len(value) > MAX_TEXT or not (value.strip() or empty):
        raise ReadingsError(f"{key} is not a text of at most {MAX_TEXT} characters")
    return value


def _texts(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or len(value) > 50:
        raise ReadingsError("added is not a list of texts")
    if not all(isinstance(item, str) and len(item) <= MAX_TEXT for item in value):
        raise ReadingsError("added is not a list of texts")
    return tuple(value)


def _lots(value: Any) -> dict[str, str]:
    if not isinstance(value, dict) or len(value) > 50:
        raise ReadingsError("lots is not a table of malts and their lots")
    for malt, lot in value.items():
        if not isinstance(lot, str) or not lot or len(malt) + len(lot) > MAX_TEXT:
            raise ReadingsError("lots is not a table of malts and their lots")
    return dict(value)


def _day(value: Any) -> str:
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date):
        return value.isoformat()
    try:
        return date.fromisoformat(value).isoformat()
    except (TypeError, ValueError):
        raise ReadingsError("date is not a day such as 2026-03-31") from None


def _optional(entry: Mapping[str, Any], key: str, low: float, high: float) -> float | None:
    return _number(entry, key, low, high) if key in entry else None


def _number(entry: Mapping[str, Any], key: str, low: float, high: float) -> float:
    value = entry.get(key)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
        raise ReadingsError(f"{key} is not a number from {low:g} to {high:g}")
    return float(value)


def same_reading(one: KeptReading, other: KeptReading) -> bool:
    """Tell whether two entries are the same reading of the same mash."""
    return (one.mash, one.minutes, one.mash_ph) == (other.mash, other.minutes, other.mash_ph)


def is_kept(reading: KeptReading, kept: Sequence[KeptReading]) -> bool:
    """Tell whether a reading is among some."""
    return any(same_reading(reading, item) for item in kept)
