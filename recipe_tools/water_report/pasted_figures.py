"""What stands behind a name in a line of a copied table: figures, which of them is which, unit.

What laboratories put around the figures (methods, dates, formulas) is from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from recipe_tools.reference.report_bases import basis_called
from recipe_tools.reference.report_names import report_column
from recipe_tools.reference.wording import key as comparable_key
from recipe_tools.units import quantities_with
from recipe_tools.water_report.printed import as_plain_words, word_for_none
from recipe_tools.water_report.units import has_basis_inside

SLOTS = ("value", "min", "mean", "max", "limit", "count")
"""Columns that hold figures."""
_KEPT = ("min", "mean", "max", "value")
_NO_LIMIT = frozenset(
    {"calcium", "magnesium", "potassium", "bicarbonate", "carbonate", "silica", "alkalinity"}
    | {"carbonate_hardness", "total_hardness", "temperature"}
)
"""Rows without a limit in any law of drinking water, so that no figure is one (from memory)."""

_NUMBER = r"[0-9]+(?:[.,][0-9]+)*(?:[eE][+-]?[0-9]{1,2})?"
_SIGN = r"(?:[<≤~≈±]\s*=?\s*)?"
_FIGURE = re.compile(
    rf"(?<![\w.,/^°]){_SIGN}{_NUMBER}(?:\s*(?:-|–|—|bis|to|à|tot|až|do|hasta|±|\+/-)\s*{_NUMBER})?"
    r"\*?(?![\w^]|[.,]\d)"
)
_NOISE = (
    re.compile(
        r"\(?\b(?:DIN|EN|ISO|NF|BS|UNE|UNI|ČSN|ČSN EN|PN|NEN|SM|EPA|ASTM|APHA|DEV)\b"
        r"[\s:/-]*(?:(?:EN|ISO|DIN)\b[\s:/-]*)*[A-Z]?\d[\w:./-]*(?:\s*\([A-Z]\s?\d+(?:-\d+)?\))?\)?"
    ),
    re.compile(r"\b\d{1,2}[./]\d{1,2}[./]\d{2,4}\b|\b\d{4}-\d{2}-\d{2}\b"),
)
_NO_LIMIT_WORDS = (
    frozenset(
        map(
            comparable_key,
            ("no standard", "no limit", "none set", "kein Grenzwert", "ohne Grenzwert"),
        )
    )
    | frozenset(
        map(
            comparable_key,
            ("nicht festgelegt", "sans limite", "sans objet", "geen norm", "sin límite"),
        )
    )
    | frozenset(map(comparable_key, ("senza limite", "bez limitu", "brak normy", "brak")))
)
"""What stands in the column of the limit where the law has none (from memory)."""
_AT_DEGREES = re.compile(
    r"[\s,(]*(?:bei|at|@|à|a|bij|při|przy|ved|w)?\s*\(?\b(\d{2,3})\s*[°º˚]\s?C\)?"
)
_AS = frozenset({"as", "als", "en", "come", "como", "jako", "in", "expressed"})
_NOTHING = frozenset({"-", "–", "—", ":", "=", "|", "/", "...", "…", "+", "++", "--", ""})


class Slot(NamedTuple):
    """A column of figures. unit: as its heading has it, may be empty."""

    kind: str
    unit: str = ""


class Figures(NamedTuple):
    """What a line says behind its name. values: by column; why: nothing was taken, in words."""

    values: Mapping[str, str] = {}
    unit: str = ""
    basis: str = ""
    why: str = ""


def without_noise(text: str) -> str:
    """Return a line without methods of analysis and dates, whose figures are none of the water."""
    for pattern in _NOISE:
        text = pattern.sub(" ", text)
    return text


def without_temperature(text: str) -> tuple[str, str]:
    """Return a line without the temperature it was measured or dried at, and that temperature."""
    found = _AT_DEGREES.search(text)
    return (text, "") if found is None else (_AT_DEGREES.sub(" ", text), found[1])


def figures_of(text: str, key: str, slots: Sequence[Slot]) -> Figures:
    """Return the figures in a text. key: our row. slots: columns of the heading in force."""
    tokens = _tokens(as_plain_words(text), keep_dashes=bool(slots))
    words = [text for kind, text in tokens if kind == "word"]
    labelled = any(report_column(word) in SLOTS for word in words)
    unit, basis, unknown = _unit(word for word in words if report_column(word) not in SLOTS)
    if unknown:
        return Figures(why="it holds words that are neither a unit nor known here")
    found = [text for kind, text in tokens if kind == "figure"]
    if not found:
        return Figures(unit=unit, basis=basis, why="it holds no figure")
    if labelled:
        return _labelled(tokens)._replace(unit=unit, basis=basis)
    if not slots:
        if len(found) > 1:
            return Figures(
                why=f"it holds {len(found)} figures and no heading says which is which: keep one, "
                "or put a line such as `name unit min mean max` above"
            )
        return Figures({"value": found[0]}, unit, basis)
    chosen = _in_slots(found, slots, key)
    if chosen is None:
        return Figures(
            why=f"it holds {len(found)} figures for the {len(slots)} columns of the heading"
        )
    heading = next((slot.unit for slot in slots if slot.unit), "")
    return Figures({k: v for k, v in chosen.items() if k in _KEPT}, unit or heading, basis)


def _tokens(text: str, *, keep_dashes: bool) -> list[tuple[str, str]]:
    """Return figures, words for none, and other words, in their order."""
    tokens: list[tuple[str, str]] = []
    at = 0
    for found in _FIGURE.finditer(text):
        tokens += _words(text[at : found.start()], keep_dashes)
        tokens.append(("figure", found[0].rstrip("*").strip()))
        at = found.end()
    return tokens + _words(text[at:], keep_dashes)


def _words(text: str, keep_dashes: bool) -> list[tuple[str, str]]:
    words = re.sub(r"[\[\](){}|;,:=]+(?=\s|$)|(?:^|(?<=\s))[\[\](){}|;,:=]+", " ", text).split()
    tokens: list[tuple[str, str]] = []
    while words:
        for length in (3, 2, 1):
            phrase = " ".join(words[:length])
            if len(words) >= length and _says_no_limit(phrase):
                # It fills a column of the heading, and says nothing of the water.
                tokens += [("figure", "-")] if keep_dashes else []
                break
            if len(words) >= length and word_for_none(phrase):
                if phrase not in _NOTHING or keep_dashes:
                    tokens.append(("figure", phrase))
                break
        else:
            length = 1
            if words[0] not in _NOTHING:
                tokens.append(("word", words[0].strip("[](){}")))
        del words[:length]
    return tokens


@lru_cache(maxsize=1024)
def _says_no_limit(phrase: str) -> bool:
    return comparable_key(phrase) in _NO_LIMIT_WORDS


def _unit(words: Iterable[str]) -> tuple[str, str, bool]:
    """Return unit and basis of some words, and whether one of them is neither."""
    words = list(words)
    if has_basis_inside(whole := " ".join(words)):
        return whole, "", False
    units: list[str] = []
    basis = ""
    unknown = False
    for word in words:
        if basis_called(word) and not (units and units[-1].endswith("/")):
            basis = word
        elif word.casefold() not in _AS:
            units.append(word)
            unknown |= not is_unit(word)
    text = " ".join(dict.fromkeys(units))
    return text, basis, unknown and not is_unit(text)


def is_unit(text: str) -> bool:
    """Tell whether a text looks like the unit of a concentration, hardness or conductivity."""
    plain = re.sub(r"\s+", "", text).casefold()
    return bool(
        quantities_with(text)
        or re.fullmatch(
            r"[mµμukn]?(?:g|mol|val|eq|ekv|s|siemens)[\w₀-₉()³⁻¹+-]*[/.·][\w³⁻¹-]+", plain
        )
        or re.fullmatch(
            r"(?:ph-?)?(?:einheiten|einheit|units?|unités?|eenheden|unidades|unità)", plain
        )
        or plain in ("ph", "ppm", "ppb", "°c")
    )


def _labelled(tokens: Sequence[tuple[str, str]]) -> Figures:
    """Return figures that each stand behind the word for what they are: ``min 55 max 70``."""
    values: dict[str, str] = {}
    label = "value"
    for kind, text in tokens:
        if kind == "word":
            column = report_column(text)
            label = column if column in SLOTS else label
        elif label in values:
            return Figures(why="it holds two figures under one word")
        else:
            values[label] = text
            label = "value"
    kept = {key: value for key, value in values.items() if key in _KEPT}
    return Figures(kept) if kept else Figures(why="it states a limit only")


def _in_slots(found: Sequence[str], slots: Sequence[Slot], key: str) -> Mapping[str, str] | None:
    """Return the figures by column, None where they do not fit the columns."""
    kinds = [slot.kind for slot in slots]
    if len(found) == len(kinds):
        return dict(zip(kinds, found, strict=True))
    kept = [kind for kind in kinds if kind in _KEPT]
    if len(found) > len(kinds):
        # A limit of two ends, as that of the pH, or with words; what is kept stands on one side.
        if kinds[: len(kept)] == kept:
            return dict(zip(kept, found, strict=False))
        if kinds[len(kinds) - len(kept) :] == kept:
            return dict(zip(kept, found[len(found) - len(kept) :], strict=True))
        return None
    if len(found) == len(kept) and key in _NO_LIMIT:
        return dict(zip(kept, found, strict=True))
    return None
