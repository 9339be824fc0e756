"""The files of an archive one after the other: folders and zip archives, in the order of paths.

Nothing is gathered up: however many files there are, at most the names of one folder and of those
above it are in memory at a time.
"""

# Plain strings throughout: a walk over an archive would spend most of its time on path objects.
# ruff: noqa: PTH112, PTH116, PTH117, PTH118, PTH120, PTH122
from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from recipe_tools.archive.discovery import (
    SNIFFED,
    Folder,
    Target,
    file_starts_like_a_recipe,
    named_like_a_recipe,
    shown,
    starts_like_a_recipe,
)
from recipe_tools.archive.ignore_rules import IGNORE_FILE, MAX_BYTES, IgnoreRules, ignored, parse
from recipe_tools.archive.zip_archive import (
    DEFAULT_ZIP_LIMITS,
    NESTED,
    Listed,
    ZipError,
    ZipLimits,
    ZipReader,
    looks_like_zip,
)
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.findings import Finding, find

_FOLDER, _SPECIAL = "/", "\0"
"""Marks behind a name: a folder; what is neither file nor folder, such as a link or a pipe."""


@dataclass(frozen=True, slots=True)
class Found:
    """Something that has to be accounted for by a line of its own.

    shown: as reports name it. path: on disk; for a member of a zip archive that of the archive.
    root: folder the file must not lead out of. given: the path of the user it was found below, as
    shown. inside: name within a zip archive, else empty; then content holds its bytes. refused: why
    it is not to be read. named: the user named this file.
    """

    shown: str
    path: str
    root: str
    given: str = ""
    inside: str = ""
    content: bytes = b""
    refused: Finding | None = None
    named: bool = False


class ArchiveWalk:
    """Goes through the given folders, zip archives and files.

    other: number of files passed over because they are of another kind. ignored: number of files
    and folders left out by patterns.
    """

    def __init__(
        self,
        paths: Sequence[str],
        current: Path,
        *,
        exclude: IgnoreRules = IgnoreRules(),  # noqa: B008  (frozen)
        max_bytes: int,
        zip_limits: ZipLimits = DEFAULT_ZIP_LIMITS,
    ) -> None:
        self.other = 0
        self.ignored = 0
        self._current = current
        self._exclude = exclude
        self._max_bytes = max_bytes
        self._zip_limits = zip_limits
        self._places = _without_those_within(paths, current)

    def again(self) -> ArchiveWalk:
        """Return a walk over the same places from the start."""
        return ArchiveWalk(
            [place.shown for place in self._places],
            self._current,
            exclude=self._exclude,
            max_bytes=self._max_bytes,
            zip_limits=self._zip_limits,
        )

    def folders(self) -> tuple[Folder, ...]:
        """Return the given folders and zip archives."""
        return tuple(
            Folder(Path(place.path), place.shown, 0)
            for place in self._places
            if place.is_folder or looks_like_zip(place.path)
        )

    def named(self) -> tuple[Target, ...]:
        """Return the given files that are neither folders nor zip archives."""
        return tuple(
            Target(Path(place.path), place.shown, True, Path(place.path).parent)
            for place in self._places
            if not place.is_folder and not looks_like_zip(place.path)
        )

    def found(self, *, contents: bool = True) -> Iterator[Found]:
        """Yield what is found, in the order of the given paths and of the names below them.

        contents: False leaves the members of zip archives unread, to count only.
        """
        for place, name, is_folder in self._places:
            if is_folder:
                yield from self._below(place, name, contents)
            elif looks_like_zip(place):
                outer = Found(name, place, os.path.dirname(place), name)
                yield from self._zip(outer, "", contents)
            else:
                yield Found(name, place, os.path.dirname(place), name, named=True)

    def _below(self, root: str, name: str, contents: bool) -> Iterator[Found]:
        prefix = "" if name == "." else f"{name.rstrip('/')}/"
        # Each entry: folder on disk, its path from the root, names left, rules down to here.
        stack = [self._opened(root, root, "", ())]
        if stack[0] is None:
            yield _unlisted(name, root, root, name)
            return
        while stack:
            level = stack[-1]
            assert level is not None
            if level.fault is not None:
                place = f"{level.folder}/{IGNORE_FILE}"
                yield Found(
                    prefix + level.shown + IGNORE_FILE, place, root, name, refused=level.fault
                )
                level.fault = None
            marked = next(level.names, None)
            if marked is None:
                stack.pop()
                continue
            entry = marked.rstrip("/\0")
            path, relative = f"{level.folder}/{entry}", level.relative + entry
            is_folder = marked.endswith(_FOLDER)
            if self._is_ignored(level.rules, relative, folder=is_folder):
                self.ignored += 1
            elif is_folder:
                inner = self._opened(root, path, f"{relative}/", level.rules)
                if inner is None:
                    yield _unlisted(prefix + _printable(relative), path, root, name)
                else:
                    stack.append(inner)
            elif marked.endswith(_SPECIAL):
                if _special_worth_naming(path):
                    yield Found(prefix + _printable(relative), path, root, name)
                else:
                    self.other += 1
            elif named_like_a_recipe(entry):
                yield Found(prefix + _printable(relative), path, root, name)
            elif looks_like_zip(path):
                outer = Found(prefix + _printable(relative), path, root, name)
                yield from self._zip(outer, f"{relative}/", contents)
            elif file_starts_like_a_recipe(path):
                yield Found(prefix + _printable(relative), path, root, name)
            else:
                self.other += 1

    def _is_ignored(self, rules: tuple[IgnoreRules, ...], path: str, *, folder: bool) -> bool:
        if not rules and not self._exclude.patterns:
            return False
        return ignored((*rules, self._exclude), path, folder=folder)

    def _opened(
        self, root: str, folder: str, relative: str, rules: tuple[IgnoreRules, ...]
    ) -> _Level | None:
        """Return a folder ready to be walked, None where it cannot be listed."""
        names = []
        has_rules = False
        try:
            with os.scandir(folder) as entries:
                for entry in entries:
                    if entry.name.startswith("."):
                        has_rules = has_rules or entry.name == IGNORE_FILE
                    elif entry.is_dir(follow_symlinks=False):
                        names.append(entry.name + _FOLDER)
                    elif entry.is_file(follow_symlinks=False):
                        names.append(entry.name)
                    else:
                        names.append(entry.name + _SPECIAL)
        except OSError:
            return None
        # With the slash behind a folder's name, this is the order of the whole paths.
        names.sort(key=_printable)
        fault = None
        if has_rules:
            own = _rules_of(Path(folder, IGNORE_FILE), relative, Path(root))
            if isinstance(own, Finding):
                fault = own
            else:
                rules = (*rules, own)
        return _Level(folder, relative, _printable(relative), iter(names), rules, fault)

    def _zip(self, outer: Found, relative: str, contents: bool) -> Iterator[Found]:
        try:
            with ZipReader(Path(outer.path), self._zip_limits) as reader:
                for listed in reader.members():
                    yield from self._member(reader, listed, outer, relative, contents)
        except ZipError as error:
            yield Found(outer.shown, outer.path, outer.root, outer.given, refused=error.finding)

    def _member(
        self, reader: ZipReader, listed: Listed, outer: Found, relative: str, contents: bool
    ) -> Iterator[Found]:
        entry = listed.name
        if any(part.startswith(".") or part == "__MACOSX" for part in entry.split("/")[:-1]):
            self.other += 1
            return
        if self._exclude.patterns and self._member_is_ignored(relative + entry):
            self.ignored += 1
            return
        last = entry.rpartition("/")[2]
        suspect = os.path.splitext(last)[1].lower() in NESTED
        wanted = suspect or named_like_a_recipe(last)
        if last.startswith(".") or not (
            wanted or starts_like_a_recipe(reader.start(listed, SNIFFED))
        ):
            self.other += 1
            return
        content = reader.read(listed, self._max_bytes) if contents else b""
        refused = content if isinstance(content, Finding) else None
        yield Found(
            f"{outer.shown}/{_printable(entry)}",
            outer.path,
            outer.root,
            outer.given,
            inside=entry,
            content=b"" if isinstance(content, Finding) else content,
            refused=refused,
        )

    def _member_is_ignored(self, path: str) -> bool:
        folders = [at for at, letter in enumerate(path) if letter == "/"]
        return any(
            ignored((self._exclude,), path[:end], folder=True) for end in folders
        ) or ignored((self._exclude,), path, folder=False)


