"""Which findings make a recipe a bad one, and which recipes are versions of one beer."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

FORM_TOPICS = frozenset({"file", "standard"})
"""Remarks on how a file is written."""

UNKNOWN_WATER = frozenset({"water/source-unknown", "water/source-all-zero"})
"""Water nobody knows: a class of its own, neither good nor bad."""

_VERSION = re.compile(
    r"""[\s_.,#(\[-]*
    (?:\b(?:v|ver|version|rev|revision|batch|brew|no|nr|take|try)[\s._#-]*\d+[a-z]?\b
    |\b(?:second|third|fourth|fifth|new|old|final|copy|repeat)\b(?:\s+(?:brew|version|batch))?
    |\#?\b\d{1,4}(?:[./-]\d{1,2}){0,2}\b
    |\b(?:i{1,3}|iv|vi{0,3})\b)
    [\s)\].]*$""",
    re.X | re.I,
)


def is_trouble(rule: str) -> bool:
    """Tell whether an error or warning of a rule makes a recipe a bad one."""
    return rule.partition("/")[0] not in FORM_TOPICS and rule not in UNKNOWN_WATER


def beer(path: str, name: str, brewer: str) -> str:
    """Return what the versions of one beer have in common: brewer, else folder, and plain name.

    A name loses what tells versions apart at its end: numbers, dates, "v2", "second brew"
    (common practice, no source). One that is nothing else is kept.
    """
    place = PurePosixPath(path)
    plain = " ".join((name or place.stem).casefold().split())
    while (shorter := _VERSION.sub("", plain)) not in ("", plain):
        plain = shorter
    return f"{brewer.casefold() or place.parent.as_posix()}\0{plain}"
