"""Water agents mentioned in free text, where words such as salt or lime mean the kitchen."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache

from recipe_tools.reference.agent_aliases import agent_aliases
from recipe_tools.reference.wording import comparable, tokens

_MOST_TOKENS = 4000
_SHORTEST_WORD = 4
_KINDS = frozenset({"salt", "base", "acid", "sulfite", "antioxidant", "sorbent"})
_NO_FORMULA = frozenset({"cao", "hcl"})
_BLANK_BETWEEN = bytes(code if chr(code).isalnum() else ord(" ") for code in range(128)).ljust(256)
_KITCHEN = frozenset({"sea", "kosher", "vitamin", "vitamine", "vitamina"})


@cache
def _by_first_word() -> Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]:
    """Return the clear aliases by their first word, longest first."""
    found: dict[str, list[tuple[tuple[str, ...], str]]] = {}
    for name, alias in agent_aliases().items():
        if alias.alone or alias.kind not in _KINDS or alias.words[0] in _KITCHEN:
            continue
        if len(name) < _SHORTEST_WORD and (alias.language != "formula" or name in _NO_FORMULA):
            continue
        found.setdefault(alias.words[0], []).append((alias.words, alias.agents[0]))
    for choices in found.values():
        choices.sort(key=lambda item: -len(item[0]))
    return {word: tuple(choices) for word, choices in found.items()}


@cache
def _first_words() -> frozenset[bytes]:
    return frozenset(word.encode("ascii") for word in _by_first_word() if word.isascii())


@lru_cache(maxsize=512)
def agents_in_prose(text: str) -> tuple[str, ...]:
    """Return the ids of the water agents that free text mentions, in order of appearance.

    Only clear names count: ``gypsum``, ``lactic acid``, ``CaCl2``, not ``salt`` or ``lime``.
    """
    known = _by_first_word()
    # Most notes name no agent, and most are plain ASCII: bytes are taken apart most quickly.
    if text.isascii() and _first_words().isdisjoint(
        comparable(text).encode("ascii").translate(_BLANK_BETWEEN).split()
    ):
        return ()
    words = tokens(text, _MOST_TOKENS)
    if known.keys().isdisjoint(words):
        return ()
    seen: dict[str, None] = {}
    place = 0
    while place < len(words):
        step = 1
        for alias, agent_id in known.get(words[place], ()):
            if tuple(words[place : place + len(alias)]) == alias:
                seen[agent_id] = None
                step = len(alias)
                break
        place += step
    return tuple(seen)
