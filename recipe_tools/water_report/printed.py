"""What stands in a cell of a water report: a number, a span, columns, or a word for none.

Words for "not detected", "about" and the like are those laboratories print (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Literal, NamedTuple

from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.quantities import (
    MASS_CONCENTRATION,
    MAX_LENGTH,
    QuantityError,
    plain,
    split,
    split_span,
)
from recipe_tools.reference.report_names import report_column
from recipe_tools.reference.wording import key as comparable_key

Qualifier = Literal["", "about", "below", "none", "unstated"]

ABOUT = 0.10
"""Part by which a figure given as "about" may be off either way (derived_default)."""

_NOT_DETECTED = (
    *("n.d.", "nd", "not detected", "none detected", "not detectable", "undetected", "none", "nil"),
    *("bdl", "below detection", "below detection limit", "< LOD", "< LOQ", "< LOR", "< DL"),
    *("n.n.", "nicht nachweisbar", "nicht nachgewiesen", "u.BG", "u. NWG", "< BG", "< NG"),
    *("non détecté", "non détectée", "niet aantoonbaar", "niet aangetoond", "no detectado"),
    *("no detectable", "não detectado", "non rilevato", "non rilevabile", "nezjištěno"),
    *("nedetekováno", "nie wykryto", "nie stwierdzono", "ikke påvist", "ej påvisad"),
    *("ej detekterad", "ei havaittu", "не обнаружено", "absent", "absence"),
)
_NOT_STATED = (
    *("-", "--", "–", "n/a", "n.a.", "not analysed", "not analyzed", "not measured", "?"),
    *("not tested", "not determined", "n.b.", "nicht bestimmt", "nicht gemessen", "k.A."),
    *("keine Angabe", "non mesuré", "non déterminé", "niet bepaald", "niet gemeten"),
    *("no determinado", "no analizado", "não determinado", "non determinato", "nestanoveno"),
    *("neměřeno", "nie oznaczono", "nie badano", "ikke målt", "ej mätt", "не определено"),
)


def _key(text: str) -> str:
    """Return a comparable spelling; of mere signs, the signs."""
    below = "<" if text.lstrip().startswith("<") else ""
    return below + (comparable_key(text) or text.strip())


_WORDS: Mapping[str, Qualifier] = MappingProxyType(
    {
        **dict.fromkeys(map(_key, _NOT_DETECTED), "none"),
        **dict.fromkeys(map(_key, _NOT_STATED), "unstated"),
    }
)
_NUMBER = r"[0-9][0-9.,]*(?:[eE][+-]?[0-9]{1,2})?"
_ABOUT_WORDS = re.compile(
    r"(?:[~≈∼≃]|(?:ca|c|circa|cirka|cca|zirka|approx|approximately|about|around|roughly|etwa|rund"
    r"|ungefähr|environ|env|aprox|aproximadamente|alrededor de|ongeveer|około|ok|asi|omkring"
    r"|ungefär|noin|около)\b\.?)\s*(?=[0-9.,])",
    re.IGNORECASE,
)
_LESS_WORDS = re.compile(
    r"(?:[≤⩽]|(?:less than|lower than|below|under|kleiner als|unter|moins de|inférieur à|minder dan"
    r"|menos de|inferior a|meno di|inferiore a|menos que|pod|méně než|poniżej|mniej niż|mindre end"
    r"|mindre än|mindre enn|alle|менее|ниже)\b)\s*(?=[0-9.,])",
    re.IGNORECASE,
)
_ABOUT_INSIDE, _LESS_INSIDE = (
    re.compile(rf"(?<![\w/]){words.pattern}", re.IGNORECASE)
    for words in (_ABOUT_WORDS, _LESS_WORDS)
)
_SPAN_WORDS = re.compile(
    rf"({_NUMBER})\s*(?:\.\.\.?|…|bis|à|tot|až|do|til|till|hasta|até|–|—)\s*({_NUMBER})(.*)"
)
_UNIT_TWICE = re.compile(
    rf"({_NUMBER})\s*([A-Za-zµ°%].*?)(?:\s+-\s+|\s*-\s*(?=\S+\s*\2$))({_NUMBER})\s*(.*)"
)
_PLUS_MINUS = re.compile(rf"({_NUMBER})\s*(?:±|\+/-|\+-)\s*({_NUMBER})\s*(.*)")
_COLUMNS = re.compile(rf"({_NUMBER})\s*/\s*({_NUMBER})\s*/\s*({_NUMBER})\s*(.*)")
_MEAN_AND_SPAN = re.compile(
    rf"({_NUMBER})\s*([^(\[]*?)\s*[(\[]\s*({_NUMBER})\s*(?:-|–|—|to|bis|à)\s*({_NUMBER})\s*"
    r"([^)\]]*)[)\]]\s*(.*)"
)
_ENDS = ("min", "mean", "max")
_NO_QUANTITY = "is not a quantity such as 84 mg/L, nor a list of low and high"


class Printed(NamedTuple):
    """A value as printed, in the unit stated with it (may be empty).

    qualifier: ``about``; ``below`` what the laboratory can tell; ``none`` detected; ``unstated``,
    where the cell says that nobody looked.
    """

    value: Estimate
    unit: str = ""
    qualifier: Qualifier = ""


def printed(value: object) -> Printed:
    """Return what a cell says. Raises QuantityError.

    value: number, text, ``[low, high]``, ``[low, best, high]`` or a table of ``min``, ``mean`` and
    ``max`` with an optional ``unit``. ``< 0.5 mg/L`` gives 0, half and the whole of it.
    """
    if isinstance(value, bool):
        raise QuantityError("is true or false where a quantity is wanted")
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, (int, float)):
        return Printed(exactly(plain(value, MASS_CONCENTRATION)))
    if isinstance(value, list) and len(value) in (2, 3):
        if any(isinstance(item, list) for item in value):
            raise QuantityError("is a list of lists")
        low, *middle, high = value
        return _ends(low, middle[0] if middle else None, high)
    if isinstance(value, Mapping):
        return _columns(value)
    raise QuantityError(_NO_QUANTITY)


@lru_cache(maxsize=1024)
def word_for_none(text: str) -> Qualifier:
    """Return ``none`` for a word that nothing was found, ``unstated`` that nobody looked."""
    return _WORDS.get(_key(text), "")


def as_plain_words(text: str) -> str:
    """Return a text with signs for ``about`` and ``less than`` in place of words in a language."""
    return _ABOUT_INSIDE.sub("~", _LESS_INSIDE.sub("<", text))


def column_of(key: str) -> tuple[str, str]:
    """Return the row and the column a key names: ``calcium_max`` -> (``calcium``, ``max``)."""
    row, _, last = key.replace(" ", "_").rpartition("_")
    column = report_column(last) if row else ""
    return (row, column) if column in _ENDS else (key, "")


def _text(text: str) -> Printed:
    if len(text) > MAX_LENGTH:
        raise QuantityError(f"is longer than {MAX_LENGTH} characters")
    qualifier = word_for_none(text)
    if qualifier:
        return Printed(exactly(0.0), "", qualifier)
    about = _ABOUT_WORDS.match(text.strip())
    if about is not None:
        (low, best, high), unit, _ = _text(text.strip()[about.end() :])
        return Printed(Estimate(low * (1 - ABOUT), best, high * (1 + ABOUT)), unit, "about")
    spelt = _LESS_WORDS.sub("<", text.strip())
    for pattern, read in (
        (_PLUS_MINUS, _give_or_take),
        (_COLUMNS, _three),
        (_MEAN_AND_SPAN, _mean_and_span),
        (_UNIT_TWICE, _unit_twice),
        (_SPAN_WORDS, _span),
    ):
        if match := pattern.fullmatch(spelt):
            return read(*match.groups())
    low, best, high, unit = split_span(spelt)
    return Printed(Estimate(low, best, high), unit, "below" if spelt.startswith("<") else "")


def _span(low: str, high: str, unit: str) -> Printed:
    first, best, last, unit = split_span(f"{low} - {high} {unit}")
    return Printed(Estimate(first, best, last), unit)


def _unit_twice(low: str, unit: str, high: str, again: str) -> Printed:
    if again.strip() and again.strip() != unit.strip():
        raise QuantityError("gives low and high in different units")
    return _span(low, high, unit)


def _give_or_take(best: str, spread: str, unit: str) -> Printed:
    middle, _ = split(best)
    off, _ = split(spread)
    return Printed(Estimate(max(0.0, middle - off), middle, middle + off), unit.strip())


def _three(low: str, best: str, high: str, unit: str) -> Printed:
    return _ends(*(f"{end} {unit}".strip() for end in (low, best, high)))


def _mean_and_span(best: str, unit: str, low: str, high: str, inner: str, after: str) -> Printed:
    units = {part.strip() for part in (unit, inner, after)} - {""}
    if len(units) > 1:
        raise QuantityError("gives low and high in different units")
    return _three(low, best, high, next(iter(units), ""))


def _columns(table: Mapping[object, object]) -> Printed:
    found: dict[str, object] = {}
    for key, value in table.items():
        column = report_column(str(key))
        if column not in (*_ENDS, "unit") or column in found or isinstance(value, (list, Mapping)):
            raise QuantityError(f"{_NO_QUANTITY}, nor a table of min, mean and max")
        found[column] = value
    unit = found.pop("unit", "")
    if not isinstance(unit, str) or not ("mean" in found or {"min", "max"} <= found.keys()):
        raise QuantityError(f"{_NO_QUANTITY}, nor a table of min, mean and max")
    cell = _ends(found.get("min"), found.get("mean"), found.get("max"))
    return cell._replace(unit=cell.unit or unit)


def _ends(low: object, best: object, high: object) -> Printed:
    """Return one cell of two or three; a missing end lies at the mean."""
    cells = [None if item is None else printed(item) for item in (low, best, high)]
    stated = [cell for cell in cells if cell is not None and cell.qualifier != "unstated"]
    if not stated:
        return Printed(exactly(0.0), "", "unstated")
    unit = _only({cell.unit for cell in stated if cell.unit})
    first, middle, last = cells
    lowest = (first or middle or stated[0]).value.low
    highest = (last or middle or stated[-1]).value.high
    best_value = middle.value.best if middle is not None else (lowest + highest) / 2.0
    if not lowest <= best_value <= highest:
        raise QuantityError("is a list that does not rise from low to high")
    below = all(cell.qualifier in ("below", "none") for cell in stated)
    return Printed(Estimate(lowest, best_value, highest), unit, "below" if below else "")


def _only(units: Iterable[str]) -> str:
    found = sorted(units)
    if len(found) > 1:
        raise QuantityError("gives low and high in different units")
    return found[0] if found else ""
