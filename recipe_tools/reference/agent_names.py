"""Which water agent a name means, in 13 languages, and what the wording leaves open."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

from recipe_tools.reference.agent_aliases import (
    AgentAlias,
    agent_aliases,
    beside_single_words,
    compound_endings,
    words_meaning,
)
from recipe_tools.reference.agent_table import Agent, agent, agent_family
from recipe_tools.reference.alias_index import Span, apart, nearest_keys, spans_in
from recipe_tools.reference.strength import (
    NO_STRENGTH,
    Strength,
    bare_strength,
    percentages,
    stated_strength,
)
from recipe_tools.reference.wording import (
    LONGEST_NAME,
    cut_compound,
    in_latin_letters,
    split_tokens,
    tokens,
)

_LONGEST_NOTES = 400
_STRONGEST_SOLUTION = 50.0
"""Calcium chloride dissolves to about 45 %; a strength above this is that of a solid."""
_WEAKEST_ANHYDROUS = 84.0
"""Pure dihydrate holds 75.5 % CaCl2, flakes up to 80 %, anhydrous prills 94-97 %."""


def says(name: str, *meanings: str) -> bool:
    """Tell whether a name holds a word of one of these meanings (``tap``, ``negation`` ...)."""
    words = tokens(name[:LONGEST_NAME])
    return any(not words_meaning(meaning).keys().isdisjoint(words) for meaning in meanings)


class AgentMatch(NamedTuple):
    """What a name says.

    agent_id: the likeliest agent; candidates: all that the wording leaves open, best first.
    alias, language: the entry that was recognised. strength_percent: as stated, unchecked;
    strength_basis: ``w/w``, ``w/v`` ... normality: equivalents per litre.
    form_named: ``solid``, ``solution`` or ``tablet`` where the wording says so.
    caution: why the product may not be fit for food (``road salt``), empty for most names.
    """

    agent_id: str
    alias: str
    language: str
    candidates: tuple[str, ...]
    strength_percent: float | None = None
    strength_basis: str | None = None
    normality: float | None = None
    hydrate_named: bool = False
    form_named: str | None = None
    caution: str = ""


def recognise_agent(name: str, notes: str = "") -> AgentMatch | None:
    """Return what a name means as a water agent, None where it means none.

    Accents, case, subscripts, hyphens and the words around do not matter. The notes are read only
    for a strength or hydrate that the name leaves out.
    """
    return _recognise(name[:LONGEST_NAME], notes[:_LONGEST_NOTES])


@lru_cache(maxsize=4096)
def _recognise(name: str, notes: str) -> AgentMatch | None:
    if says(name, "living"):
        return None  # bacteria that make lactic acid are none
    found, words = _mentioned(name)
    return _settled(found, words, name, notes) if found else None


@lru_cache(maxsize=4096)
def _mentioned(name: str) -> tuple[list[AgentAlias], list[str]]:
    """Return the aliases in a name that count, and its tokens.

    Kept by name alone: most additions are no water agents and carry notes of their own.
    """
    words = tokens(name)
    found = _mentions(words)
    if not found and not name.isascii():
        words = in_latin_letters(words)
        found = _mentions(words)
    if not found:
        words = _taken_apart(words)
        found = _mentions(words)
    return found, words


def _mentions(words: Sequence[str]) -> list[AgentAlias]:
    """Return the aliases in a name that count, the longest first."""
    index = agent_aliases()
    spans = apart(spans_in(words, index))
    if not spans:
        return []
    plain = [span for span in spans if not index[span.key].alone]
    if not plain and not _stands_alone(spans, words):
        return []
    found = [index[span.key] for span in plain or spans]
    agents_only = [item for item in found if item.kind != "water"]
    # "Water (RO)": the word for water says nothing beside one that says which.
    telling = [item for item in found if not (item.alone and item.agents == ("unanalysed_water",))]
    return agents_only or telling or found


def _stands_alone(spans: Iterable[Span], words: Sequence[str]) -> bool:
    covered = {place for span in spans for place in range(span.first, span.last)}
    usual = beside_single_words()
    return all(
        place in covered or word in usual or len(word) == 1 or word[0].isdigit()
        for place, word in enumerate(words)
    )


def _taken_apart(words: Sequence[str]) -> list[str]:
    """Return the tokens with digits and the endings of compound words split off."""
    parts: list[str] = []
    for word in split_tokens(list(words)):
        cut = cut_compound(word, compound_endings())
        parts.extend(cut or (word,))
    return parts


def _settled(
    found: Sequence[AgentAlias], words: Sequence[str], name: str, notes: str
) -> AgentMatch:
    families = list(dict.fromkeys(agent(item).family for item in found[0].agents))
    agreeing, others = [found[0]], []
    for mention in found[1:]:
        common = [family for family in families if family in _families(mention)]
        if common:
            families = common
            agreeing.append(mention)
        else:
            others.append(mention)
    pools = [
        [item for item in mention.agents if agent(item).family in families] for mention in agreeing
    ]
    best = min(range(len(pools)), key=lambda place: len(pools[place]))
    said = _Said.of(agreeing, words, notes)
    pool, hydrate_named = _narrowed(pools[best], families, said)
    strength = _strength(name, notes, agent(pool[0]))
    if not hydrate_named and said.form in (None, "solid"):
        pool = _by_strength(pool, families, strength.percent, said.form)
    open_ones = dict.fromkeys((*pool, *(mention.agents[0] for mention in others)))
    first = agreeing[best] if len(pools[best]) < len(pools[0]) else agreeing[0]
    return AgentMatch(
        agent_id=pool[0],
        alias=first.text,
        language=first.language,
        candidates=tuple(open_ones),
        strength_percent=strength.percent,
        strength_basis=strength.basis,
        normality=_normality(strength, agent(pool[0])),
        hydrate_named=hydrate_named,
        form_named=said.form,
        caution=next((mention.caution for mention in agreeing if mention.caution), ""),
    )


def _families(mention: AgentAlias) -> set[str]:
    return {agent(item).family for item in mention.agents}


class _Said(NamedTuple):
    """Hydrate and form that the wording names, None where it does not or contradicts itself."""

    hydrate: str | None
    form: str | None

    @classmethod
    def of(cls, mentions: Sequence[AgentAlias], words: Sequence[str], notes: str) -> _Said:
        hydrates = {item.hydrate for item in mentions if item.hydrate}
        forms = {item.form for item in mentions if item.form}
        hydrates |= _values("hydrate", words)
        forms |= _values("form", words)
        if not hydrates and notes:
            hydrates = _values("hydrate", tokens(notes))
        if forms > {"solid"}:
            forms -= {"solid"}
        return cls(
            hydrates.pop() if len(hydrates) == 1 else None,
            forms.pop() if len(forms) == 1 else None,
        )


def _values(meaning: str, words: Iterable[str]) -> set[str]:
    known = words_meaning(meaning)
    return {known[word] for word in words if word in known}


def _narrowed(pool: list[str], families: Sequence[str], said: _Said) -> tuple[list[str], bool]:
    """Return the agents left by the named hydrate and form, and whether the hydrate is settled."""
    members = [item for family in families for item in agent_family(family)]
    if said.form in ("tablet", "solution"):
        fitting = [item.id for item in members if item.form == said.form]
        if fitting:
            return fitting, False
    if said.hydrate is not None:
        fitting = [
            item.id
            for item in members
            if item.hydrate == said.hydrate and item.form in ("solid", "either")
        ]
        if fitting:
            return fitting, True
    return pool, False


def _by_strength(
    pool: list[str], families: Sequence[str], percent: float | None, form: str | None
) -> list[str]:
    """Return the readings that a strength leaves where solid and solution share a name.

    Up to 50 % it may be the solution; above, the strength of the trade tells the hydrate.
    """
    if percent is None:
        return pool
    members = [item for family in families for item in agent_family(family)]
    solutions = [item.id for item in members if item.form == "solution" and item.kind == "salt"]
    if not solutions or solutions[0] in pool:
        return pool
    if percent <= _STRONGEST_SOLUTION:
        return pool if form == "solid" else solutions + pool
    hydrate = "0" if percent >= _WEAKEST_ANHYDROUS else "2"
    return [item for item in pool if agent(item).hydrate == hydrate] or pool


def _strength(name: str, notes: str, likely: Agent) -> Strength:
    stated = stated_strength(name)
    if stated is not NO_STRENGTH:
        return stated
    dissolves = likely.kind == "acid" or likely.family == "calcium_chloride"
    if not dissolves:
        return NO_STRENGTH
    bare = bare_strength(name)
    if bare is not None and (likely.kind == "acid" or likely.form == "solution"):
        return Strength(percent=bare)
    if not notes or len(set(percentages(notes))) > 1:
        return NO_STRENGTH
    return stated_strength(notes)


def _normality(strength: Strength, likely: Agent) -> float | None:
    if strength.normality is not None:
        return strength.normality
    if strength.molarity is None:
        return None
    protons = likely.strong_protons + len(likely.pkas)
    return strength.molarity * (protons or 1)


def nearest_agents(name: str, count: int = 3) -> tuple[str, ...]:
    """Return the names of the agents whose aliases look most like an unknown name, best first."""
    return _nearest(name[:LONGEST_NAME], count)


@lru_cache(maxsize=512)
def _nearest(name: str, count: int) -> tuple[str, ...]:
    index = agent_aliases()
    wanted = "".join(word for word in tokens(name) if not word[0].isdigit())
    found = nearest_keys(wanted, tuple(index), count * 4)
    names = dict.fromkeys(agent(index[item].agents[0]).name for item in found)
    return tuple(names)[:count]
