"""Which files changed since a revision, as Git tells."""

from __future__ import annotations

import os
import subprocess
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
    root = Path(_git(folder, "rev-parse", "--show-toplevel").removesuffix("\n"))
    # The revision comes from outside; --end-of-options keeps it from being taken for an option.
    commit = _commit(folder, revision)
    base = _git(folder, "merge-base", commit, "HEAD", wanted=False).strip() or commit
    changed = _git(root, "diff", "--name-only", "--no-renames", "--no-ext-diff", "-z", base)
    changed += _git(root, "ls-files", "--others", "--exclude-standard", "-z")
    return frozenset(place(root / name) for name in changed.split("\0") if name)


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
    command = ["git", "-c", "core.fsmonitor=false", "-c", "core.quotePath=false", *arguments]
    try:
        done = subprocess.run(
            command, cwd=folder, capture_output=True, check=False, timeout=_TIMEOUT_S
        )
    except (OSError, subprocess.TimeoutExpired):
        raise RevisionError("Git could not be run; --changed-since needs it.") from None
    if done.returncode == 0:
        return os.fsdecode(done.stdout)
    if not wanted:
        return ""
    raise RevisionError("The current folder is in no Git repository; --changed-since needs one.")
