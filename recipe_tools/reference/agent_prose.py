"""Water agents mentioned in free text, where words such as salt or lime mean the kitchen."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache

from recipe_tools.reference.agents import agent
from recipe_tools.reference.tables import table
from recipe_tools.reference.wording import tokens

_MOST_TOKENS = 4000
_SHORTEST_WORD = 5
_KINDS = frozenset({"salt", "base", "acid", "sulfite", "antioxidant"})
_KITCHEN = frozenset({"sea", "kosher", "vitamin", "vitamine", "vitamina"})


@cache
def _by_first_word() -> Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]:
    """Return the clear aliases by their first word, longest first."""
    found: dict[str, dict[tuple[str, ...], str]] = {}
    for row in table("agent_aliases"):
        first_agent = row["agents"].split()[0]
        words = tuple(tokens(row["alias"]))
        if row["use"] == "alone" or agent(first_agent).kind not in _KINDS or words[0] in _KITCHEN:
            continue
        if len("".join(words)) < _SHORTEST_WORD and not _is_formula(row):
            continue
        found.setdefault(words[0], {}).setdefault(words, first_agent)
    return {
        word: tuple(sorted(choices.items(), key=lambda item: -len(item[0])))
        for word, choices in found.items()
    }


def _is_formula(row: Mapping[str, str]) -> bool:
    return row["language"] == "formula" and row["alias"] not in ("CaO", "HCl")


@lru_cache(maxsize=512)
def agents_in_prose(text: str) -> tuple[str, ...]:
    """Return the ids of the water agents that free text mentions, in order of appearance.

    Only clear names count: ``gypsum``, ``lactic acid``, ``CaCl2``, not ``salt`` or ``lime``.
    """
    known = _by_first_word()
    words = tokens(text, _MOST_TOKENS)
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
