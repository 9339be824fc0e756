"""From deviations of the schema to findings a brewer can act on, grouped over equal places.

Nearly every real BeerJSON file lacks something the standard requires. What does not touch water,
mash or beer is a note; what leaves the check without a value is a warning.
"""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.findings import Severity
from recipe_tools.formats import values
from recipe_tools.formats.beerjson_fields import UNIT_WORDS, named, sized
from recipe_tools.formats.beerjson_quantities import (
    BARE,
    KINDS_OF_RECORD,
    amount,
    amount_unit,
    listed_unit,
    number,
    quantity,
)
from recipe_tools.formats.beerjson_schema import BOUNDS, RANGE, UNLISTED, Deviation
from recipe_tools.formats.beerjson_unlisted import (
    holder_of,
    nearest_member,
    note_misspelt,
    note_unlisted,
    owner_of,
    record_words,
    short,
    understood,
)
from recipe_tools.formats.fields import Field, field_at, is_needed, names_in
from recipe_tools.formats.notices import Notices
from recipe_tools.formats.numbers import written_number
from recipe_tools.formats.values import UPSIDE_DOWN, Deviating

_TYPE_WORDS: Final = {
    "object": "an object",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
}
_Parts = list[Any]


def note_deviations(found: list[Deviation], document: Any, part: str, notices: Notices) -> None:
    """Add all deviations of a document to the notices.

    ``part`` says what the document is: a whole ``document``, a ``body`` without the root member
    around it, or one ``recipe``.
    """
    stray: dict[int | None, list[Deviation]] = {}
    for deviation in found:
        if notices.full:
            notices.left_out += 1
            continue
        notices.recipe = recipe = _recipe_index(deviation.parts, part)
        if deviation.keyword == UNLISTED:
            stray.setdefault(recipe, []).append(deviation)
            for inside in understood(deviation):
                _Note(inside, document, notices).add()
            continue
        _Note(deviation, document, notices).add()
    for recipe, deviations in stray.items():
        notices.recipe = recipe
        note_unlisted(deviations, document, notices)
    notices.recipe = None


def _recipe_index(parts: _Parts, part: str) -> int | None:
    if part == "recipe":
        return 0
    level = -2 if part == "document" else -1
    if len(parts) >= 1 - level and parts[level] == "recipes":
        return int(parts[level - 1])
    return None


