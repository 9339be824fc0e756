"""From deviations of the schema to findings a brewer can act on, grouped over equal places.

Nearly every real BeerJSON file lacks something the standard requires. What does not touch water,
mash or beer is a note; what leaves the check without a value is a warning.
"""

from __future__ import annotations

import functools
from typing import Any, Final

from recipe_tools.findings import Fix, Severity
from recipe_tools.formats.beerjson_fields import owner_words
from recipe_tools.formats.beerjson_quantities import (
    BARE,
    KINDS_OF_RECORD,
    amount,
    amount_unit,
    listed_unit,
    number,
    quantity,
)
from recipe_tools.formats.beerjson_schema import Deviation, listed_members
from recipe_tools.formats.json_notices import JsonNotices
from recipe_tools.formats.numbers import is_not_finite, written_number

_WEIGHTY: Final = {
    ("recipe", "batch_size"),
    ("recipe", "ingredients"),
    ("ingredient_lists", "fermentable_additions"),
    ("fermentable_addition", "amount"),
    ("fermentable_addition", "color"),
    ("misc_addition", "amount"),
    ("mash", "mash_steps"),
    *(
        ("water_addition", ion)
        for ion in ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
    ),
}
"""(record, member) whose absence leaves the check of water, salts or mash without a value."""

_READ_ALL_THE_SAME: Final = {
    "fermentable_addition": {"di_ph", "moisture", "recommend_mash", "notes"},
    "misc_addition": {"use_for", "notes"},
    "water_addition": {"pH", "ph", "notes", "fluoride"},
    "water_record": {"ph", "fluoride"},
    "recipe_style": {"original_gravity", "international_bitterness_units", "color"},
}
"""Members the standard does not name in a record and this reader understands there."""

_TYPE_WORDS: Final = {
    "object": "an object",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
}
_SHOWN_MEMBERS: Final = 12
_LONGEST: Final = 60

_Parts = list[Any]


