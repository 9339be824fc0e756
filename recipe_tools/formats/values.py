"""Values that are not plainly what a standard asks for, and what they are read as.

Outcomes, the same for both standards: read with a note, repaired with a warning, left out with an
error. Where the mash and the water do not depend on the field, nothing weighs more than a note.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, Final, NamedTuple

from recipe_tools import units
from recipe_tools.findings import ProposedEdit, Severity
from recipe_tools.formats.fields import MEASURED, SMALLEST, Field, is_demanded, weight
from recipe_tools.formats.notices import Notices, shown
from recipe_tools.formats.numbers import is_not_finite, written_number

_SCALES: Final = {"plato": "degrees Plato", "points": "thousandths"}
_UNIT_WORDS: Final = {"C": "°C", "ppm": "mg/L", "Lovibond|SRM": "degrees Lovibond or SRM"}
_BARE: Final = ("SG", "pH")
UPSIDE_DOWN: Final = "its least value lies above its greatest"
"""What is said of a range."""
_IMPOSSIBLE: Final = "standard/impossible-value"
_AS_NOTHING: Final = {"reason": "nobody can measure that", "outcome": "It is read as 0"}
_NO_GRAVITY: Final = {"reason": "a gravity cannot be 0", "outcome": "It counts as not stated"}


class Deviating(NamedTuple):
    """A value that is not as the standard has it.

    field: None where the standards have no such field. name: what messages call it. text: as the
    file writes it, and as they show it. place: its symbolic path. value: what the fingerprint of a
    finding depends on. key: of its group in the notices; name and text where left out. edit_at:
    path of the number itself, None where a number cannot take its place.
    """

    field: Field | None
    name: str
    text: str
    place: str
    notices: Notices
    value: Any
    key: tuple[object, ...] | None = None
    edit_at: str | None = ""

    def note(
        self,
        rule: str,
        severity: Severity | None = None,
        *,
        instead: str = "",
        keeps_meaning: bool = False,
        **values: Any,
    ) -> None:
        """Note a fault; ``field``, ``written`` and ``value`` of the message are filled in here.

        instead: what the standard would have there, if that is clear. keeps_meaning: beyond any
            doubt.
        """
        key = self.key or (self.name, self.text)
        edit = None
        if instead and self.edit_at is not None:
            at = self.edit_at or self.place
            edit = ProposedEdit(f"Write {instead}", at, instead, keeps_meaning)
        if self.notices.again(rule, key, self.place, edit):
            return
        named = {"field": self.name, "written": shown(self.text), "value": self.value}
        self.notices.add(rule, self.place, key, severity=severity, edit=edit, **{**named, **values})

    def weight(self, declared: Severity) -> Severity | None:
        """Return how much a fault of a declared severity weighs in this field."""
        return weight(self.field, declared)

    def left_out(self, rule: str, **values: Any) -> None:
        """Note that the value is not used."""
        self.note(rule, self.weight(Severity.ERROR), **values)

    def wrong_type(self, expected: str) -> None:
        """Note that the value is not of the kind the standard asks for."""
        self.left_out(
            "standard/wrong-type",
            written=f'"{shown(self.text)}"',
            expected=expected,
            outcome="it is left out",
        )


def expected_number(field: Field | None) -> str:
    """Say what number a field wants."""
    unit = field.unit.replace("|", " or ") if field is not None else ""
    return f"a number in {unit}" if unit and unit not in _BARE else "a number"


def number(
    value: Deviating,
    convert: Callable[[float, str], float | None],
    expected: str = "",
    unit: str | None = None,
) -> float | None:
    """Return the number that a text stands for, converted where a unit stands behind it.

    convert: returns a number with a unit word in the unit of the field, None where it has none.
    expected: what the standard asks for; a bare number in the unit of the field where left out.
    unit: the word for the unit converted to; that of the field where left out.
    """
    field, text = value.field, value.text.strip()
    wanted = expected or expected_number(field)
    if not text:
        missed = field is not None and is_demanded(field)
        value.note("standard/empty-number", Severity.WARNING if missed else None)
        return None
    written = written_number(text)
    if is_not_finite(text) or (written is not None and not math.isfinite(written.value)):
        value.left_out("standard/not-finite")
        return None
    if written is None:
        value.wrong_type(wanted)
        return None
    size = written.value
    if written.unit:
        converted = convert(size, written.unit)
        if converted is None:
            value.wrong_type(wanted)
            return None
        same = math.isclose(converted, size, rel_tol=1e-9, abs_tol=1e-12)
        size = size if same else converted
        if field is None or not field.extension:
            read_in = _unit_read(field, written.unit) if unit is None else unit.strip()
            read = f"{converted:.6g} {read_in}".strip()
            value.note(
                "standard/number-with-unit",
                Severity.NOTE if same else value.weight(Severity.WARNING),
                instead=f"{size:.15g}" if same else f"{size:.6g}",
                keeps_meaning=same,
                fault=f"where {wanted} is expected",
                outcome=f"it is read as {read}",
            )
    elif expected:
        clear = not written.comma
        value.note(
            "standard/wrong-type" if clear else "standard/decimal-comma",
            Severity.NOTE if clear else value.weight(Severity.WARNING),
            instead=f"{size:.15g}",
            keeps_meaning=clear,
            written=f'the text "{shown(text)}"' if clear else shown(text),
            expected=expected,
            outcome=f"it is read as {size:g}",
            read=f"{size:.6g}",
        )
        return size
    if written.comma:
        value.note(
            "standard/decimal-comma",
            value.weight(Severity.WARNING),
            instead=f"{size:.15g}",
            read=f"{size:.6g}",
        )
    return size


def _unit_read(field: Field | None, word: str) -> str:
    if field is None or field.unit in _BARE:
        return ""
    if field.unit == "L|kg":
        return "kg" if units.meant_unit("mass", word) else "L"
    return field.unit.partition("|")[0]


class Judged(NamedTuple):
    """What a number is read as; None where it cannot be true. rule, said: of what is wrong."""

    size: float | None
    rule: str = ""
    said: Mapping[str, Any] = {}


def judged(field: Field, size: float) -> Judged:
    """Judge a number in the unit of its field by what that field can hold."""
    if field.unit == "SG":
        return _gravity(field, size)
    if field.fraction_below and 0.0 < size <= field.fraction_below:
        percent = f"{size * 100.0:.6g}"
        read = {"instead": percent, "read": percent}
        return Judged(size * 100.0, "standard/fraction-for-percent", read)
    if 0.0 < size < SMALLEST and field.unit in MEASURED:
        return Judged(0.0, _IMPOSSIBLE, _AS_NOTHING)
    if field.low <= size <= field.high:
        return Judged(size)
    return Judged(None, _IMPOSSIBLE, {"reason": _reason(field, size)})


def plausible(value: Deviating, size: float) -> float | None:
    """Return a number in the unit of its field as it is read, with a note of what is wrong."""
    assert value.field is not None
    read, rule, said = judged(value.field, size)
    if rule == _IMPOSSIBLE and "reason" in said and "outcome" not in said:
        value.left_out(rule, outcome="It is left out", **said)
    elif rule:
        unread = not value.field.members or value.notices.recipe is None
        value.note(rule, Severity.NOTE if unread or rule == _IMPOSSIBLE else None, **said)
    return read


def _reason(field: Field, size: float) -> str:
    unit = _UNIT_WORDS.get(field.unit, "" if field.unit in _BARE else field.unit)
    unit = f" {unit.replace('|', ' or ')}".rstrip()
    if size > field.high:
        return f"more than {field.high:g}{unit} cannot be"
    if field.low == 0.0:
        return "it cannot be negative"
    return f"less than {field.low:g}{unit} cannot be"


def _gravity(field: Field, size: float) -> Judged:
    if field.low <= size <= field.high:
        return Judged(size)
    if size == 0.0:
        return Judged(None, _IMPOSSIBLE, _NO_GRAVITY)
    meant = units.gravity_meant(size)
    if meant is None or meant[0] < field.low:
        return Judged(None, _IMPOSSIBLE, {"reason": _reason(field, size)})
    gravity, scale = meant
    read = {
        "instead": f"{gravity:.4f}",
        "reason": "which is not a specific gravity",
        "scale": _SCALES[scale],
        "read": f"{gravity:.4f}",
    }
    return Judged(gravity, "standard/gravity-not-sg", read)


def word(value: Deviating, listed: tuple[str, ...], spelt: Callable[[str], str]) -> str:
    """Note that a word is not one of those listed, or spelt otherwise; return it in lower case.

    spelt: returns a word of the list in the spelling of the file format, quotes and all.
    """
    plain = " ".join(value.text.lower().split())
    fits = next((item for item in listed if item.lower() == plain), None)
    if fits is None:  # some files write blanks as underscores
        spaced = " ".join(plain.replace("_", " ").split())
        fits = next((item for item in listed if item.lower() == spaced), None)
    if fits != value.text:
        value.note(
            "standard/value-not-listed",
            Severity.NOTE,
            instead=spelt(fits) if fits else "",
            keeps_meaning=True,
            listed=fits or ", ".join(listed),
            outcome=f"It is read as {fits}" if fits else "It is kept as written",
        )
    return plain


def flag(
    value: Deviating, true_and_false: tuple[str, str], *, in_quotes: bool = False
) -> bool | None:
    """Return the Boolean a word stands for, noted where it is not spelt as the standard does.

    in_quotes: the file holds a text where the standard has a word of its own.
    """
    plain = value.text.strip().lower()
    if plain not in ("true", "false"):
        value.wrong_type(" or ".join(true_and_false))
        return None
    meant = true_and_false[plain == "false"]
    if in_quotes or value.text != meant:
        value.note(
            "standard/boolean-spelling",
            Severity.NOTE,
            instead=meant,
            keeps_meaning=True,
            listed=meant,
        )
    return plain == "true"
