"""Globs on paths: ``*`` and ``?`` within a name, ``**`` for any number of folders.

They come with configurations and archives of strangers. Within a name this is what `fnmatch` does,
whose stars never give back what they took. ``**`` is gone through here, because one regular
expression for a whole path would take exponential time for patterns such as ``**/a/**/a/**/a``.
"""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Sequence
from functools import lru_cache

Part = re.Pattern[str] | None
"""What one name has to look like; None: any number of folders (``**``)."""


def path_matches(glob: str, path: str) -> bool:
    """Whether a path (relative, forward slashes) matches a glob.

    ``*`` and ``?`` do not cross a slash; ``**`` as a whole part stands for any number of folders,
    none included, and at the end for everything inside. A glob without a slash matches that name in
    every folder; one that ends in a slash everything below that folder. Letter case counts.
    """
    return parts_match(_parts(glob), path.removeprefix("./").split("/"))


def parts_match(parts: Sequence[Part], names: Sequence[str]) -> bool:
    """Whether the names of a path match the parts of a glob, all of them.

    ``**`` at the end stands for everything inside a folder, so for one name at least.
    """
    reached = {0}
    for place, part in enumerate(parts):
        if part is None:
            first = min(reached) + (place == len(parts) - 1)
            reached = set(range(first, len(names) + 1))
        else:
            reached = {at + 1 for at in reached if at < len(names) and part.fullmatch(names[at])}
        if not reached:
            return False
    return len(names) in reached


@lru_cache(maxsize=4096)
def _parts(glob: str) -> tuple[Part, ...]:
    pattern = glob.removeprefix("./")
    if pattern.endswith("/"):
        pattern += "**"
    elif "/" not in pattern:
        pattern = f"**/{pattern}"
    return tuple(None if part == "**" else _name(part) for part in pattern.split("/"))


def _name(part: str) -> re.Pattern[str]:
    """Return what matches as `fnmatch.fnmatchcase` does, except that a bracket is a bracket."""
    return re.compile(fnmatch.translate(part.replace("[", "[[]")))