def note_deviations(found: list[Deviation], document: Any, part: str, notices: JsonNotices) -> None:
    """Add all deviations of a document to the notices.

    ``part`` says what the document is: a whole ``document``, a ``body`` without the root member
    around it, or one ``recipe``.
    """
    stray: dict[int | None, list[Deviation]] = {}
    for deviation in found:
        recipe = _recipe_index(deviation.parts, part)
        if not deviation.breaks_schema:
            stray.setdefault(recipe, []).append(deviation)
            continue
        _Note(deviation, document, recipe, notices).add()
    for recipe, deviations in stray.items():
        _note_unlisted(deviations, recipe, notices)


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
        fix: Fix | None = None,
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
            fix=fix,
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

    def _in_quantity(self) -> bool:
        deviation = self.deviation
        return deviation.record in KINDS_OF_RECORD and bool(deviation.member in ("unit", "value"))

    def _owner(self) -> str:
        owner = "the file"
        value = self.document
        for part in reversed(self.deviation.parts):
            if type(value) is dict:
                if type(value.get("name")) is str and value["name"]:
                    owner = owner_words(value)
                value = value.get(part)
            elif type(value) is list and type(part) is int and part < len(value):
                value = value[part]
            else:
                break
        return owner

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
            "{owner} has no {member}, which BeerJSON requires in {record}.",
            Severity.WARNING if key in _WEIGHTY else Severity.NOTE,
            record=record_words(record),
        )

    def _incomplete_quantity(self) -> None:
        readable = self._readable()
        unit = BARE.get(self.deviation.record, "")
        self._put(
            "standard/required-missing",
            (self.deviation.record, self._member(), readable),
            "{member} of {owner} is missing; {outcome}.",
            Severity.NOTE if readable else Severity.WARNING,
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
        if readable and deviation.record in BARE and deviation.expected == "object":
            outcome = f"it was read in {BARE[deviation.record]}"
        self._put(
            "standard/wrong-type",
            (deviation.record, deviation.member, type(found).__name__, readable),
            "{member} of {owner} is {found} where {expected} is asked; {outcome}.",
            Severity.NOTE if readable else Severity.WARNING,
            found=_found_words(found),
            expected=self._expected(expected),
            outcome=outcome,
        )

    def _expected(self, words: str) -> str:
        if self.deviation.expected == "object" and self.deviation.record in KINDS_OF_RECORD:
            return "a number with a unit"
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
        fix = None
        if deviation.expected != "object":
            plain = f"{written.value:.15g}"
            fix = Fix(f"Write the number {plain}", self.pointer, plain, safe=not written.unit)
        self._put(
            rule,
            (deviation.record, deviation.member, how),
            "{member} of {owner} is {how}, “{text}”, where {expected} is asked; "
            "it was read as {size:g}.",
            Severity.NOTE,
            fix,
            how=how,
            text=_short(text),
            expected=self._expected(_TYPE_WORDS[deviation.expected]),
            size=written.value,
        )

    def _unreadable_text(self, text: str, numeric: bool) -> None:
        deviation = self.deviation
        rule = "standard/wrong-type"
        if numeric and not text.strip():
            rule = "standard/empty-number"
        elif numeric and is_not_finite(text):
            rule = "standard/not-finite"
        elif deviation.expected == "boolean" and text.strip().lower() in ("true", "false"):
            rule = "standard/boolean-spelling"
        self._put(
            rule,
            (deviation.record, deviation.member, "text"),
            "{member} of {owner} is the text “{text}” where {expected} is asked; it was left out."
            if text.strip()
            else "{member} of {owner} is empty where {expected} is asked; it was left out.",
            Severity.WARNING if text.strip() else Severity.NOTE,
            text=_short(text),
            expected=self._expected(_TYPE_WORDS.get(deviation.expected, "a word of the list")),
        )

    def _not_listed(self) -> None:
        deviation = self.deviation
        word = deviation.found
        key = (deviation.record, deviation.member, word)
        if self._in_quantity():
            self._unit_not_listed(word, key)
            return
        meant = next((item for item in deviation.expected if item == _plain(word)), None)
        fix = None
        if meant is not None:
            fix = Fix(f'Write "{meant}"', self.pointer, f'"{meant}"', safe=True)
        self._put(
            "standard/value-not-listed",
            key,
            "{member} of {owner} is “{word}”; the standard lists {listed}. {outcome}.",
            Severity.NOTE,
            fix,
            value=word,
            word=_short(word),
            listed=", ".join(deviation.expected),
            outcome=f"It was read as {meant}" if meant else "It was kept as written",
        )

    def _unit_not_listed(self, word: str, key: tuple[Any, ...]) -> None:
        record = self.deviation.record
        kinds = KINDS_OF_RECORD[record]
        meant = next((unit for kind in kinds if (unit := listed_unit(kind, word))), None)
        fix = None
        if meant is not None:
            fix = Fix(f'Write the unit "{meant}"', self.pointer, f'"{meant}"', safe=True)
        self._put(
            "standard/value-not-listed",
            key,
            "{member} of {owner} is “{word}”, which the standard does not list ({listed}); "
            "{outcome}.",
            Severity.NOTE if meant else Severity.WARNING,
            fix,
            value=word,
            word=_short(word),
            listed=", ".join(self.deviation.expected),
            outcome=f"it was read as {meant}" if meant else "the quantity was left out",
        )

    def _schema(self) -> None:
        deviation = self.deviation
        key = (deviation.keyword, deviation.record, deviation.member)
        if self.notices.again("standard/schema", key, self.pointer, self.recipe):
            return
        self._put(
            "standard/schema",
            key,
            _SCHEMA_MESSAGES[deviation.keyword] + self._advice(),
            Severity.NOTE,
            keyword=deviation.keyword,
            record=record_words(deviation.record),
            expected=deviation.expected,
        )

    def _advice(self) -> str:
        deviation = self.deviation
        if deviation.keyword != "additionalProperties":
            return ""
        near = nearest_member(deviation.record, deviation.member)
        return f" Did you mean {near}?" if near else ""


_SCHEMA_MESSAGES: Final = {
    "additionalProperties": "{owner} has the member {member}, which BeerJSON does not allow in "
    "{record}; it was not read.",
    "minItems": "{member} of {owner} is an empty list; BeerJSON asks for {expected} entry or more.",
    "minProperties": "{member} of {owner} is empty; BeerJSON asks for one of its members at least.",
    "minLength": "{member} of {owner} is empty; BeerJSON asks for one letter A-Z, or none at all.",
    "maxLength": "{member} of {owner} is longer than the one letter BeerJSON allows; it was kept.",
    "pattern": "{member} of {owner} is not written as BeerJSON asks for ({expected}); it was kept.",
}


def _note_unlisted(deviations: list[Deviation], recipe: int | None, notices: JsonNotices) -> None:
    counts: dict[str, int] = {}
    used: set[str] = set()
    first = ""
    for deviation in deviations:
        name = deviation.member
        if name in _READ_ALL_THE_SAME.get(deviation.record, ()):
            used.add(name)
        elif near := nearest_member(deviation.record, name):
            _note_misspelt(deviation, near, recipe, notices)
            continue
        first = first or deviation.pointer
        counts[name] = counts.get(name, 0) + 1
    if not counts:
        return
    shown = [f"{name} ({count})" if count > 1 else name for name, count in counts.items()]
    listed = ", ".join(_short(name) for name in shown[:_SHOWN_MEMBERS])
    if len(shown) > _SHOWN_MEMBERS:
        listed += f" and {len(shown) - _SHOWN_MEMBERS} more"
    unread = (
        "They were not read."
        if not used
        else "They were not read, except " + (", ".join(sorted(used)) + ".")
    )
    notices.add(
        "standard/unlisted-member",
        (),
        first,
        "Members the standard does not name where they stand: {listed}. {unread}",
        recipe=recipe,
        severity=Severity.NOTE,
        listed=listed,
        unread=unread,
        members=sum(counts.values()),
        value=",".join(sorted(counts)),
    )


def _note_misspelt(
    deviation: Deviation, near: str, recipe: int | None, notices: JsonNotices
) -> None:
    notices.add(
        "standard/unlisted-member",
        (deviation.record, deviation.member),
        deviation.pointer,
        "{member} is no member of {record}; {near} is probably meant. It was not read.",
        recipe=recipe,
        severity=Severity.WARNING,
        member=deviation.member,
        record=record_words(deviation.record),
        near=near,
        value=deviation.member,
    )


@functools.cache
def nearest_member(record: str, name: str) -> str:
    """Return the member of a record that a misspelt name most likely means, or an empty text."""
    import difflib

    if len(name) > _LONGEST:
        return ""
    near = difflib.get_close_matches(name.lower(), listed_members(record), n=1, cutoff=0.84)
    return near[0] if near else ""


def record_words(record: str) -> str:
    """Return what a message calls a kind of record."""
    return _RECORD_WORDS.get(record) or "a " + record.replace("_", " ")


_RECORD_WORDS: Final = {
    "document": "the file",
    "beerjson": "the root",
    "ingredient_lists": "the ingredients",
    "recipe_style": "a style",
    "misc_addition": "a miscellaneous addition",
    "misc_record": "a miscellaneous ingredient",
    "equipment_set": "an equipment",
    "efficiency": "the efficiency",
    "inventory": "an inventory",
}


def _plain(word: str) -> str:
    return " ".join(word.replace("_", " ").split()).lower()


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def _found_words(found: Any) -> str:
    if type(found) is dict:
        return "an object"
    if type(found) is list:
        return "a list"
    return str(found).lower() if type(found) is bool else f"the number {found:g}"
