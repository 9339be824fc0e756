"""Which class of malt, adjunct, sugar or extract a name means, in 14 languages."""

import re
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from recipe_tools.reference.alias_index import outermost, spans_in
from recipe_tools.reference.malt_words import (
    ends_in_malt,
    malted_grain,
    one_slip_apart,
    words_that_say,
)
from recipe_tools.reference.tables import columns, table
from recipe_tools.reference.wording import (
    LONGEST_NAME,
    comparable_lines,
    key,
    keys_of_lines,
    tokens,
    tokens_of_lines,
)

UNKNOWN = "unknown"

CLASS_ORDER = (
    "acidulated",
    "extract_dry",
    "extract_liquid",
    "colouring",
    "sugar",
    "roasted_unmalted",
    "roasted",
    "smoked",
    "caramel",
    "dextrin",
    "aromatic_kilned",
    "wheat_unmalted",
    "raw_barley",
    "adjunct_flaked",
    "oat",
    "rye",
    "spelt_other_malt",
    "wheat",
    "munich",
    "vienna",
    "base_pale",
    "base_pils",
)
"""Where a name speaks of several classes, the first counts (chocolate wheat is roasted)."""

_KIND_CLASSES = {
    "sugar": "sugar",
    "honey": "sugar",
    "juice": "sugar",
    "fruit": "sugar",
    "extract": "extract_liquid",
    "dry extract": "extract_dry",
}
_NOT_GRAIN = frozenset({"sugar", "extract_liquid", "extract_dry", "colouring"})
_GROUP_CLASSES = {
    "caramel": "caramel",
    "roasted": "roasted",
    "smoked": "smoked",
    "flaked": "adjunct_flaked",
    "adjunct": "adjunct_flaked",
}
_GRAIN_ONLY = frozenset({"wheat", "rye", "oat", "spelt_other_malt"})
_PALE = frozenset({"base_pils", "base_pale", "vienna", "munich"})
_RAW = frozenset({"raw_barley", "wheat_unmalted", "adjunct_flaked"})
_RAW_OF = {"wheat": "wheat_unmalted", "oat": "adjunct_flaked"}
_CARA = ("cara", "кара")
_NO_CARA = frozenset({"caraway", "carambola", "caravan"})
_CARA_ROASTED_EBC = 550.0
_CARA_DEXTRIN_EBC = 6.0
_CODE = re.compile(r"c0*(\d{2,3})l?")
_CODE_LOVIBOND = (10, 200)
"""Colours that crystal malts are sold by as ``C60``, in degrees Lovibond (common practice)."""
_SHORTEST_PART = 7
_POWDER = frozenset({"dry", "dried", "powder", "powdered", "spray", "dme"})

LISTED = "listed name"
MALTED_GRAIN = "word for malt beside a grain"
CODE = "colour code"
PREFIX = "beginning of a word"
PART = "end of a word"
MISSPELT = "near misspelling"
COLOUR = "colour"
GROUP = "group in the file"
KIND = "kind in the file"
NOTHING = "nothing known"
_SURE_RULES = frozenset({LISTED, MALTED_GRAIN, CODE})


class MaltMatch(NamedTuple):
    """class_id: class of malt_aliases, or ``unknown``. alias, language: the entry recognised.

    rule: which of the words above decided. sure: False where it is a guess, or colour, group or
    kind of the file decided against the name or without one.
    """

    class_id: str
    alias: str
    language: str
    sure: bool
    rule: str = LISTED


class _Alias(NamedTuple):
    text: str
    language: str
    class_id: str
    rule: str = LISTED


@cache
def _aliases() -> Mapping[str, _Alias]:
    """Return the aliases by key, the class that comes first in `CLASS_ORDER` where two share it.

    A row ``spaced`` counts only with its spaces (Italian ``malto destrina`` is a malt,
    ``maltodestrina`` a sugar).
    """
    rank = {name: place for place, name in enumerate(CLASS_ORDER)}
    index: dict[str, _Alias] = {}
    rows = [
        row
        for row in columns("malt_aliases", "alias", "language", "class", "use")
        if row[3] != "prefix"
    ]
    names = keys_of_lines([row[0] for row in rows])
    for name, (text, language, class_id, use) in zip(names, rows, strict=True):
        place = " ".join(tokens(text)) if use == "spaced" else name
        known = index.get(place)
        if known is None or rank[class_id] < rank[known.class_id]:
            index[place] = _Alias(text, language, class_id)
    known_names = list(index)
    for name, plain in zip(known_names, comparable_lines(known_names), strict=True):
        index.setdefault(plain, index[name])
    return index


