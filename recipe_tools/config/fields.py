"""How single values of recipe-tools.toml are read: one small reader for each kind of value.

A reader takes the value and returns what `Options` holds, or raises `WrongValueError`, which says
what is allowed and never repeats the value.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.quantities import (
    COLOUR,
    DURATION,
    EQUIVALENTS,
    MASS,
    MASS_CONCENTRATION,
    PERCENT,
    TEMPERATURE,
    VOLUME,
    VOLUME_PER_MASS,
    Measure,
    QuantityError,
    amount_with_unit,
    plain,
    split,
)

Reader = Callable[[Any], Any]
MAX_TEXT = 300
MAX_LIST = 200
_RULE_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class WrongValueError(ValueError):
    """A value that is not allowed; the message says what is, as in "is not true or false"."""


@dataclass(frozen=True, slots=True)
class Table:
    """The keys of a table, their readers, and which of them must be there."""

    readers: Mapping[str, Reader]
    required: tuple[str, ...] = ()


def flag(value: Any) -> bool:
    """Read true or false."""
    if not isinstance(value, bool):
        raise WrongValueError("is not true or false")
    return value


def as_it_is(value: Any) -> Any:
    """Hand a value on that can only be read once another is known."""
    return value


def rule_name(value: Any) -> str:
    """Read the name of an own rule, the part of its id behind the slash."""
    name = text(value)
    if not _RULE_NAME.fullmatch(name):
        raise WrongValueError("is not lower-case words with hyphens, such as bitter-sulfate")
    return name


def text(value: Any) -> str:
    """Read a text that is not empty."""
    if not isinstance(value, str):
        raise WrongValueError("is not a text")
    if not value.strip():
        raise WrongValueError("is empty")
    if len(value) > MAX_TEXT:
        raise WrongValueError(f"is longer than {MAX_TEXT} characters")
    return value.strip()


def texts(value: Any) -> tuple[str, ...]:
    """Read a list of texts that is not empty."""
    if not isinstance(value, list) or not value:
        raise WrongValueError("is not a list of texts")
    if len(value) > MAX_LIST:
        raise WrongValueError(f"has more than {MAX_LIST} entries")
    return tuple(text(item) for item in value)


def choice(*allowed: str) -> Reader:
    """Return a reader of one of several words."""

    def read(value: Any) -> str:
        if not isinstance(value, str) or value not in allowed:
            words = ", ".join(f'"{word}"' for word in allowed)
            raise WrongValueError(f"is not one of {words}")
        return value

    return read


def quantity(measure: Measure, low: float, high: float) -> Reader:
    """Return a reader of a number in the measure's unit, or a text with a unit, within bounds."""

    def read(value: Any) -> float:
        try:
            if isinstance(value, str):
                number, unit = split(value)
                result = amount_with_unit(number, unit, measure)
            else:
                result = plain(value, measure)
        except QuantityError as error:
            raise WrongValueError(str(error)) from None
        if not low <= result <= high:
            raise WrongValueError(f"is not between {low:g} and {high:g} {measure.unit}".rstrip())
        return result

    return read


def chlorine(value: Any) -> float:
    """Read residual chlorine in mg/L as Cl2; a text may name its basis."""
    if isinstance(value, list):
        raise WrongValueError("is a list where one concentration is meant")
    from recipe_tools.water_report.units import concentration

    try:
        result = concentration(value, "chlorine").to_treat
    except QuantityError as error:
        raise WrongValueError(str(error)) from None
    if result > 10.0:
        raise WrongValueError("is not between 0 and 10 mg/L")
    return result