@dataclass(slots=True)
class _Level:
    """A folder that is being walked."""

    folder: str
    relative: str
    shown: str
    names: Iterator[str]
    rules: tuple[IgnoreRules, ...]
    fault: Finding | None = None


class _Place(NamedTuple):
    """A path as it was given. path: absolute."""

    path: str
    shown: str
    is_folder: bool


def _without_those_within(paths: Sequence[str], current: Path) -> list[_Place]:
    """Return the given paths in their order, without those in another one."""
    names: dict[str, str] = {}
    for given in paths:
        path = os.path.normpath(os.path.join(current, given))
        name = shown(path, current, absolute=os.path.isabs(given))
        names.setdefault(path.replace(os.sep, "/"), name)
    folders = [path for path in names if os.path.isdir(path)]
    return [
        _Place(path, names[path], path in folders)
        for path in sorted(names)
        if not any(path != folder and path.startswith(f"{folder}/") for folder in folders)
    ]


def _rules_of(path: Path, base: str, root: Path) -> IgnoreRules | Finding:
    # Read as a recipe is: no link out of the archive, no pipe that would have to be waited for.
    data = bytes_of(path, MAX_BYTES, root)
    if isinstance(data, Finding):
        if data.rule != "file/too-large":
            return data
        return find(
            "file/too-large",
            "The file of patterns is larger than {value} bytes; no pattern in it was applied.",
            value=MAX_BYTES,
        )
    return parse(data.decode("utf-8", "replace"), base)


def _unlisted(name: str, path: str, root: str, given: str) -> Found:
    refused = find("file/not-opened", "The folder cannot be listed.", value="folder")
    return Found(name, path, root, given, refused=refused)


def _special_worth_naming(path: str) -> bool:
    """Tell whether a link, pipe or device is reported; a link to a folder or a photo is not."""
    named = named_like_a_recipe(path)
    try:
        mode = os.stat(path).st_mode
    except OSError:  # a broken link
        return named
    if stat.S_ISDIR(mode):
        return False
    return named or not stat.S_ISREG(mode)


def _printable(name: str) -> str:
    """Return a name as reports show it: bytes that are not UTF-8 as escapes."""
    if name.isascii():
        return name
    return os.fsencode(name).decode("utf-8", "backslashreplace")
