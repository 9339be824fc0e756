"""Wrong keys: how to name them, and which right one was meant."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from types import MappingProxyType

_PLAIN = re.compile(r"[A-Za-z0-9_./-]{1,60}")
NO_OTHER_NAMES: Mapping[str, str] = MappingProxyType({})


def nearest_key(
    key: str, known: Collection[str], other_names: Mapping[str, str] = NO_OTHER_NAMES
) -> str:
    """Return the known key that looks most like a wrong one, or an empty text.

    other_names: lower-case names in use elsewhere -> our key.
    """
    folded = {name.casefold(): name for name in known}
    wrong = key[:60].casefold().replace("-", "_").replace(" ", "_")
    spelt = other_names.get(wrong, wrong)
    for candidate in (spelt, key[:60].casefold()):
        if candidate in folded:
            return folded[candidate]
    from difflib import get_close_matches

    close = get_close_matches(spelt, list(folded), n=1, cutoff=0.6)
    return folded[close[0]] if close else ""


def shown_key(key: str) -> str:
    """Return a key for a message: as written if it is a plain word, else only that there is one."""
    return key if _PLAIN.fullmatch(key) else "a key"


def unknown_key(
    key: str, known: Collection[str], other_names: Mapping[str, str] = NO_OTHER_NAMES
) -> str:
    """Return the message on a wrong key: the key, and the nearest right one or all of them."""
    nearest = nearest_key(key, known, other_names)
    hint = f"the nearest is {nearest}" if nearest else f"known are {', '.join(known)}"
    return f"{shown_key(key)} is not known here; {hint}"
