"""Values of BeerXML that are not plainly what the standard asks for, and what they are read as.

Outcomes: read with a note, repaired with a warning, left out with an error. Where the mash and the
water do not depend on the field, nothing weighs more than a note.
"""

import math
from typing import Any, Final, NamedTuple

from recipe_tools import units
from recipe_tools.findings import ProposedEdit, Severity
from recipe_tools.formats.fields import MEASURED, QUANTITIES, SMALLEST, Field, weight
from recipe_tools.formats.notices import Notices, shown
from recipe_tools.formats.numbers import INTEGER, is_not_finite, written_number

_FLAG_WORDS: Final = {"true": True, "false": False}
_MOST_DIGITS: Final = 15
_DAY_MIN: Final = 1440.0
_JOULE_PER_CALORIE: Final = 4184.0
_SCALES: Final = {"plato": "degrees Plato", "points": "thousandths"}


class Measured(NamedTuple):
    """An amount whose unit word says what the flag AMOUNT_IS_WEIGHT otherwise decides: kg or L."""

    value: float
    is_weight: bool


class Doubtful(NamedTuple):
    """A value as written (without blanks around it), its field and its place."""

    record: str
    field: Field
    text: str
    path: str
    notices: Notices

    def note(
        self,
        rule: str,
        message: str,
        severity: Severity | None = None,
        *,
        instead: str = "",
        keeps_meaning: bool = False,
        **values: Any,
    ) -> None:
        """Note a fault; ``field`` and ``value`` of the message are filled in here.

        instead: what the standard would have there, if that is clear. keeps_meaning: without any
            doubt.
        """
        pointer = f"{self.path}/{self.field.tag}"
        self.notices.add(
            rule,
            message,
            pointer,
            severity=severity,
            edit=ProposedEdit(f"Write {instead}", pointer, instead, keeps_meaning)
            if instead
            else None,
            **{
                "field": f"{self.record}.{self.field.tag}",
                "value": shown(self.text),
                **values,
            },
        )

    def left_out(self, rule: str, message: str, **values: Any) -> None:
        """Note that the value is not used."""
        self.note(rule, f"{message} It is left out.", weight(self.field, Severity.ERROR), **values)

    def wrong_type(self, expected: str) -> None:
        """Note that the value is not of the kind the standard asks for."""
        self.left_out(
            "standard/wrong-type",
            '{field} is "{value}" where {expected} is expected.',
            expected=expected,
        )

    def impossible(self) -> None:
        """Note that the value cannot be true."""
        self.left_out("standard/impossible-value", "{field} is {value}, which is impossible.")


def settle(record: str, field: Field, text: str, path: str, notices: Notices) -> Any:
    """Return the value of a number, list word or Boolean in doubt; None where unusable."""
    value = Doubtful(record, field, text.strip(), path, notices)
    if field.tag == "VERSION":
        return _version(value)
    if not value.text:
        missed = field.needed and field.required == "yes"
        value.note(
            "standard/empty-number",
            "{field} is empty; it counts as not stated.",
            Severity.WARNING if missed else None,
        )
        return None
    if field.kind == "boolean":
        return _flag(value)
    if field.kind == "list":
        return _listed(value)
    if field.kind == "integer":
        return _integer(value)
    number = _number(value)
    if number is not None and field.unit == "L|kg":
        return _measured(number, value.text)
    return number


def _measured(value: float, text: str) -> float | Measured:
    written = written_number(text)
    word = written.unit if written is not None else ""
    return Measured(value, units.meant_unit("mass", word) is not None) if word else value


def _version(value: Doubtful) -> None:
    if value.text:
        message = "VERSION is {value}, not 1; the record is read as edition 1 of BeerXML."
        value.note("file/unknown-version", message, field="VERSION")
    else:
        message = "VERSION is empty; the record is read as edition 1 of BeerXML."
        value.note("file/unknown-version", message, field="VERSION", value="none")


def _flag(value: Doubtful) -> bool | None:
    flag = _FLAG_WORDS.get(value.text.lower())
    if flag is None:
        value.wrong_type("TRUE or FALSE")
        return None
    if value.text.isupper():
        return flag
    value.note(
        "standard/boolean-spelling",
        '{field} is "{value}"; BeerXML writes TRUE and FALSE in capitals. It is read as meant.',
        instead=str(flag).upper(),
        keeps_meaning=True,
    )
    return flag


def _listed(value: Doubtful) -> str:
    word = " ".join(value.text.lower().split())
    words = value.field.words
    fits = next((listed for listed in words if listed.lower() == word), None)
    if fits == value.text:
        return word
    if fits is not None:
        message = '{field} is "{value}"; the standard writes {listed}. It is read as meant.'
    else:
        message = '{field} is "{value}"; the standard lists {listed}. The word is kept.'
    value.note(
        "standard/value-not-listed",
        message,
        instead=fits or "",
        keeps_meaning=True,
        listed=fits or ", ".join(words),
    )
    return word


