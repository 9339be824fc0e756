"""The files behind the given paths, one after the other, in the order of paths.

Nothing is gathered up: however many files there are, at most the names of one folder and of those
above it are in memory at a time. `discover` gathers them for those who need all of them at once.
"""

# Plain strings throughout: a walk over an archive would spend most of its time on path objects.
# ruff: noqa: PTH112, PTH116, PTH117, PTH118, PTH120, PTH122
from __future__ import annotations

import os
import stat
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from recipe_tools.archive.discovery import (
    SNIFFED,
    file_starts_like_a_recipe,
    named_like_a_recipe,
    shown,
    starts_like_a_recipe,
)
from recipe_tools.archive.ignore_rules import IGNORE_FILE, MAX_BYTES, IgnoreRules, ignored, parse
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.findings import Finding, find
from recipe_tools.limits import DEFAULT_LIMITS

if TYPE_CHECKING:
    from recipe_tools.archive.zip_archive import Listed, ZipLimits, ZipReader

_FOLDER, _SPECIAL = "/", "\0"
"""Marks behind a name: a folder; what is neither file nor folder, such as a link or a pipe."""

_JUNCTION_TAG = 0xA0000003
"""IO_REPARSE_TAG_MOUNT_POINT; `stat` has it on Windows only."""


class Found(NamedTuple):
    """Something that has to be accounted for by a line of its own.

    shown: as reports name it. path: on disk; for a member of a zip archive that of the archive.
    root: folder the file must not lead out of. given: absolute path that the user gave and it was
    found below, the innermost one. inside: name within a zip archive, else empty. content: its
    bytes where they are at hand. refused: why it is not to be read. named: the user named it.
    """

    shown: str
    path: str
    root: str
    given: str = ""
    inside: str = ""
    content: bytes | None = None
    refused: Finding | None = None
    named: bool = False


class Folder(NamedTuple):
    """A folder, or a zip archive that is gone through, as the user gave it.

    other: files of another kind that were passed over in it so far, without reading.
    """

    path: Path
    shown: str
    other: int = 0


class Discovery(NamedTuple):
    """What was found: files sorted by shown path, and folders as given."""

    files: tuple[Found, ...]
    folders: tuple[Folder, ...] = ()


def discover(paths: Sequence[str], current: Path) -> Discovery:
    """Find the files behind the given paths. current: the folder relative paths start from.

    Folders are walked without hidden ones and without following links to folders; zip archives are
    files like others, and no patterns count. A path that does not exist becomes a file; reading it
    will say what is wrong.
    """
    walk = Walk(paths, current)
    files = tuple(sorted(walk.found(), key=lambda file: file.shown))
    return Discovery(files, walk.folders())


def without_any(folders: Iterable[Folder], given: Collection[str]) -> Iterator[Folder]:
    """Yield the given folders in which nothing was read. given: see `Found`, of what was read."""
    for folder in folders:
        inside = f"{folder.path.as_posix().rstrip('/')}/"
        if not any(f"{path}/".startswith(inside) for path in given):
            yield folder