def recognise_malt(
    name: str, kind: str = "", colour_ebc: float | None = None, group: str = ""
) -> MaltMatch:
    """Return the class of a fermentable.

    kind, group: of the recipe (``grain``, ``sugar``; ``base``, ``caramel`` ...), used where the
    name says nothing. colour_ebc: refines a name that colours share, and stands in for a name
    nobody knows; acidulated malt is never told by its colour.
    """
    return _recognise(name[:LONGEST_NAME], kind[:LONGEST_NAME], colour_ebc, group[:LONGEST_NAME])


@lru_cache(maxsize=8192)
def _recognise(name: str, kind: str, colour_ebc: float | None, group: str) -> MaltMatch:
    words = tokens(name)
    colour = colour_ebc if colour_ebc is not None and colour_ebc > 0 else None
    group = group.strip().casefold()
    found = _named(words) or _guessed(words)
    if found is None:
        return _unnamed(kind, colour, group)
    by_kind = _KIND_CLASSES.get(kind)
    if by_kind and found.class_id not in _NOT_GRAIN:
        return MaltMatch(by_kind, found.text, found.language, False, KIND)
    sure = found.rule in _SURE_RULES
    if found.class_id == "extract_liquid" and (
        by_kind == "extract_dry" or not _POWDER.isdisjoint(words)
    ):
        return MaltMatch("extract_dry", found.text, found.language, sure, found.rule)
    class_id, rule = _refined(found, colour, group)
    # The colour of a caramel malt says what the beginning of a word alone does not.
    sure = sure or (found.rule == PREFIX and colour is not None)
    return MaltMatch(class_id, found.text, found.language, sure and rule == found.rule, rule)


def _named(words: Sequence[str]) -> _Alias | None:
    index = _aliases()
    entries = []
    for span in outermost(spans_in(words, index)):
        spaced = index.get(" ".join(words[span.first : span.last]))
        entries.append(spaced or index[span.key])
    malted = malted_grain(words)
    if malted is not None and malted[1] not in index:
        # "Malt d'orge" holds the alias of raw barley; what is malted is not raw.
        entries = [entry for entry in entries if entry.class_id not in _RAW]
        class_id, text = malted
        if class_id != "base_pale" or not entries:
            entries.append(_Alias(text, "", class_id, MALTED_GRAIN))
    best = min(entries, key=lambda entry: CLASS_ORDER.index(entry.class_id), default=None)
    if best is not None and CLASS_ORDER.index(best.class_id) < CLASS_ORDER.index("caramel"):
        return best
    prefix = _cara(words)
    if prefix is not None and not (best is not None and best.class_id == "dextrin"):
        return best if best is not None and best.class_id == "caramel" else prefix
    return best or _coded(words)


def _cara(words: Sequence[str]) -> _Alias | None:
    """Return the class of a word that begins like caramel; dextrin malt and dehusked are told."""
    for place, word in enumerate(words):
        for prefix in _CARA:
            if not word.startswith(prefix) or word in _NO_CARA:
                continue
            language = "en" if prefix == "cara" else "ru"
            beside = {word[len(prefix) :], *words[place + 1 : place + 2]}
            if not words_that_say("dehusked").keys().isdisjoint(words):
                return _Alias(prefix, language, "roasted", PREFIX)
            if not words_that_say("foam").keys().isdisjoint(beside):
                return _Alias(prefix, language, "dextrin", PREFIX)
            return _Alias(prefix, language, "caramel", PREFIX)
    return None


def _coded(words: Sequence[str]) -> _Alias | None:
    """Return crystal malt named by its colour alone: ``C60``, at the beginning also ``C-60 L``."""
    low, high = _CODE_LOVIBOND
    spaced = ["".join(words[:2])] if words[:1] == ["c"] else []
    for text in (*spaced, *words):
        code = _CODE.fullmatch(text)
        if code is not None and low <= int(code[1]) <= high:
            return _Alias(text.upper(), "en", "caramel", CODE)
    return None


