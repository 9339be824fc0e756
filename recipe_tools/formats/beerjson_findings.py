"""From deviations of the schema to findings a brewer can act on, grouped over equal places.

Nearly every real BeerJSON file lacks something the standard requires. What does not touch water,
mash or beer is a note; what leaves the check without a value is a warning.
"""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.findings import ProposedEdit, Severity
from recipe_tools.formats.beerjson_quantities import (
    BARE,
    KINDS_OF_RECORD,
    amount,
    amount_unit,
    listed_unit,
    number,
    quantity,
)
from recipe_tools.formats.beerjson_schema import Deviation
from recipe_tools.formats.beerjson_unlisted import (
    nearest_member,
    note_unlisted,
    owner_of,
    record_words,
    short,
)
from recipe_tools.formats.fields import is_needed, names_in
from recipe_tools.formats.json_notices import JsonNotices
from recipe_tools.formats.numbers import is_not_finite, written_number

_TYPE_WORDS: Final = {
    "object": "an object",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
}
_Parts = list[Any]


def note_deviations(found: list[Deviation], document: Any, part: str, notices: JsonNotices) -> None:
    """Add all deviations of a document to the notices.

    ``part`` says what the document is: a whole ``document``, a ``body`` without the root member
    around it, or one ``recipe``.
    """
    stray: dict[int | None, list[Deviation]] = {}
    for deviation in found:
        if notices.full:
            notices.left_out += 1
            continue
        recipe = _recipe_index(deviation.parts, part)
        if not deviation.breaks_schema:
            stray.setdefault(recipe, []).append(deviation)
            continue
        _Note(deviation, document, recipe, notices).add()
    for recipe, deviations in stray.items():
        note_unlisted(deviations, document, recipe, notices)


def _recipe_index(parts: _Parts, part: str) -> int | None:
    if part == "recipe":
        return 0
    level = -2 if part == "document" else -1
    if len(parts) >= 1 - level and parts[level] == "recipes":
        return int(parts[level - 1])
    return None


