"""Which files are worth reading, and the names under which reports show them."""

# Plain strings throughout: a walk over an archive would spend most of its time on path objects.
# ruff: noqa: PTH118, PTH122, PTH123
from __future__ import annotations

import functools
import os
import re
from pathlib import Path

from recipe_tools.formats import detect
from recipe_tools.path_names import relative_to

SUFFIXES = frozenset({".xml", ".beerxml", ".json", ".beerjson"})
"""Files that are read wherever they are met; others only if they start like a recipe."""

SNIFFED = 16 * 1024
"""Bytes looked at in files of other names."""


@functools.cache
def _start() -> re.Pattern[bytes]:
    from recipe_tools.formats.fields import ROOTS

    roots = "|".join(("RECIPE", *sorted(ROOTS)))
    return re.compile(rf'<({roots})[\s>]|"beerjson"\s*:'.encode())


def shown(path: str, current: Path, *, absolute: bool) -> str:
    """Return the name of a file in reports, one that opens it: forward slashes.

    Relative to the current folder where it lies below, else as it was given. absolute: so was the
    file given, or the folder it was met in. Bytes of a name that are not UTF-8 appear as escapes.
    """
    below = os.path.join(str(current), "")
    if path == str(current):
        relative = "."
    elif path.startswith(below):
        relative = path[len(below) :]
    else:
        relative = path if absolute else relative_to(path, current)
    if os.sep != "/":
        relative = relative.replace(os.sep, "/")
    return os.fsencode(relative).decode("utf-8", "backslashreplace")


def named_like_a_recipe(name: str) -> bool:
    """Tell by its suffix whether a file is read wherever it is met."""
    return os.path.splitext(name)[1].lower() in SUFFIXES


def file_starts_like_a_recipe(path: str) -> bool:
    """Tell whether a file of any name starts like a recipe; False where it cannot be read."""
    try:
        with open(path, "rb") as file:
            return starts_like_a_recipe(file.read(SNIFFED))
    except OSError:
        return False


def starts_like_a_recipe(start: bytes) -> bool:
    """Tell whether the first bytes of a file are those of BeerXML or BeerJSON."""
    return detect(start) is not None and _start().search(start.replace(b"\0", b"")) is not None
