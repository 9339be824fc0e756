"""What was meant by a first word that is no command: a file, a rule, or a slip of the keys."""

from __future__ import annotations

import shlex
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from recipe_tools.key_names import nearest_key
from recipe_tools.reports.terminal import visible

_FOR_FILES: Mapping[str, str] = {
    **dict.fromkeys((".xml", ".json"), "check"),
    **dict.fromkeys((".toml", ".txt", ".csv"), "water"),
    ".zip": "audit",
}
_OTHER_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("lint", "validate", "verify", "test"), "check"),
    "help": "--help",
    "version": "--version",
}


def meant(program: str, words: Sequence[str], commands: Collection[str]) -> str:
    """Return the line that was probably meant, or an empty text.

    program: what stands in front, such as ``recipe-tools baseline``. words: what stands behind it.
    """
    first, *rest = words
    command = _command_for(first) if "check" in commands else ""
    if command:
        rest = list(words)
    else:
        command = nearest_key(first, (*commands, "--help", "--version"), _OTHER_WORDS)
    return visible(f"{program} {shlex.join([command, *rest])}") if command else ""


def _command_for(first: str) -> str:
    """Return the command a file, folder or rule is meant for."""
    from recipe_tools.checking.checklist import catalogue
    from recipe_tools.cli.subjects import TOPICS

    path = Path(first)
    if path.suffix.casefold() in _FOR_FILES:
        return _FOR_FILES[path.suffix.casefold()]
    if first in catalogue() or first in TOPICS:
        return "explain"
    try:
        return "check" if first and path.exists() else ""
    except (OSError, ValueError):
        return ""