class Walk:
    """Goes through the given folders and files.

    exclude: patterns of what to leave out, beside those of ignore files; None: neither counts.
    zip_limits: for zip archives, which are gone through as folders are; None: they are files.
    max_bytes: of a file in a zip archive. ignored: number of files and folders left out by
    patterns.
    """

    def __init__(
        self,
        paths: Sequence[str],
        current: Path,
        *,
        exclude: IgnoreRules | None = None,
        zip_limits: ZipLimits | None = None,
        max_bytes: int = DEFAULT_LIMITS.max_bytes,
    ) -> None:
        self.ignored = 0
        self._other: Counter[str] = Counter()
        self._given = (paths, current)
        self._current = str(current).replace(os.sep, "/")
        self._exclude = exclude
        self._max_bytes = max_bytes
        self._zip_limits = zip_limits
        self._places = _places(paths, current)
        self._met: set[str] = set()

    @property
    def other(self) -> int:
        """Number of files passed over because they are of another kind."""
        return self._other.total()

    def again(self) -> Walk:
        """Return a walk over the same places from the start."""
        return Walk(
            *self._given,
            exclude=self._exclude,
            zip_limits=self._zip_limits,
            max_bytes=self._max_bytes,
        )

    def folders(self) -> tuple[Folder, ...]:
        """Return the given folders and zip archives."""
        return tuple(
            Folder(Path(path), place.shown, self._other[path])
            for path, place in self._places.items()
            if place.is_folder or self._is_zip(path)
        )

    def named(self) -> tuple[Found, ...]:
        """Return the given files."""
        return tuple(
            _named(path, place.shown)
            for path, place in self._places.items()
            if not place.is_folder and not self._is_zip(path)
        )

    def _is_zip(self, path: str) -> bool:
        if self._zip_limits is None:
            return False
        from recipe_tools.archive.zip_archive import looks_like_zip

        return looks_like_zip(path)

    def found(self, *, contents: bool = True) -> Iterator[Found]:
        """Yield what is found, in the order of the given paths and of the names below them.

        contents: False leaves the members of zip archives unread, to count only.
        """
        for path, place in self._places.items():
            if path in self._met:
                continue
            if place.is_folder:
                yield from self._below(path, place.shown, contents)
            elif self._is_zip(path):
                outer = Found(place.shown, path, os.path.dirname(path), path)
                yield from self._zip(outer, "", contents)
            else:
                yield _named(path, place.shown)

    def _below(self, root: str, name: str, contents: bool) -> Iterator[Found]:
        stack = [self._opened(Found(name, root, root, root), "", ())]
        if stack[0] is None:
            yield _not_opened(Found(name, root, root, root))
            return
        while stack:
            level = stack[-1]
            assert level is not None
            if level.fault is not None:
                name = level.shown + IGNORE_FILE
                yield Found(name, level.path + IGNORE_FILE, root, level.given, refused=level.fault)
                level.fault = None
            marked = next(level.names, None)
            if marked is None:
                stack.pop()
                continue
            entry = marked.rstrip("/\0")
            path, relative = level.path + entry, level.relative + entry
            is_folder, is_given = marked.endswith(_FOLDER), path in self._places
            given = path if is_given else level.given
            found = Found(level.shown + _printable(entry), path, root, given)
            if is_given and (is_folder or not self._places[path].is_folder):
                self._met.add(path)
            elif self._is_ignored(level.rules, relative, folder=is_folder):
                self.ignored += 1
                continue
            if is_folder:
                inner = self._opened(found, f"{relative}/", level.rules)
                if inner is None:
                    yield _not_opened(found)
                else:
                    stack.append(inner)
            elif marked.endswith(_SPECIAL) and path not in self._met:
                if _special_worth_naming(path):
                    yield found
                else:
                    self._other[level.given] += 1
            elif self._is_zip(path):
                yield from self._zip(found, f"{relative}/", contents)
            elif path in self._met:
                yield _named(path, self._places[path].shown)
            elif named_like_a_recipe(entry) or file_starts_like_a_recipe(path):
                yield found
            else:
                self._other[level.given] += 1

    def _is_ignored(self, rules: tuple[IgnoreRules, ...], path: str, *, folder: bool) -> bool:
        if self._exclude is None or not (rules or self._exclude.patterns):
            return False
        return ignored((*rules, self._exclude), path, folder=folder)

    def _opened(self, found: Found, relative: str, rules: tuple[IgnoreRules, ...]) -> _Level | None:
        """Return a folder ready to be walked, None where it cannot be listed."""
        folder = found.path
        names = []
        has_rules = False
        try:
            with os.scandir(folder) as entries:
                for entry in entries:
                    if entry.name.startswith("."):
                        has_rules = has_rules or entry.name == IGNORE_FILE
                    elif entry.is_dir(follow_symlinks=False) and not _is_junction(entry):
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
        if has_rules and self._exclude is not None:
            own = _rules_of(Path(folder, IGNORE_FILE), relative, Path(found.root))
            if isinstance(own, Finding):
                fault = own
            else:
                rules = (*rules, own)
        # What lies below the current folder is named from there, however it was come to.
        shown = "" if folder == self._current else f"{found.shown.rstrip('/')}/"
        path = f"{folder.rstrip('/')}/"
        return _Level(path, relative, shown, found.given, iter(names), rules, fault)

    def _zip(self, outer: Found, relative: str, contents: bool) -> Iterator[Found]:
        from recipe_tools.archive.zip_archive import DEFAULT_ZIP_LIMITS, ZipError, ZipReader

        try:
            with ZipReader(Path(outer.path), self._zip_limits or DEFAULT_ZIP_LIMITS) as reader:
                for listed in reader.members():
                    yield from self._member(reader, listed, outer, relative, contents)
        except ZipError as error:
            yield outer._replace(refused=error.finding)

    def _member(
        self, reader: ZipReader, listed: Listed, outer: Found, relative: str, contents: bool
    ) -> Iterator[Found]:
        from recipe_tools.archive.zip_archive import NESTED

        entry = listed.name
        if any(part.startswith(".") or part == "__MACOSX" for part in entry.split("/")[:-1]):
            self._other[outer.given] += 1
            return
        if self._member_is_ignored(relative + entry):
            self.ignored += 1
            return
        last = entry.rpartition("/")[2]
        suspect = os.path.splitext(last)[1].lower() in NESTED
        wanted = suspect or named_like_a_recipe(last)
        if last.startswith(".") or not (
            wanted or starts_like_a_recipe(reader.start(listed, SNIFFED))
        ):
            self._other[outer.given] += 1
            return
        content = reader.read(listed, self._max_bytes) if contents else b""
        member = outer._replace(shown=f"{outer.shown}/{_printable(entry)}", inside=entry)
        if isinstance(content, Finding):
            yield member._replace(refused=content)
        else:
            yield member._replace(content=content)

    def _member_is_ignored(self, path: str) -> bool:
        folders = [at for at, letter in enumerate(path) if letter == "/"]
        return any(self._is_ignored((), path[:end], folder=True) for end in folders) or (
            self._is_ignored((), path, folder=False)
        )