class _Note:
    """One deviation on its way to a finding."""

    __slots__ = ("deviation", "document", "notices", "pointer")

    def __init__(self, deviation: Deviation, document: Any, notices: Notices) -> None:
        self.deviation = deviation
        self.document = document
        self.pointer = deviation.pointer
        self.notices = notices

    def add(self) -> None:
        keyword = self.deviation.keyword
        if keyword == BOUNDS:
            self._bounds()
        elif keyword == RANGE:
            self._upside_down()
        elif keyword == "required":
            self._missing()
        elif keyword == "type" or (keyword == "enum" and type(self.deviation.found) is not str):
            self._wrong_type()
        elif keyword == "enum":
            self._not_listed()
        else:
            self._schema()

    def _deviating(self, text: str, *key: object, edit_at: str | None = "") -> Deviating:
        """Return the value that deviates; its findings are grouped by record, member and key."""
        deviation, field = self.deviation, self._field()
        member = self._member()
        return Deviating(
            field,
            f"The {member} of {self._owner()}",
            text,
            self.pointer,
            self.notices,
            member,
            (deviation.record, deviation.member, *key),
            edit_at,
        )

    def _field(self) -> Field | None:
        """The field, not needed where nothing is computed from it at this place."""
        names = names_in(self.pointer)
        field = field_at(names)
        if field is None or not field.needed or is_needed(names):
            return field
        body = self.document.get("beerjson", self.document)
        alone = type(body) is dict and not body.get("recipes")
        return field if alone else field._replace(needed=False)

    def _bounds(self) -> None:
        """Judge a number by the bounds of its field, if it is one."""
        deviation, field = self.deviation, self._field()
        found, kinds = deviation.found, KINDS_OF_RECORD.get(deviation.record, ())
        if field is None:
            return
        member = self._member()
        measured = sized(kinds, found) if kinds else (found, found, "")
        if measured is None:
            if deviation.expected:
                self._unreadable(member)
            return
        size, written, unit = measured
        size, written = (min(max(number, -_FAR_BEYOND), _FAR_BEYOND) for number in (size, written))
        values.plausible(
            Deviating(
                field,
                f"The {member} of {self._owner()}",
                f"{written:g}{unit}",
                self.pointer,
                self.notices,
                written,
                edit_at=f"{self.pointer}/value" if type(found) is dict else "",
            ),
            size,
        )

    def _upside_down(self) -> None:
        low, high = self.deviation.expected
        deviating = self._deviating(f"{low:.6g} to {high:.6g}", low, high)
        rule, kept = "standard/impossible-value", "Both are kept"
        deviating.note(rule, Severity.NOTE, reason=UPSIDE_DOWN, outcome=kept)

    def _unreadable(self, member: str) -> None:
        """Note a member that is to hold a quantity and holds something else."""
        self.notices.add(
            "standard/wrong-type",
            self.pointer,
            (member, "unreadable"),
            severity=Severity.NOTE,
            field=f"The {member} of {self._owner()}",
            value=member,
            written="something else",
            expected="a quantity",
            outcome="it is left out",
        )

    def _member(self) -> str:
        """The member as a message names it; a part of a quantity with the quantity before it."""
        names = [part for part in self.deviation.parts if type(part) is str]
        if not names:
            return "the document"
        if self._in_quantity() and len(names) > 1:
            return f"{names[1]}.{names[0]}"
        return str(names[0])

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
        if (record, member) == ("beerjson", "version"):
            self.notices.add(
                "file/unknown-version",
                self.pointer,
                value="none",
                fault="No version is given",
                edition=EDITION,
            )
        elif record in KINDS_OF_RECORD:
            readable = self._readable()
            unit = BARE.get(record, "")
            whole = deviation.parts[1] if len(deviation.parts) > 1 else "quantity"
            outcome = f"read in {unit}" if readable else "left out"
            self._lacks(f"The {whole} of {self._owner()}", f" It is {outcome}.", not readable)
        elif not self.notices.again(_REQUIRED, (record, member), self.pointer):
            words = record_words(record)
            own = named(holder_of(deviation, self.document))
            inside = f"{words[:1].upper()}{words[1:]} in {self._owner()}"
            self._lacks(own or inside, "", True)

    def _lacks(self, record: str, outcome: str, is_lost: bool) -> None:
        member, field = self._member(), self._field()
        needed = field is not None and field.needed
        self.notices.add(
            _REQUIRED,
            self.pointer,
            (self.deviation.record, self.deviation.member, *([member, is_lost] if outcome else [])),
            severity=Severity.WARNING if is_lost and needed else Severity.NOTE,
            record=record,
            fields=self.deviation.member,
            standard="BeerJSON 1.0",
            outcome=outcome,
            value=member,
        )

    def _wrong_type(self) -> None:
        deviation = self.deviation
        found = deviation.found
        if type(found) is str:
            self._text_for_another_type(found)
            return
        expected = self._expected(_TYPE_WORDS.get(deviation.expected, "a word of the list"))
        readable, outcome = False, "it is left out"
        if found is None:
            outcome = "it counts as not stated"
        elif self._read_anyway(found):
            readable, outcome = True, "it is read as it stands"
            if deviation.expected == "object":
                outcome = f"it is read in {BARE.get(deviation.record, '%')}"
        deviating = self._deviating("", type(found).__name__, readable)
        lost = not readable and found is not None
        deviating.note(
            "standard/wrong-type",
            deviating.weight(Severity.ERROR) if lost else Severity.NOTE,
            written="null" if found is None else _found_words(found),
            expected=expected,
            outcome=outcome,
        )
        if readable and deviation.record == "efficiency" and deviation.expected == "object":
            parts = ["brewhouse", *deviation.parts]
            inside = Deviation(BOUNDS, "percent", "brewhouse", False, found, parts)
            _Note(inside, self.document, self.notices).add()

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
        expected = self._expected(_TYPE_WORDS.get(deviation.expected, "a word of the list"))
        whole = deviation.expected == "object"
        if deviation.expected == "boolean":
            values.flag(self._deviating(text, "text"), ("true", "false"), in_quotes=True)
            return
        if not (
            deviation.expected in ("number", "integer")
            or (whole and deviation.record in KINDS_OF_RECORD)
        ):
            self._deviating(text, "text").wrong_type(expected)
            return
        written = written_number(text)
        how = "" if written is None else "comma" if written.comma else "unit" * bool(written.unit)
        deviating = self._deviating(text, "text", how, edit_at=None if whole else "")
        kinds = KINDS_OF_RECORD.get(deviation.record, ())
        read = self._readable() if kinds else number(text) is not None
        if written is not None and not written.unit and not read:
            deviating.wrong_type(expected)
            return

        def converted(size: float, unit: str) -> float | None:
            if not whole or not read:
                return size if read else None
            kind = next((kind for kind in kinds if listed_unit(kind, unit)), "")
            return quantity(kind, text) if kind else size

        kind = kinds[0] if kinds else ""
        values.number(deviating, converted, expected, UNIT_WORDS.get(kind, "") if whole else "")

    def _not_listed(self) -> None:
        deviation = self.deviation
        word = deviation.found
        deviating = self._deviating(word, word)._replace(value=word)
        if not self._in_quantity():
            values.word(deviating, deviation.expected, lambda meant: f'"{meant}"')
            return
        kinds = KINDS_OF_RECORD[deviation.record]
        meant = next((unit for kind in kinds if (unit := listed_unit(kind, word))), None)
        deviating.note(
            "standard/value-not-listed",
            Severity.NOTE if meant else deviating.weight(Severity.ERROR) or Severity.ERROR,
            instead=f'"{meant}"' if meant else "",
            keeps_meaning=True,
            listed=meant or ", ".join(deviation.expected),
            outcome=f"It is read as {meant}" if meant else "The quantity is left out",
        )

    def _schema(self) -> None:
        deviation = self.deviation
        keyword = deviation.keyword
        if keyword == "pattern":
            if deviation.expected != _DATE and not deviation.found:
                return  # an empty letter is reported as such already
            keyword = "date" if deviation.expected == _DATE else "letter"
        key = (keyword, deviation.record, deviation.member)
        if self.notices.again("standard/schema", key, self.pointer):
            return
        if keyword == "additionalProperties":
            near = nearest_member(deviation.record, deviation.member)
            if near and near not in holder_of(deviation, self.document):
                note_misspelt(deviation, near, self.notices)
                return
        fault = _SCHEMA_FAULTS[keyword].format(
            member=self._member(),
            owner=self._owner(),
            text=short(deviation.found) if type(deviation.found) is str else "",
            record=record_words(deviation.record),
            expected=deviation.expected,
        )
        self.notices.add(
            "standard/schema",
            self.pointer,
            key,
            severity=Severity.NOTE,
            keyword=deviation.keyword,
            value=self._member(),
            fault=fault,
        )


