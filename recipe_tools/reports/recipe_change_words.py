"""What has changed in a recipe, in words that all reports share."""

from __future__ import annotations

from collections.abc import Collection

from recipe_tools.archive.recipe_changes import MASH_PH, Moved, RecipeChange
from recipe_tools.judgement.mash import WINDOW_PH

ARROW = "->"


def ph_words(item: RecipeChange) -> str:
    """Return the mash pH before and after, with a window of its own; empty where there is none."""
    moved = item.ph_moved
    if moved is None:
        return ""
    state = item.after or item.before
    window = state.ph.get("window") if state is not None and state.ph is not None else None
    own = window is not None and tuple(window) != WINDOW_PH
    edges = f" (window {window[0]:g} to {window[1]:g})" if own and window else ""
    return f"mash pH {_two(moved, 2)}{edges}"


def ion_words(item: RecipeChange, limit: int | None = None) -> str:
    """Return the ions that moved most, with their levels before and after; empty for none."""
    if not item.moved:
        return ""
    parts = [f"{moved.what} {_two(moved, 0)}" for moved in item.moved[:limit]]
    return f"{', '.join(parts)} mg/L"


def out_words(item: RecipeChange, known: Collection[str] = ()) -> list[str]:
    """Return what is newly out, but for the mash pH, which has its own words.

    known: what was said of all before.
    """
    return [out.said for out in item.out if out.what not in (MASH_PH, *known)]


def _two(moved: Moved, digits: int) -> str:
    values = [
        "unknown" if value is None else f"{value:.{digits}f}"
        for value in (moved.before, moved.after)
    ]
    return values[0] if values[0] == values[1] else f" {ARROW} ".join(values)