@dataclass(slots=True)
class _Level:
    """A folder that is being walked. path, relative to the root, shown: each ends in a slash."""

    path: str
    relative: str
    shown: str
    given: str
    names: Iterator[str]
    rules: tuple[IgnoreRules, ...]
    fault: Finding | None = None


class _Place(NamedTuple):
    """A path as it was given."""

    shown: str
    is_folder: bool


def _places(paths: Sequence[str], current: Path) -> dict[str, _Place]:
    """Return the given paths by absolute path, in the order of those."""
    places: dict[str, _Place] = {}
    for given in paths:
        path = os.path.normpath(os.path.join(current, given))
        name = shown(path, current, absolute=os.path.isabs(given))
        places.setdefault(path.replace(os.sep, "/"), _Place(name, os.path.isdir(path)))
    return dict(sorted(places.items()))


def _named(path: str, name: str) -> Found:
    return Found(name, path, os.path.dirname(path), path, named=True)


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


def _not_opened(folder: Found) -> Found:
    refused = find("file/not-opened", "The folder cannot be listed.", value="folder")
    return folder._replace(refused=refused)


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


def _is_junction(entry: os.DirEntry[str]) -> bool:
    """Tell whether a folder is a link to another in the manner of Windows, which has its own."""
    if os.name != "nt":
        return False
    tag = getattr(entry.stat(follow_symlinks=False), "st_reparse_tag", 0)
    return tag == _JUNCTION_TAG


def _printable(name: str) -> str:
    """Return a name as reports show it: bytes that are not UTF-8 as escapes."""
    if name.isascii():
        return name
    return os.fsencode(name).decode("utf-8", "backslashreplace")
