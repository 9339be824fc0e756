"""Which files a run looks at, in a fixed order, and the names under which reports show them."""

# Plain strings throughout: a walk over an archive would spend most of its time on path objects.
# ruff: noqa: PTH112, PTH117, PTH118, PTH122, PTH123
from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from recipe_tools.formats import detect

SUFFIXES = frozenset({".xml", ".beerxml", ".json", ".beerjson"})
"""Files that are read wherever they are met; others only if they start like a recipe."""

SNIFFED = 16 * 1024
"""Bytes looked at in files of other names."""

_RECIPE_START = re.compile(rb'<RECIPES?[\s>]|"beerjson"\s*:')


class Target(NamedTuple):
    """One file to check.

    shown: as reports name it. named: given by the user, not met in a folder. root: the folder the
    file must not lead out of.
    """

    path: Path
    shown: str
    named: bool
    root: Path


class Folder(NamedTuple):
    """A folder the user gave, and how many files worth reading were met in it."""

    path: Path
    shown: str
    met: int


class Discovery(NamedTuple):
    """What was found: files without duplicates, sorted by shown path, and folders as given.

    unreadable: folders that cannot be listed.
    """

    targets: tuple[Target, ...]
    folders: tuple[Folder, ...]
    unreadable: tuple[Target, ...] = ()


def discover(paths: Sequence[str], current: Path) -> Discovery:
    """Find the files behind the given paths. current: the folder relative paths start from.

    Folders are walked in the order of names, without hidden ones and without following links to
    folders. A path that does not exist becomes a target; reading it will say what is wrong.
    """
    targets: dict[str, Target] = {}
    folders = []
    unreadable: dict[str, Target] = {}
    for given in paths:
        place = os.path.normpath(os.path.join(current, given))
        absolute = os.path.isabs(given)
        if not os.path.isdir(place):
            name = shown(place, current, absolute=absolute)
            targets[place] = Target(Path(place), name, True, Path(place).parent)
            continue
        met = 0
        for found, listed in _walk(place):
            name = shown(found, current, absolute=absolute)
            target = Target(Path(found), name, False, Path(place))
            if not listed:
                unreadable.setdefault(found, target)
                continue
            met += 1
            targets.setdefault(found, target)
        folders.append(Folder(Path(place), shown(place, current, absolute=absolute), met))
    return Discovery(
        tuple(sorted(targets.values(), key=lambda target: target.shown)),
        tuple(folders),
        tuple(sorted(unreadable.values(), key=lambda target: target.shown)),
    )


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
        relative = path if absolute else os.path.relpath(path, current)
    if os.sep != "/":
        relative = relative.replace(os.sep, "/")
    return os.fsencode(relative).decode("utf-8", "backslashreplace")


def _walk(folder: str) -> Iterator[tuple[str, bool]]:
    """Yield (path, True) for files worth reading and (path, False) for folders not to be listed."""
    pending = [folder]
    while pending:
        place = pending.pop()
        try:
            with os.scandir(place) as entries:
                members = sorted(entries, key=lambda entry: entry.name)
        except OSError:
            yield place, False
            continue
        inner = []
        for entry in members:
            if entry.name.startswith("."):
                continue
            if entry.is_dir(follow_symlinks=False):
                inner.append(entry.path)
            elif _worth_reading(entry):
                yield entry.path, True
        pending.extend(reversed(inner))


def _worth_reading(entry: os.DirEntry[str]) -> bool:
    try:
        mode = entry.stat().st_mode
    except OSError:  # a broken link: reported if it is named like a recipe
        return named_like_a_recipe(entry.name)
    if stat.S_ISDIR(mode):
        return False
    if not stat.S_ISREG(mode):
        return True
    if named_like_a_recipe(entry.name):
        return True
    return not entry.is_symlink() and file_starts_like_a_recipe(entry.path)


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
    """Tell whether the first bytes of a file are those of a recipe."""
    return detect(start) is not None and _RECIPE_START.search(start.replace(b"\0", b"")) is not None


def only(targets: Iterable[Target], wanted: frozenset[str]) -> tuple[Target, ...]:
    """Return the targets whose absolute path is among the wanted ones."""
    return tuple(target for target in targets if str(target.path) in wanted)
