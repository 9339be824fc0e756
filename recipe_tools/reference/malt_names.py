"""Which class of malt, adjunct, sugar or extract a name means, in 13 languages."""

from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from typing import NamedTuple

from recipe_tools.reference.alias_index import nearest_keys, outermost, spans_in
from recipe_tools.reference.tables import columns
from recipe_tools.reference.wording import (
    LONGEST_NAME,
    comparable_lines,
    keys_of_lines,
    tokens,
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
_CARA = ("cara", "кара")
_NO_CARA = frozenset({"caraway", "carambola", "caravan"})
_CARA_ROASTED_EBC = 550.0
_CARA_DEXTRIN_EBC = 6.0
_POWDER = frozenset({"dry", "dried", "powder", "powdered", "spray", "dme"})


class MaltMatch(NamedTuple):
    """class_id: class of malt_aliases, or ``unknown``. alias, language: the entry recognised.

    sure: False where the colour, group or kind decided, or contradicts the name.
    """

    class_id: str
    alias: str
    language: str
    sure: bool


class _Alias(NamedTuple):
    text: str
    language: str
    class_id: str


@cache
def _aliases() -> Mapping[str, _Alias]:
    """Return the aliases by key, the class that comes first in `CLASS_ORDER` where two share it.

    Such a pair is told apart by its spaces (Italian ``malto destrina``, ``maltodestrina``).
    """
    rank = {name: place for place, name in enumerate(CLASS_ORDER)}
    index: dict[str, _Alias] = {}
    rows = [
        row
        for row in columns("malt_aliases", "alias", "language", "class", "use")
        if row[3] != "prefix"
    ]
    names = keys_of_lines([row[0] for row in rows])
    for name, (text, language, class_id, _) in zip(names, rows, strict=True):
        known = index.get(name)
        entry = _Alias(text, language, class_id)
        if known is not None and known.class_id != class_id:
            for one in (known, entry):
                index.setdefault(" ".join(tokens(one.text)), one)
        if known is None or rank[class_id] < rank[known.class_id]:
            index[name] = entry
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
    found = _named(words)
    if found is None:
        return _unnamed(kind, colour, group)
    by_kind = _KIND_CLASSES.get(kind)
    if by_kind and found.class_id not in _NOT_GRAIN:
        return MaltMatch(by_kind, found.text, found.language, False)
    if found.class_id == "extract_liquid" and (
        by_kind == "extract_dry" or not _POWDER.isdisjoint(words)
    ):
        return MaltMatch("extract_dry", found.text, found.language, True)
    by_prefix = found.text in _CARA
    class_id = _by_colour_too(found.class_id, colour, by_prefix)
    return MaltMatch(class_id, found.text, found.language, class_id == found.class_id)


def _named(words: Sequence[str]) -> _Alias | None:
    index = _aliases()
    spans = outermost(spans_in(words, index))
    best: _Alias | None = None
    for span in spans:
        spaced = index.get(" ".join(words[span.first : span.last]))
        entry = spaced or index[span.key]
        if best is None or CLASS_ORDER.index(entry.class_id) < CLASS_ORDER.index(best.class_id):
            best = entry
    if best is not None and CLASS_ORDER.index(best.class_id) < CLASS_ORDER.index("caramel"):
        return best
    prefix = _cara(words)
    if prefix is not None and not (best is not None and best.class_id == "dextrin"):
        return best if best is not None and best.class_id == "caramel" else prefix
    return best


def _cara(words: Sequence[str]) -> _Alias | None:
    for word in words:
        for prefix in _CARA:
            if word.startswith(prefix) and word not in _NO_CARA:
                return _Alias(prefix, "en" if prefix == "cara" else "ru", "caramel")
    return None


def _by_colour_too(class_id: str, colour: float | None, by_prefix: bool) -> str:
    """Return the class of a name that says less than its colour does."""
    if colour is None:
        return class_id
    if by_prefix and colour >= _CARA_ROASTED_EBC:
        return "roasted"
    if by_prefix and colour <= _CARA_DEXTRIN_EBC:
        return "dextrin"
    if class_id in ("wheat", "rye", "oat", "spelt_other_malt") and colour >= 60:
        return "roasted" if colour >= 400 else "caramel"
    if class_id == "raw_barley" and colour >= 200:
        return "roasted_unmalted"
    if class_id in ("base_pils", "base_pale", "vienna", "munich") and colour >= 60:
        return _grain_of_colour(colour)
    return class_id


def _unnamed(kind: str, colour: float | None, group: str) -> MaltMatch:
    by_kind = _KIND_CLASSES.get(kind)
    if by_kind is not None:
        return MaltMatch(by_kind, "", "", False)
    by_group = _GROUP_CLASSES.get(group.casefold())
    if by_group is not None:
        return MaltMatch(by_group, "", "", False)
    if kind == "adjunct":
        return MaltMatch("adjunct_flaked", "", "", False)
    if colour is not None and kind in ("grain", ""):
        return MaltMatch(_grain_of_colour(colour), "", "", False)
    return MaltMatch(UNKNOWN, "", "", False)


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


def nearest_malts(name: str, count: int = 3) -> tuple[str, ...]:
    """Return the aliases that look most like an unknown name, best first, one per class."""
    return _nearest(name[:LONGEST_NAME], count)


@lru_cache(maxsize=512)
def _nearest(name: str, count: int) -> tuple[str, ...]:
    index = _aliases()
    found = nearest_keys("".join(tokens(name)), tuple(index), count * 6)
    names: dict[str, str] = {}
    for item in found:
        names.setdefault(index[item].class_id, index[item].text)
    return tuple(names.values())[:count]
