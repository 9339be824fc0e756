"""The family of a beer nobody names: by ranges stated for its style, or by the beer itself."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from recipe_tools.recipe import Style
from recipe_tools.reference.style_table import FamilyMatch, StyleEntry, style_entries
from recipe_tools.reference.wording import LONGEST_NAME

_STEPS = (0.01, 10.0, 8.0)
_FARTHEST_RANGES = 1.5


def by_file_ranges(style: Style) -> FamilyMatch | None:
    """Return the family of the style whose ranges are nearest to those of the file.

    At least two of gravity, bitterness and colour must be stated with both ends.
    """
    wanted = [_both(ends) for ends in (style.og, style.ibu, style.colour_ebc)]
    if sum(ends is not None for ends in wanted) < 2:
        return None
    best, least = None, _FARTHEST_RANGES
    for entry in style_entries():
        if entry.family == "base_style":
            continue
        away = _apart(wanted, (entry.og, entry.ibu, entry.ebc))
        if away < least:
            best, least = entry, away
    if best is None:
        return None
    return FamilyMatch(best.family, "", style.name[:LONGEST_NAME], "file-ranges")


def _both(ends: tuple[float | None, float | None]) -> tuple[float, float] | None:
    low, high = ends
    return None if low is None or high is None else (low, high)


def _apart(
    wanted: Sequence[tuple[float, float] | None], known: Sequence[tuple[float, float] | None]
) -> float:
    """Return the mean distance of range ends, in steps of 0.01 gravity, 10 IBU and 8 EBC."""
    total, count = 0.0, 0
    for one, other, step in zip(wanted, known, _STEPS, strict=True):
        if one is None:
            continue
        if other is None:
            return _FARTHEST_RANGES
        total += (abs(one[0] - other[0]) + abs(one[1] - other[1])) / step
        count += 2
    return total / count


@lru_cache(maxsize=1024)
def by_numbers(og: float | None, ibu: float | None, colour_ebc: float | None) -> FamilyMatch | None:
    if sum(value is not None for value in (og, ibu, colour_ebc)) < 2:
        return None
    entry = _nearest(og, ibu, colour_ebc)
    if entry is None:
        return None
    return FamilyMatch(entry.family, "", "", "numbers")


def _nearest(og: float | None, ibu: float | None, ebc: float | None) -> StyleEntry | None:
    """Return the style that holds all given values and has them nearest to its middle."""
    best, least = None, 0.0
    for entry in style_entries():
        if entry.family in ("base_style", "sour"):
            continue
        away = 0.0
        for value, ends in ((og, entry.og), (ibu, entry.ibu), (ebc, entry.ebc)):
            if value is None:
                continue
            if ends is None or not ends[0] <= value <= ends[1]:
                break
            half = (ends[1] - ends[0]) / 2.0 or 1.0
            away += ((value - ends[0] - half) / half) ** 2
        else:
            if best is None or away < least:
                best, least = entry, away
    return best
