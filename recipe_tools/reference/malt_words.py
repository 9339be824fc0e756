"""What the words around a malt's name say: malted or raw, of which grain, dehusked, misspelt."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from recipe_tools.reference.tables import table
from recipe_tools.reference.wording import key

_SHORTEST_MISSPELT = 5
_JOINTS = ("", "n", "en", "e", "s")
"""Letters between the parts of a compound: ``gerste-n-malz``."""


@cache
def words_that_say(meaning: str) -> Mapping[str, str]:
    """Return the words of one meaning with their values.

    meaning: ``malt``, ``grain`` (value: class of its malt), ``raw``, ``dehusked`` or ``foam``.
    """
    rows = table("malt_words")
    return {key(row["word"]): row["value"] for row in rows if row["meaning"] == meaning}


def malted_grain(words: Sequence[str]) -> tuple[str, str] | None:
    """Return (class, words that say so) where a word for malt stands beside one for a grain.

    Compounds count (``Gerstenmalz``). None where a word says that the grain is raw or flaked.
    """
    if not words_that_say("raw").keys().isdisjoint(words):
        return None
    grains = words_that_say("grain")
    malts = words_that_say("malt")
    malt = next((word for word in words if word in malts), None)
    for word in words:
        if malt is not None and word in grains:
            return grains[word], f"{word} + {malt}"
        grain = _grain_of_compound(word)
        if grain is not None:
            return grain, word
    return None


def _grain_of_compound(word: str) -> str | None:
    for ending in words_that_say("malt"):
        if len(ending) < 4 or not word.endswith(ending) or word == ending:
            continue
        first = word[: -len(ending)]
        for joint in _JOINTS:
            grain = words_that_say("grain").get(first.removesuffix(joint))
            if grain is not None:
                return grain
    return None


def ends_in_malt(word: str) -> bool:
    """Tell whether a word is a compound with a word for malt."""
    return any(
        len(ending) >= 4 and word.endswith(ending) and word != ending
        for ending in words_that_say("malt")
    )


def one_slip_apart(word: str, known: str) -> bool:
    """Tell whether two words differ by one letter left out, doubled, changed or swapped.

    Both begin with the same letter; short words are too much alike to tell.
    """
    if min(len(word), len(known)) < _SHORTEST_MISSPELT or word[0] != known[0] or word == known:
        return False
    if abs(len(word) - len(known)) > 1:
        return False
    short, long = sorted((word, known), key=len)
    same = 0
    while same < len(short) and short[same] == long[same]:
        same += 1
    if len(short) < len(long):
        return short[same:] == long[same + 1 :]
    swapped = short[same : same + 2] == long[same : same + 2][::-1]
    return short[same + 1 :] == long[same + 1 :] or (
        swapped and short[same + 2 :] == long[same + 2 :]
    )