class _Note:
    """One deviation on its way to a finding."""

    __slots__ = ("deviation", "document", "notices", "pointer", "recipe")

    def __init__(
        self,
        deviation: Deviation,
        document: Any,
        recipe: int | None,
        notices: JsonNotices,
    ) -> None:
        self.deviation = deviation
        self.document = document
        self.pointer = deviation.pointer
        self.recipe = recipe
        self.notices = notices

    def add(self) -> None:
        keyword = self.deviation.keyword
        if keyword == "required":
            self._missing()
        elif keyword == "type" or (keyword == "enum" and type(self.deviation.found) is not str):
            self._wrong_type()
        elif keyword == "enum":
            self._not_listed()
        else:
            self._schema()

    def _put(
        self,
        rule: str,
        key: tuple[Any, ...],
        message: str,
        severity: Severity | None,
        edit: ProposedEdit | None = None,
        **values: Any,
    ) -> None:
        member = self._member()
        self.notices.add(
            rule,
            key,
            self.pointer,
            message,
            recipe=self.recipe,
            severity=severity,
            edit=edit,
            member=member,
            owner=self._owner(),
            value=values.pop("value", member),
            **values,
        )

    def _member(self) -> str:
        """The member as a message names it; a part of a quantity with the quantity before it."""
        names = [part for part in self.deviation.parts if type(part) is str]
        if not names:
            return "the document"
        if self._in_quantity() and len(names) > 1:
            return f"{names[1]}.{names[0]}"
        return str(names[0])

    def _needed(self) -> bool:
        return is_needed(names_in(self.pointer))

    def _in_quantity(self) -> bool:
        deviation = self.deviation
        return deviation.record in KINDS_OF_RECORD and bool(deviation.member in ("unit", "value"))

    def _owner(self) -> str:
        return owner_of(self.deviation, self.document)

    def _quantity(self) -> Any:
        """The whole quantity a deviation lies in."""
        if not self._in_quantity():
            return self.deviation.found
        value = self.document
        for part in reversed(self.deviation.parts[1:]):
            value = value[part]
        return value

    def _readable(self) -> bool:
        record, whole = self.deviation.record, self._quantity()
        if record in ("mass_or_volume", "mass_volume_or_count"):
            found = amount(whole)
            return found is not None and bool(amount_unit(found.unit)[0])
        kinds = KINDS_OF_RECORD.get(record)
        return kinds is not None and quantity(kinds[0], whole) is not None

    def _missing(self) -> None:
        deviation = self.deviation
        record, member = deviation.record, deviation.member
        if record in KINDS_OF_RECORD:
            self._incomplete_quantity()
            return
        key = (record, member)
        if self.notices.again("standard/required-missing", key, self.pointer, self.recipe):
            return
        self._put(
            "standard/required-missing",
            key,
            "BeerJSON requires {member} in {record}; it is missing in {owner}.",
            Severity.WARNING if self._needed() else Severity.NOTE,
            record=record_words(record),
        )

    def _incomplete_quantity(self) -> None:
        readable = self._readable()
        unit = BARE.get(self.deviation.record, "")
        self._put(
            "standard/required-missing",
            (self.deviation.record, self._member(), readable),
            "{member} of {owner} is missing; {outcome}.",
            Severity.WARNING if not readable and self._needed() else Severity.NOTE,
            outcome=f"the quantity was read in {unit}" if readable else "the quantity was left out",
            record="quantity",
        )

    def _wrong_type(self) -> None:
        deviation = self.deviation
        found = deviation.found
        if type(found) is str:
            self._text_for_another_type(found)
            return
        expected = _TYPE_WORDS.get(deviation.expected, "a word of the list")
        if found is None:
            key: tuple[Any, ...] = (deviation.record, deviation.member, "null")
            message = "{member} of {owner} is null; it was taken as not stated."
            self._put("standard/wrong-type", key, message, Severity.NOTE, expected=expected)
            return
        readable = self._read_anyway(found)
        outcome = "it was read as it stands" if readable else "it was left out"
        if readable and deviation.expected == "object":
            outcome = f"it was read in {BARE.get(deviation.record, '%')}"
        self._put(
            "standard/wrong-type",
            (deviation.record, deviation.member, type(found).__name__, readable),
            "{member} of {owner} is {found} where {expected} is asked; {outcome}.",
            None if not readable and self._needed() else Severity.NOTE,
            found=_found_words(found),
            expected=self._expected(expected),
            outcome=outcome,
        )

    def _expected(self, words: str) -> str:
        if self.deviation.expected == "object" and self.deviation.record in KINDS_OF_RECORD:
            return "an object of value and unit"
        return words

    def _read_anyway(self, found: Any) -> bool:
        deviation = self.deviation
        if deviation.record in KINDS_OF_RECORD:
            return self._readable()
        if deviation.record == "efficiency" and deviation.expected == "object":
            return quantity("percent", found) is not None
        plain = type(found) is int or type(found) is float
        return plain and deviation.expected in ("string", "integer", "number")

    def _text_for_another_type(self, text: str) -> None:
        deviation = self.deviation
        numeric = deviation.expected in ("number", "integer") or (
            deviation.expected == "object" and deviation.record in KINDS_OF_RECORD
        )
        written = written_number(text) if numeric else None
        read = self._readable() if deviation.record in KINDS_OF_RECORD else number(text) is not None
        if written is None or not read:
            self._unreadable_text(text, numeric)
            return
        rule, how = "standard/wrong-type", "text"
        if written.comma:
            rule, how = "standard/decimal-comma", "text with a decimal comma"
        elif written.unit:
            rule, how = "standard/number-with-unit", "text with a unit"
        edit = None
        if deviation.expected != "object":
            plain = f"{written.value:.15g}"
            clear = not written.unit and not written.comma
            edit = ProposedEdit(f"Write the number {plain}", self.pointer, plain, clear)
        self._put(
            rule,
            (deviation.record, deviation.member, how),
            '{member} of {owner} is {how}, "{text}", where {expected} is asked; '
            "it was read as {size:g}.",
            Severity.NOTE,
            edit,
            how=how,
            text=short(text),
            expected=self._expected(_TYPE_WORDS[deviation.expected]),
            size=written.value,
        )

    def _unreadable_text(self, text: str, numeric: bool) -> None:
        deviation = self.deviation
        rule, edit = "standard/wrong-type", None
        word = text.strip().lower()
        if numeric and not word:
            rule = "standard/empty-number"
        elif numeric and is_not_finite(text):
            rule = "standard/not-finite"
        elif deviation.expected == "boolean" and word in ("true", "false"):
            rule = "standard/boolean-spelling"
            edit = ProposedEdit(f"Write {word}", self.pointer, word, keeps_meaning=True)
        self._put(
            rule,
            (deviation.record, deviation.member, "text"),
            '{member} of {owner} is the text "{text}" where {expected} is asked; it was left out.'
            if text.strip()
            else "{member} of {owner} is empty where {expected} is asked; it was left out.",
            None if text.strip() and self._needed() else Severity.NOTE,
            edit,
            text=short(text),
            expected=self._expected(_TYPE_WORDS.get(deviation.expected, "a word of the list")),
        )

    def _not_listed(self) -> None:
        deviation = self.deviation
        word = deviation.found
        key = (deviation.record, deviation.member, word)
        if self.notices.again("standard/value-not-listed", key, self.pointer, self.recipe):
            return
        if self._in_quantity():
            self._unit_not_listed(word, key)
            return
        meant = next((item for item in deviation.expected if item == _plain(word)), None)
        edit = None
        if meant is not None:
            edit = ProposedEdit(f'Write "{meant}"', self.pointer, f'"{meant}"', True)
        self._put(
            "standard/value-not-listed",
            key,
            '{member} of {owner} is "{word}"; the standard lists {listed}. {outcome}.',
            Severity.NOTE,
            edit,
            value=word,
            word=short(word),
            listed=", ".join(deviation.expected),
            outcome=f"It was read as {meant}" if meant else "It was kept as written",
        )

    def _unit_not_listed(self, word: str, key: tuple[Any, ...]) -> None:
        record = self.deviation.record
        kinds = KINDS_OF_RECORD[record]
        meant = next((unit for kind in kinds if (unit := listed_unit(kind, word))), None)
        edit = None
        if meant is not None:
            edit = ProposedEdit(f'Write the unit "{meant}"', self.pointer, f'"{meant}"', True)
        self._put(
            "standard/value-not-listed",
            key,
            '{member} of {owner} is "{word}", which the standard does not list; it was read as '
            "{meant}."
            if meant
            else '{member} of {owner} is "{word}", which the standard does not list ({listed}); '
            "the quantity was left out.",
            Severity.ERROR if meant is None and self._needed() else Severity.NOTE,
            edit,
            value=word,
            word=short(word),
            listed=", ".join(self.deviation.expected),
            meant=meant,
        )

    def _schema(self) -> None:
        deviation = self.deviation
        keyword = deviation.keyword
        if keyword == "pattern":
            if deviation.expected != _DATE and not deviation.found:
                return  # an empty letter is reported as such already
            keyword = "date" if deviation.expected == _DATE else "letter"
        key = (keyword, deviation.record, deviation.member)
        if self.notices.again("standard/schema", key, self.pointer, self.recipe):
            return
        self._put(
            "standard/schema",
            key,
            _SCHEMA_MESSAGES[keyword] + self._advice(),
            Severity.NOTE,
            keyword=deviation.keyword,
            text=_short_of(deviation.found),
            record=record_words(deviation.record),
            expected=deviation.expected,
        )

    def _advice(self) -> str:
        deviation = self.deviation
        if deviation.keyword != "additionalProperties":
            return ""
        near = nearest_member(deviation.record, deviation.member)
        return f" Did you mean {near}?" if near else ""


_DATE: Final = r"\d{4}-\d{2}-\d{2}"
_SCHEMA_MESSAGES: Final = {
    "additionalProperties": "{owner} has the member {member}, which BeerJSON does not allow in "
    "{record}; it was not read.",
    "minItems": "{member} of {owner} is an empty list; BeerJSON asks for {expected} entry or more.",
    "minProperties": "{member} of {owner} is empty; BeerJSON asks for one of its members at least.",
    "minLength": "{member} of {owner} is empty; BeerJSON asks for one letter A-Z, or none at all.",
    "maxLength": "{member} of {owner} is longer than the one letter BeerJSON allows; it was kept.",
    "letter": '{member} of {owner} is "{text}"; BeerJSON allows a capital A-Z. It was kept.',
    "date": '{member} of {owner} is "{text}"; BeerJSON asks for a date written like 2024-05-17. '
    "It was kept.",
}


def _plain(word: str) -> str:
    return " ".join(word.replace("_", " ").split()).lower()


def _found_words(found: Any) -> str:
    if type(found) is dict:
        return "an object"
    if type(found) is list:
        return "a list"
    return str(found).lower() if type(found) is bool else f"the number {found:g}"


def _short_of(found: Any) -> str:
    return short(found) if type(found) is str else ""
