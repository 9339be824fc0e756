"""Water agents mentioned in free text, where words such as salt or lime mean the kitchen."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from recipe_tools.reference.agent_aliases import agent_aliases, words_meaning
from recipe_tools.reference.wording import comparable, tokens

_MOST_TOKENS = 4000
_SHORTEST_WORD = 4
_KINDS = frozenset({"salt", "base", "acid", "sulfite", "antioxidant", "sorbent"})
_NO_FORMULA = frozenset({"cao", "hcl"})
_BLANK_BETWEEN = bytes(code if chr(code).isalnum() else ord(" ") for code in range(128)).ljust(256)
_REACH_BEFORE = 5
_REACH_AFTER = 3
"""Words between a negation and the agent it denies (derived_default)."""
_SENTENCE_END = re.compile(r"[.!?](?=\s|$)|[;\r\n]")
_CLAUSE_END = re.compile(r",(?!\d)")
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

    Only clear names count: ``gypsum``, ``lactic acid``, ``CaCl2``, not ``salt`` or ``lime``; and
    none that the text denies (``no gypsum``, ``without Epsom salt``) or that is a culture.
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
    mentions = _mentions(words)
    if not words_meaning("negation").keys().isdisjoint(words):
        return _affirmed(text)
    return tuple(dict.fromkeys(mention.agent_id for mention in mentions))


class _Mention(NamedTuple):
    """An agent, and the tokens that name it, first to last exclusive."""

    agent_id: str
    first: int
    last: int


def _mentions(words: Sequence[str]) -> list[_Mention]:
    """Return the agents that tokens name, the longest name at each place, in their order."""
    found = []
    place = 0
    while place < len(words):
        step = 1
        for alias, agent_id in _by_first_word().get(words[place], ()):
            if tuple(words[place : place + len(alias)]) == alias:
                step = len(alias)
                beside = words[max(0, place - 1) : place + step + 1]
                if words_meaning("living").keys().isdisjoint(beside):
                    found.append(_Mention(agent_id, place, place + step))
                break
        place += step
    return found


def _affirmed(text: str) -> tuple[str, ...]:
    """Return the agents that a text does not deny: ``We never use Epsom salt`` names none."""
    seen: dict[str, None] = {}
    for sentence in _SENTENCE_END.split(text):
        denied = False
        for clause in _CLAUSE_END.split(sentence):
            words = tokens(clause, _MOST_TOKENS)
            mentions = _mentions(words)
            end = 0
            for mention in mentions:
                # "no gypsum, soda or chalk": a list goes on behind its commas.
                in_list = denied and mention.first - end <= 2
                end = mention.last
                denied = in_list or _is_denied(words, mention, mentions[-1] is mention)
                if not denied:
                    seen[mention.agent_id] = None
            denied = denied and bool(mentions)
    return tuple(seen)


def _is_denied(words: Sequence[str], mention: _Mention, is_last: bool) -> bool:
    """Tell whether a negation stands before an agent or, behind the last one, right after it."""
    no, but = words_meaning("negation"), words_meaning("contrast")
    limit = words_meaning("limit")
    for place in range(max(0, mention.first - _REACH_BEFORE), mention.first):
        between = words[place + 1 : mention.first]
        if words[place] in no and not any(word in but or word in limit for word in between):
            return True
    after = words[mention.last : mention.last + _REACH_AFTER]
    denies = any(word in no for word in after) and not any(word in limit for word in after)
    return is_last and denies