def day(value: Any) -> date:
    """Read a date, as TOML has it or as a text such as "2030-12-31"."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, str) and len(value) == 10:
        try:
            return date.fromisoformat(value)
        except ValueError:
            pass
    raise WrongValueError("is not a date such as 2030-12-31")


def name_or_place(value: Any) -> str | int:
    """Read the name of a recipe, or its place in the file counted from 0."""
    if isinstance(value, int) and not isinstance(value, bool):
        if 0 <= value < 1_000_000:
            return value
        raise WrongValueError("is not a place from 0 on, nor a recipe's name")
    return text(value)


def agent(value: Any) -> Mapping[str, Any]:
    """Read a salt, acid or sulfite by name or id.

    Returns what the name settles: ``agent`` (id), ``name`` as written, and ``strength_percent`` and
    ``form`` where it says them ("lactic acid 88 %").
    """
    written = text(value)
    from recipe_tools.reference import agents, nearest_agents, recognise_agent

    if written in agents():
        return {"agent": written, "name": written}
    match = recognise_agent(written)
    if match is None:
        nearest = ", ".join(nearest_agents(written[:80]))
        hint = f"; near to it are {nearest}" if nearest else ""
        raise WrongValueError(f"is not a salt or acid that is known{hint}")
    read = {
        "agent": match.agent_id,
        "name": written,
        "strength_percent": match.strength_percent,
        "form": match.form_named,
    }
    return {key: item for key, item in read.items() if item is not None}


def ion_range(ion: str) -> Reader:
    """Return a reader of (low, high) for an ion in mg/L, an open end being None.

    Allowed are ``[50, 100]``, ``"50 - 100 mg/L"`` and ``{ low = 50 }``. For
    ``residual_alkalinity_meq_l`` mEq/L, below 0 too, for ``sulfate_to_chloride`` plain numbers.
    """

    def read(value: Any) -> tuple[float | None, float | None]:
        if isinstance(value, Mapping):
            if not value or not value.keys() <= {"low", "high"}:
                raise WrongValueError("is not a table of low and high")
            ends = tuple(value.get(name) for name in ("low", "high"))
        elif isinstance(value, list) and len(value) == 2:
            ends = (value[0], value[1])
        elif isinstance(value, str):
            return _two_ends(value, ion)
        else:
            raise WrongValueError('is not a range such as [50, 100] or "50 - 100 mg/L"')
        low_high = tuple(None if end is None else _span(end, ion)[0] for end in ends)
        return _rising(low_high[0], low_high[1])

    return read


def level(ion: str) -> Reader:
    """Return a reader of one limit of an ion; units as for `ion_range`."""

    def read(value: Any) -> float:
        low, high = _span(value, ion)
        if low != high:
            raise WrongValueError("is a range where one number is meant")
        return low

    return read


def _two_ends(value: str, ion: str) -> tuple[float | None, float | None]:
    low, high = _span(value, ion)
    if low == high:
        raise WrongValueError('is one number where a range such as "50 - 100 mg/L" is meant')
    return low, high


def _rising(low: float | None, high: float | None) -> tuple[float | None, float | None]:
    if low is not None and high is not None and low > high:
        raise WrongValueError("is a range whose first end is the greater one")
    return low, high


def _span(value: Any, ion: str) -> tuple[float, float]:
    from recipe_tools.water_report.units import concentration, signed_equivalents, spread

    if isinstance(value, list):
        raise WrongValueError("is a list of lists")
    try:
        if ion == "residual_alkalinity_meq_l":
            estimate = signed_equivalents(value).value
        elif ion == "sulfate_to_chloride":
            estimate, unit = spread(value)
            if unit or estimate.low < 0:
                raise WrongValueError("is not a ratio such as 1.5")
        else:
            estimate = concentration(value, ion).value
    except QuantityError as error:
        raise WrongValueError(str(error)) from None
    return estimate.low, estimate.high


LITRES = quantity(VOLUME, 0.0, 100_000.0)
GRAMS = quantity(MASS, 0.0, 10_000.0)
SHARE = quantity(PERCENT, 0.0, 100.0)
LITRES_PER_KG = quantity(VOLUME_PER_MASS, 0.0, 100.0)
MASH_THICKNESS = quantity(VOLUME_PER_MASS, 0.5, 100.0)
"""Of a mash for a certificate; the model takes its logarithm (derived_default)."""


def number(low: float, high: float) -> Reader:
    """Return a reader of a plain number within bounds; a text is refused."""
    bounded = quantity(_PLAIN, low, high)

    def read(value: Any) -> float:
        if isinstance(value, str):
            raise WrongValueError("is a text where a plain number is meant")
        return float(bounded(value))

    return read


_PLAIN = Measure("plain number", "", "", "12.5")
_MEASURES: Mapping[str, Measure] = {
    measure.unit: measure
    for measure in (
        VOLUME,
        MASS,
        PERCENT,
        VOLUME_PER_MASS,
        MASS_CONCENTRATION,
        EQUIVALENTS,
        TEMPERATURE,
        DURATION,
        COLOUR,
    )
}


def like_default(default: Any, unit: str) -> Reader:
    """Return a reader of an option of a rule: the type of its default, numbers in its unit.

    unit: as declared, perhaps with words behind it (``% of the grist``, ``mg/L as CaCO3``).
    """
    if isinstance(default, bool):
        return flag
    if isinstance(default, (int, float)):
        return _number_in(unit)
    if isinstance(default, str):
        return text
    if isinstance(default, (list, tuple, set, frozenset)):
        return _list_like(default, unit)
    return _number_or_text


def _number_in(unit: str) -> Reader:
    if unit == "mg/L as CaCO3":
        return lambda value: _signed_meq(value, 1.0 / CACO3_MG_MEQ) * CACO3_MG_MEQ
    word = unit.partition(" ")[0]
    if word == EQUIVALENTS.unit:
        return lambda value: _signed_meq(value, 1.0)
    return _any_number(_MEASURES.get(word, _PLAIN))


def _any_number(measure: Measure) -> Reader:
    return quantity(measure, -1e9, 1e9)


def _signed_meq(value: Any, bare: float) -> float:
    """Return mEq/L; a number without unit counts as so many of them."""
    if not isinstance(value, str):
        return bare * float(_any_number(_PLAIN)(value))
    from recipe_tools.water_report.units import signed_equivalents

    try:
        return signed_equivalents(value).value.best
    except QuantityError as error:
        raise WrongValueError(str(error)) from None


def _list_like(default: Any, unit: str) -> Reader:
    first = next(iter(default), "")
    one = like_default(first, unit)

    def read(value: Any) -> Any:
        if not isinstance(value, list) or len(value) > MAX_LIST:
            raise WrongValueError(f"is not a list of at most {MAX_LIST} entries")
        return tuple(one(item) for item in value)

    return read


def _number_or_text(value: Any) -> Any:
    return text(value) if isinstance(value, str) else _any_number(_PLAIN)(value)