def _guessed(words: Sequence[str]) -> _Alias | None:
    """Return what a slip of one letter or the end of a compound points to."""
    mended = [_mended(words, place) for place in range(len(words))]
    found = _named(mended) if mended != list(words) else None
    if found is not None:
        return found._replace(rule=MISSPELT)
    for word in filter(ends_in_malt, words):
        for first in range(1, len(word) - _SHORTEST_PART + 1):
            found = _named([word[first:]])
            if found is not None:
                return found._replace(rule=PART)
    return None


@cache
def _vocabulary() -> frozenset[str]:
    texts = [row["alias"] for row in table("malt_aliases")]
    words = {word for found in tokens_of_lines(texts) for word in found}
    for meaning in ("malt", "grain", "raw", "dehusked", "foam"):
        words.update(words_that_say(meaning))
    return frozenset(words)


def _mended(words: Sequence[str], place: int) -> str:
    """Return a word, mended if it is one slip from words that all mean the same class."""
    word = words[place]
    known = _vocabulary()
    if word in known:
        return word
    # Short words of daily life are too much alike (lager, larger) unless malt is spoken of.
    shortest = 6 if words_that_say("malt").keys().isdisjoint(words) else 5
    near = sorted(o for o in known if one_slip_apart(word, o))
    if all(len(other) < shortest for other in near):
        return word
    # A lost first letter is no slip to be mended, but it keeps another mending from being sure.
    rivals = sorted(o for o in known if o[1:] == word)
    meant: dict[str, str] = {}
    for other in (*near, *rivals):
        found = _named([*words[:place], other, *words[place + 1 :]])
        if found is not None:
            meant.setdefault(found.class_id, other)
    return next(iter(meant.values())) if len(meant) == 1 else word


def _refined(found: _Alias, colour: float | None, group: str) -> tuple[str, str]:
    """Return the class of a name that says less than its colour or group, and what decided."""
    class_id = _by_colour(found, colour)
    if class_id != found.class_id:
        return class_id, COLOUR
    by_group = _GROUP_CLASSES.get(group)
    if class_id == "raw_barley" and group == "base" and key(found.text) in words_that_say("grain"):
        return "base_pale", GROUP
    if by_group == "adjunct_flaked" and class_id in ("wheat", "oat"):
        return _RAW_OF[class_id], GROUP
    if colour is not None or by_group in (None, "adjunct_flaked", class_id):
        return class_id, found.rule
    if class_id == "raw_barley" and by_group == "roasted":
        return "roasted_unmalted", GROUP
    open_to_group = class_id == "caramel" if found.rule == PREFIX else class_id in _GRAIN_ONLY
    if open_to_group or found.rule == MALTED_GRAIN:
        return by_group, GROUP
    return class_id, found.rule


def _by_colour(found: _Alias, colour: float | None) -> str:
    """Return the class of a name that says less than its colour does."""
    class_id, by_prefix = found.class_id, found.rule == PREFIX
    if colour is None:
        return class_id
    if by_prefix and colour >= _CARA_ROASTED_EBC:
        return "roasted"
    if by_prefix and colour <= _CARA_DEXTRIN_EBC:
        return "dextrin"
    if class_id in _GRAIN_ONLY and colour >= 60:
        return "roasted" if colour >= 400 else "caramel"
    if class_id == "raw_barley" and colour >= 200:
        return "roasted_unmalted"
    if class_id in _PALE and colour >= 60:
        return _grain_of_colour(colour)
    return class_id


def _unnamed(kind: str, colour: float | None, group: str) -> MaltMatch:
    by_kind = _KIND_CLASSES.get(kind)
    if by_kind is not None:
        return MaltMatch(by_kind, "", "", False, KIND)
    by_group = _GROUP_CLASSES.get(group)
    if by_group is not None:
        return MaltMatch(by_group, "", "", False, GROUP)
    if kind == "adjunct":
        return MaltMatch("adjunct_flaked", "", "", False, KIND)
    if colour is not None and kind in ("grain", ""):
        return MaltMatch(_grain_of_colour(colour), "", "", False, COLOUR)
    if group == "base":
        return MaltMatch("base_pale", "", "", False, GROUP)
    return MaltMatch(UNKNOWN, "", "", False, NOTHING)


def _grain_of_colour(colour: float) -> str:
    """Return the usual class of barley malt of a colour in EBC (typical colours from memory)."""
    for below, class_id in (
        (4.6, "base_pils"),
        (7.5, "base_pale"),
        (11.0, "vienna"),
        (40.0, "munich"),
        (450.0, "caramel"),
    ):
        if colour < below:
            return class_id
    return "roasted"