def _integer(value: Doubtful) -> float | None:
    written = written_number(value.text)
    whole = INTEGER.fullmatch(value.text) or (
        written is not None and not written.unit and written.value.is_integer()
    )
    if not whole or len(value.text) > _MOST_DIGITS:
        value.wrong_type("a whole number")
        return None
    number = float(value.text)
    if number < value.field.low:
        value.impossible()
        return None
    return number


def _number(value: Doubtful) -> float | None:
    written = written_number(value.text)
    if is_not_finite(value.text) or (written is not None and not math.isfinite(written.value)):
        value.left_out(
            "standard/not-finite",
            '{field} is "{value}", which is not a number a quantity can have.',
        )
        return None
    if written is None:
        value.wrong_type(_expected(value.field))
        return None
    number = written.value
    if written.unit:
        converted = _without_unit(value, number, written.unit)
        if converted is None:
            return None
        number = converted
    if written.comma:
        value.note(
            "standard/decimal-comma",
            '{field} is "{value}"; the comma is read as a decimal point: {read}.',
            weight(value.field, Severity.WARNING),
            instead=_exact(number),
            read=_plain(number),
        )
    return _plausible(value, number)


def _expected(field: Field) -> str:
    unit = field.unit.replace("|", " or ")
    return f"a number in {unit}" if unit and unit not in ("SG", "pH") else "a number"


def _without_unit(value: Doubtful, number: float, word: str) -> float | None:
    """Return the value in the unit of the field; Appendix A allows units in its own fields."""
    field = value.field
    converted = _converted(field, number, word)
    if converted is None:
        value.wrong_type(_expected(field))
        return None
    same = math.isclose(converted, number, rel_tol=1e-9, abs_tol=1e-12)
    if field.extension:
        return number if same else converted
    value.note(
        "standard/number-with-unit",
        '{field} is "{value}"; BeerXML wants the bare number in {unit}. It is read as {read}.',
        Severity.NOTE if same else weight(field, Severity.WARNING),
        instead=_exact(number) if same else _plain(converted),
        keeps_meaning=same,
        unit=field.unit.replace("|", " or "),
        read=f"{_plain(converted)} {_unit_read(field, word)}".strip(),
    )
    return number if same else converted


def _unit_read(field: Field, word: str) -> str:
    if field.unit == "L|kg":
        return "kg" if units.meant_unit("mass", word) else "L"
    return "" if field.unit in ("SG", "pH") else field.unit.partition("|")[0]


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
        return _colour(result, field)
    if field.unit == "day":
        return result / _DAY_MIN
    return result / _JOULE_PER_CALORIE if quantity == "specific_heat" else result


def _colour(ebc: float, field: Field) -> float:
    srm = ebc / units.EBC_PER_SRM
    if field.unit == "SRM":
        return srm
    return (srm - units.SRM_AT_ZERO_LOVIBOND) / units.SRM_PER_LOVIBOND


def _plausible(value: Doubtful, number: float) -> float | None:
    field = value.field
    if field.unit == "SG":
        return _gravity(value, number)
    if field.fraction_below and 0.0 < number <= field.fraction_below:
        value.note(
            "standard/fraction-for-percent",
            "{field} is {value}; BeerXML wants percent. It is read as {read} %.",
            instead=_plain(number * 100.0),
            read=_plain(number * 100.0),
        )
        return number * 100.0
    if 0.0 < number < SMALLEST and field.unit in MEASURED:
        value.note(
            "standard/impossible-value",
            "{field} is {value} {unit}, which nobody can measure; read as 0.",
            Severity.NOTE,
            unit=field.unit.replace("|", " or "),
        )
        return 0.0
    if field.low <= number <= field.high:
        return number
    value.impossible()
    return None


def _gravity(value: Doubtful, number: float) -> float | None:
    if value.field.low <= number <= value.field.high:
        return number
    if number == 0.0:
        value.note(
            "standard/impossible-value",
            "{field} is 0, which cannot be a gravity; it counts as not stated.",
            Severity.NOTE,
        )
        return None
    meant = units.gravity_meant(number)
    if meant is None:
        value.impossible()
        return None
    gravity, scale = meant
    value.note(
        "standard/gravity-not-sg",
        "{field} is {value}; BeerXML wants specific gravity. It is read as {scale}: {read}.",
        instead=f"{gravity:.4f}",
        scale=_SCALES[scale],
        read=f"{gravity:.4f}",
    )
    return gravity


def _plain(value: float) -> str:
    return f"{value:.6g}"


def _exact(value: float) -> str:
    return f"{value:.15g}"