_FAR_BEYOND: Final = 1e300
"""Shown for what converting its unit made infinite, which no report can hold."""
EDITION: Final = "version 1.0 of BeerJSON"
_REQUIRED: Final = "standard/required-missing"
_DATE: Final = r"\d{4}-\d{2}-\d{2}"
_SCHEMA_FAULTS: Final = {
    "additionalProperties": "{owner} has the member {member}, which BeerJSON does not allow in "
    "{record}; it was not read",
    "minItems": "{member} of {owner} is an empty list; BeerJSON asks for {expected} entry or more",
    "minProperties": "{member} of {owner} is empty; BeerJSON asks for one of its members at least",
    "minLength": "{member} of {owner} is empty; BeerJSON asks for one letter A-Z, or none at all",
    "maxLength": "{member} of {owner} is longer than the one letter BeerJSON allows; it was kept",
    "letter": '{member} of {owner} is "{text}"; BeerJSON allows a capital A-Z. It was kept',
    "date": '{member} of {owner} is "{text}"; BeerJSON asks for a date written like 2024-05-17. '
    "It was kept",
}


def _found_words(found: Any) -> str:
    if type(found) is dict:
        return "an object"
    if type(found) is list:
        return "a list"
    return str(found).lower() if type(found) is bool else f"the number {found:g}"
