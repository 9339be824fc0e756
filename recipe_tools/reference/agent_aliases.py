"""The names of water agents and the words beside them, ready to be looked up."""

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from recipe_tools.reference.agent_table import agents
from recipe_tools.reference.tables import columns, table
from recipe_tools.reference.wording import comparable_lines, key, tokens_of_lines


class AgentAlias(NamedTuple):
    """One spelling of a name.

    agents: ids it may mean, likeliest first. hydrate, form: what it names, empty where nothing.
    alone: a word of daily life that counts only if nothing else stands in the name.
    caution: why such a product may not be fit for food. kind: of the likeliest agent.
    words: the tokens of the alias.
    """

    text: str
    language: str
    agents: tuple[str, ...]
    hydrate: str
    form: str
    alone: bool
    caution: str
    kind: str
    words: tuple[str, ...]


@cache
def agent_aliases() -> Mapping[str, AgentAlias]:
    """Return the aliases by key; one spelling with several meanings keeps all of them.

    Two words run together can make a double letter (``terraalba``): such keys stand there twice.
    """
    known_agents = agents()
    index: dict[str, AgentAlias] = {}
    names = ("alias", "language", "agents", "hydrate", "form", "use", "caution")
    rows = list(columns("agent_aliases", *names))
    all_words = tokens_of_lines([row[0] for row in rows])
    for words, row in zip(all_words, rows, strict=True):
        text, language, listed, hydrate, form, use, caution = row
        name = "".join(words)
        ids = tuple(listed.split())
        known = index.get(name)
        if known is None:
            kind = known_agents[ids[0]].kind
            index[name] = AgentAlias(
                text, language, ids, hydrate, form, use == "alone", caution, kind, tuple(words)
            )
            continue
        more = tuple(item for item in ids if item not in known.agents)
        if more or caution:
            index[name] = known._replace(
                agents=known.agents + more, caution=known.caution or caution
            )
    known_names = list(index)
    for name, plain in zip(known_names, comparable_lines(known_names), strict=True):
        index.setdefault(plain, index[name])
    return index


@cache
def words_meaning(meaning: str) -> Mapping[str, str]:
    """Return the words of one meaning with their values.

    meaning: ``hydrate``, ``form``, ``filler``, ``unit``; ``tap`` (water that is not pure),
    ``negation``, ``living`` (a culture, not what it makes) or ``souring`` (one that makes a beer
    sour, among yeasts).
    """
    rows = table("agent_words")
    return {key(row["word"]): row["value"] for row in rows if row["meaning"] == meaning}


@cache
def beside_single_words() -> frozenset[str]:
    """Return the words that may stand beside a bare ``salt`` without giving it another meaning."""
    return frozenset(
        word for meaning in ("filler", "unit", "form", "hydrate") for word in words_meaning(meaning)
    )


@cache
def compound_endings() -> tuple[str, ...]:
    """Return the words that compounds end in (``losung``, ``dihydrat``), longest first."""
    words = (*words_meaning("form"), *words_meaning("hydrate"))
    return tuple(sorted((word for word in words if len(word) >= 6), key=len, reverse=True))
