"""What has to hold of a mended file before it is written."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any, Final

from recipe_tools.annotate.annotating import without_blocks
from recipe_tools.checking import check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.editing.document import EditError
from recipe_tools.findings import Confidence
from recipe_tools.formats.beerjson_quantities import amount_unit
from recipe_tools.formats.result import ReadResult
from recipe_tools.recipe import FormatName, Origin

_ABOUT_THE_FILE: Final = ("file/", "standard/")
_PASSED_OVER: Final = frozenset({"origin", "left_out", "is_weight"})
"""Places, and the flag that only says whether the amount beside it is a mass or a volume."""
_FLAG: Final = "_IS_WEIGHT"
_NEARLY: Final = 1e-9


def reads_equal(old: ReadResult, new: ReadResult, meant: Collection[str]) -> bool:
    """Tell whether two states of a file hold the same recipes, wherever they stand in it.

    meant: symbolic paths whose values may differ.
    """
    touched = {*meant, *(path.removesuffix(_FLAG) for path in meant)}
    return (
        old.status == new.status
        and old.format == new.format
        and set(new.repaired) <= set(old.repaired)
        and _same(old.recipes, new.recipes, touched)
        and _same(old.waters, new.waters, touched)
    )


def _same(old: Any, new: Any, meant: Collection[str]) -> bool:
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=_NEARLY, abs_tol=1e-12)
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        return old.keys() == new.keys() and all(_same(old[key], new[key], meant) for key in old)
    if isinstance(old, tuple) and isinstance(new, tuple):
        if len(old) != len(new):
            return False
        names: Sequence[str] = getattr(new, "_fields", ())
        origin = getattr(new, "origin", None)
        for place, (before, after) in enumerate(zip(old, new, strict=True)):
            name = names[place] if names else ""
            if name in _PASSED_OVER or (name and _is_meant(origin, name, meant)):
                continue
            if name == "unit":
                before, after = amount_unit(before)[1] or before, amount_unit(after)[1] or after
            elif name == "ions_mg_l":
                before, after = (_unmeant(ions, origin, meant) for ions in (before, after))
            if not _same(before, after, meant):
                return False
        return True
    return bool(old == new)


def _unmeant(ions: Mapping[str, float], origin: Any, meant: Collection[str]) -> dict[str, float]:
    return {name: value for name, value in ions.items() if not _is_meant(origin, name, meant)}


def _is_meant(origin: Any, name: str, meant: Collection[str]) -> bool:
    if not meant or not isinstance(origin, Origin) or name not in origin.members:
        return False
    at = origin.at(name)
    tag = at.rpartition("/")[2]
    return any(path in (at, tag) or path.startswith(f"{at}/") for path in meant)


def new_findings(
    old: bytes, new: bytes, path: str, options: Options, *, meant: bool
) -> tuple[str, ...]:
    """Return the rules that find more in the new state of a file than in the old one.

    meant: numbers were meant to change, so that only what is found of the file as such counts.
    """
    before, after = (_weights(data, path, options) for data in (old, new))
    more = (rule for rule, count in after.items() if count > before[rule])
    return tuple(rule for rule in more if not meant or rule.startswith(_ABOUT_THE_FILE))


def _weights(data: bytes, path: str, options: Options) -> Counter[str]:
    request = FileRequest(confidence=Confidence.POSSIBLE)
    weights: Counter[str] = Counter()
    for item in check_bytes(data, path, options, request).findings:
        count = item.values.get("count", 1) if item.rule.startswith(_ABOUT_THE_FILE) else 1
        weights[item.rule] += count if isinstance(count, int) else 1
    return weights


def blocks_restore(
    old: bytes,
    new: bytes,
    format_name: FormatName,
    before: ReadResult,
    after: ReadResult,
    mend: Callable[[bytes], bytes],
) -> bool:
    """Tell whether taking the blocks of `annotate` out gives what mending without them gives."""
    try:
        bare = without_blocks(old, format_name, before.recipes)
    except EditError:
        return True  # it could not be taken out before either
    if bare == old:
        return True
    try:
        return without_blocks(new, format_name, after.recipes) == mend(bare)
    except EditError:
        return False
