"""Values of BeerXML that do not go the short way: texts settled by `values` for their fields."""

from typing import Any, Final, NamedTuple

from recipe_tools import units
from recipe_tools.formats import values
from recipe_tools.formats.fields import QUANTITIES, Field
from recipe_tools.formats.notices import Notices, shown
from recipe_tools.formats.numbers import INTEGER, written_number
from recipe_tools.formats.values import Deviating

_MOST_DIGITS: Final = 15
_EDITION: Final = "edition 1 of BeerXML"


class Measured(NamedTuple):
    """An amount whose unit word says what the flag AMOUNT_IS_WEIGHT otherwise decides: kg or L."""

    value: float
    is_weight: bool


def settle(field: Field, text: str, path: str, notices: Notices) -> Any:
    """Return the value of a number, list word or Boolean that deviates; None where unusable."""
    text = text.strip()
    name = f"{field.record}.{field.tag}"
    value = Deviating(field, name, text, f"{path}/{field.tag}", notices, shown(text))
    if field.tag == "VERSION":
        stated = f"VERSION is {shown(text)}, not 1" if text else "VERSION is empty"
        notices.add(
            "file/unknown-version",
            value.place,
            field="VERSION",
            value=shown(text) or "none",
            fault=stated,
            edition=_EDITION,
        )
        return None
    if not text or field.kind in ("number", "percentage"):
        return _number(value, field)
    if field.kind == "boolean":
        return values.flag(value, ("TRUE", "FALSE"))
    if field.kind == "list":
        return values.word(value, field.words, str)
    return _integer(value, field)


def no_version(path: str, notices: Notices) -> None:
    """Note that a record does not say which edition it follows."""
    stated = "No VERSION is given"
    notices.add("file/unknown-version", path, value="none", fault=stated, edition=_EDITION)


def _integer(value: Deviating, field: Field) -> float | None:
    written = written_number(value.text)
    whole = INTEGER.fullmatch(value.text) or (
        written is not None and not written.unit and written.value.is_integer()
    )
    if not whole or len(value.text) > _MOST_DIGITS:
        value.wrong_type("a whole number")
        return None
    return values.plausible(value, float(value.text))


def _number(value: Deviating, field: Field) -> float | Measured | None:
    size = values.number(value, lambda size, word: _converted(field, size, word))
    if size is None:
        return None
    size = values.plausible(value, size)
    if size is None or field.unit != "L|kg":
        return size
    written = written_number(value.text)
    word = written.unit if written is not None else ""
    return Measured(size, units.meant_unit("mass", word) is not None) if word else size


def _converted(field: Field, number: float, word: str) -> float | None:
    if field.unit == "%/h":
        percent = units.meant_unit("percent", word.removesuffix("/h").strip())
        return number if percent is not None else None
    if field.unit == "L|kg":
        quantity = "mass" if units.meant_unit("mass", word) else "volume"
    else:
        quantity = QUANTITIES.get(field.unit, "")
    unit = units.meant_unit(quantity, word) if quantity else None
    if unit is None:
        return None
    result = units.convert(quantity, number, unit)
    if quantity == "colour":
        return result / units.EBC_PER_SRM if field.unit == "SRM" else units.lovibond(result)
    if field.unit == "day":
        return result / units.convert("time", 1.0, "day")
    if quantity == "specific_heat":
        return result / units.convert("specific_heat", 1.0, "Cal/(g C)")
    return result
