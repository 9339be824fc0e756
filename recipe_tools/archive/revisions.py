"""Which files changed since a revision, as Git tells."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

_TIMEOUT_S = 120


class RevisionError(Exception):
    """Git cannot say what changed; the message says why."""


def changed_files(folder: Path, revision: str) -> frozenset[str]:
    """Return the places (see `place`) of files changed, added or untracked since a revision.

    folder: any folder of the repository. Raises RevisionError where there is no Git, no repository
    or no such revision.
    """
    root, base = _root(folder), _base(folder, revision)
    changed = _git(root, "diff", "--name-only", "--no-renames", "--no-ext-diff", "-z", base)
    changed += _git(root, "ls-files", "--others", "--exclude-standard", "-z")
    return frozenset(place(root / name) for name in changed.split("\0") if name)


class Former:
    """Files as they were when a change began: at the common ancestor of HEAD and a revision.

    Raises RevisionError as `changed_files`.
    """

    def __init__(self, folder: Path, revision: str) -> None:
        self._root, self._base = _root(folder), _base(folder, revision)
        told = _git(
            self._root, "diff", "--name-status", "--find-renames", "--no-ext-diff", "-z", self._base
        )
        self._renamed = dict(_renames(told.split("\0")))

    def name(self, path: Path) -> str | None:
        """Return the former name of a file, from the root on; None outside the repository."""
        root = Path(place(self._root / "x")).parent
        try:
            name = Path(place(path)).relative_to(root).as_posix()
        except ValueError:
            return None
        return self._renamed.get(name, name)

    def contents(self, names: Sequence[str]) -> Mapping[str, bytes]:
        """Return the former contents of files; those that were not there are left out."""
        asked = [name for name in names if "\n" not in name]
        given = "".join(f"{self._base}:{name}\n" for name in asked)
        told = _git_bytes(self._root, os.fsencode(given), "cat-file", "--batch")
        found: dict[str, bytes] = {}
        at = 0
        for name in asked:
            end = told.index(b"\n", at)
            words = told[at:end].split(b" ")
            at = end + 1
            if len(words) == 3 and words[2].isdigit():
                size = int(words[2])
                if words[1] == b"blob":
                    found[name] = told[at : at + size]
                at += size + 1
        return found


def _renames(told: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield new and former names of renamed files, as ``git diff --name-status -z`` tells."""
    items = iter(told)
    for status in items:
        if status[:1] in ("R", "C"):
            former = next(items, "")
            yield next(items, ""), former
        elif status:
            next(items, "")


def _root(folder: Path) -> Path:
    return Path(_git(folder, "rev-parse", "--show-toplevel").removesuffix("\n"))


def _base(folder: Path, revision: str) -> str:
    """Return the common ancestor of HEAD and a revision, the revision itself without one."""
    # The revision comes from outside; --end-of-options keeps it from being taken for an option.
    commit = _commit(folder, revision)
    return _git(folder, "merge-base", commit, "HEAD", wanted=False).strip() or commit


def place(path: Path) -> str:
    """Return where a file lies, whatever links and spellings its folder is come to by.

    Of a file that is itself a link, the place is that of the link, as for Git.
    """
    return os.path.normcase(os.path.join(_real(path.parent), path.name))  # noqa: PTH118


@cache
def _real(folder: Path) -> str:
    return os.path.realpath(folder)


def _commit(folder: Path, revision: str) -> str:
    """Return the commit a revision names. Raises RevisionError for one that is not there."""
    found = _git(
        folder,
        "rev-parse",
        "--verify",
        "--quiet",
        "--end-of-options",
        f"{revision}^{{commit}}",
        wanted=False,
    )
    if found:
        return found.strip()
    missing = f'There is no Git revision "{revision}" here'
    if _git(folder, "rev-parse", "--is-shallow-repository").strip() == "true":
        raise RevisionError(
            f"{missing}: this clone is shallow, so its history is cut off. Fetch the rest with "
            "`git fetch --unshallow`, or set fetch-depth: 0 where the build server checks out."
        )
    raise RevisionError(f"{missing}; name a branch, tag or commit.")


def _git(folder: Path, *arguments: str, wanted: bool = True) -> str:
    """Run Git and return what it says; an empty text where it fails and that is no fault."""
    return os.fsdecode(_git_bytes(folder, b"", *arguments, wanted=wanted))


def _git_bytes(folder: Path, given: bytes, *arguments: str, wanted: bool = True) -> bytes:
    """Run Git as `_git` does. given: what it reads."""
    command = ["git", "-c", "core.fsmonitor=false", "-c", "core.quotePath=false", *arguments]
    try:
        done = subprocess.run(
            command, cwd=folder, input=given, capture_output=True, check=False, timeout=_TIMEOUT_S
        )
    except (OSError, subprocess.TimeoutExpired):
        raise RevisionError("Git could not be run; --changed-since needs it.") from None
    if done.returncode == 0:
        return done.stdout
    if not wanted:
        return b""
    raise RevisionError("The current folder is in no Git repository; --changed-since needs one.")
