"""Which file an accepted finding is in now, where files were renamed or moved."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from hashlib import sha256

from recipe_tools import formats
from recipe_tools.baseline import FileMarks
from recipe_tools.limits import Limits
from recipe_tools.recipe import Recipe, SourceFile

_DIGITS = 16

_SIGNS: tuple[Callable[[FileMarks], str], ...] = (
    lambda marks: marks.content,
    lambda marks: marks.names and marks.brews and f"{marks.names} {marks.brews}",
    lambda marks: marks.names,
    lambda marks: marks.brews,
)
"""By what a file is known again, the surest sign first."""


def marks_of(path: str, content: str, recipes: Sequence[Recipe]) -> FileMarks:
    """Return what tells a file. content: digest of its bytes in hex."""
    names = sorted(recipe.name for recipe in recipes if recipe.name)
    brews = sorted(brew for brew in map(_brew, recipes) if brew)
    return FileMarks(path, content[:_DIGITS], _digest(names), _digest(brews))


def marks_of_bytes(path: str, data: bytes, limits: Limits) -> FileMarks:
    """Return what tells a file whose bytes are at hand. Never raises for what they contain."""
    content = sha256(data).hexdigest()
    return marks_of(path, content, formats.read(SourceFile(path, data), limits).recipes)


def renamed(gone: Iterable[FileMarks], new: Iterable[FileMarks]) -> Mapping[str, str]:
    """Return for files that are gone under which path each is now; each new one is taken once."""
    left, right = ({item.path: item for item in items} for items in (gone, new))
    pairs: dict[str, str] = {}
    for sign in _SIGNS:
        by_sign: dict[str, list[str]] = {}
        for path in sorted(right, reverse=True):
            by_sign.setdefault(sign(right[path]), []).append(path)
        for path in sorted(left):
            found = by_sign.get(sign(left[path])) if sign(left[path]) else None
            if found:
                pairs[path] = found.pop()
                del left[path], right[pairs[path]]
    return pairs


def _brew(recipe: Recipe) -> str:
    """Return malts and amounts per litre of beer."""
    litres = recipe.batch_l or 1.0
    malts = sorted(
        f"{' '.join(item.name.lower().split())} {item.amount_kg / litres:.3g}"
        for item in recipe.fermentables
        if item.amount_kg
    )
    return "\n".join(malts)


def _digest(parts: Sequence[str]) -> str:
    if not parts:
        return ""
    return sha256("\n\n".join(parts).encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]
