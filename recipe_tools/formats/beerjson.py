"""Reads BeerJSON 1.0: bytes in, recipes and findings out.

A file that breaks the schema is still read as far as it makes sense; only what cannot be understood
is left out, and that is a finding.
"""

from __future__ import annotations

import re
from typing import Any, Final

from recipe_tools.findings import Finding, Severity
from recipe_tools.formats.beerjson_equipment import equipment
from recipe_tools.formats.beerjson_fields import records
from recipe_tools.formats.beerjson_findings import EDITION, note_deviations
from recipe_tools.formats.beerjson_read import Surroundings, recipe, water
from recipe_tools.formats.beerjson_schema import deviations
from recipe_tools.formats.decoding import Decoded, NotTextError, decode_json
from recipe_tools.formats.fields import DOCUMENT, FIELDS, field_at, names_in, weight
from recipe_tools.formats.json_bounds import MOST_ENTRIES, cut_to_limits
from recipe_tools.formats.json_parse import Parsed, ParseFailure, parse
from recipe_tools.formats.notices import Notices, fault
from recipe_tools.formats.regions import LineIndex
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import Limits
from recipe_tools.recipe import Recipe, WaterSource

ROOT: Final = "beerjson"
LISTS: Final = tuple(
    field.path for field in FIELDS if field.record == DOCUMENT and field.kind == "set"
)
"""Members of the root that hold records."""

KNOWN_VERSIONS: Final = (1.0, 3.0)
"""Version numbers seen in the standard's own samples lie between (1, 2.01, 2.06); any is read."""


def read(data: bytes, limits: Limits) -> ReadResult:
    """Read the recipes of a BeerJSON file. Never raises for what the file contains.

    Positions of findings are JSON pointers from the root of the document; a text that is no JSON
    carries line and column in the finding.
    """
    try:
        text = decode_json(data)
    except NotTextError as error:
        detail = f"it looks like {error.encoding} text but is damaged"
        return _refused(fault("file/unreadable", value=error.encoding, detail=detail))
    parsed = parse(text.text, limits.max_depth)
    if isinstance(parsed, ParseFailure):
        return _refused(_unparsable(parsed, text, limits), text)
    if type(parsed.value) is list and any(map(_part, parsed.value)):
        listed = f"a list of {len(parsed.value)} documents"
        advice = " Make one file of each."
        return _refused(fault("file/not-a-recipe", value=listed, what=listed, advice=advice), text)
    part = _part(parsed.value)
    if not part:
        return _foreign(parsed.value, text)
    return _Reading(parsed, part, text, limits).result()


def _part(value: Any) -> str:
    """Say what a value is: a ``document``, its ``body``, one ``recipe``, or nothing of these."""
    if type(value) is not dict:
        return ""
    if type(value.get(ROOT)) is dict:
        return "document"
    if type(value.get("recipes")) is list and any(map(_looks_like_recipe, value["recipes"])):
        return "body"
    return "recipe" if _looks_like_recipe(value) else ""


def _looks_like_recipe(value: Any) -> bool:
    ingredients = value.get("ingredients") if type(value) is dict else None
    return type(ingredients) is dict and "fermentable_additions" in ingredients


def _refused(finding: Finding, text: Decoded | None = None) -> ReadResult:
    return ReadResult(
        format="beerjson",
        status="not_checked",
        findings=(finding,),
        text=text.text if text is not None else None,
    )


def _unparsable(failure: ParseFailure, text: Decoded, limits: Limits) -> Finding:
    if failure.kind == "depth":
        return fault("file/too-deep", value=limits.max_depth, limit=limits.max_depth)
    line, column = LineIndex(text.text).place(failure.offset)
    found = fault(
        "file/unreadable",
        value=failure.reason,
        detail=f"it is not valid JSON: in line {line}, column {column}, {failure.reason}",
        line=line,
        column=column,
    )
    return found._replace(line=line, column=column, end_line=line, end_column=column + 1)


def _foreign(value: Any, text: Decoded) -> ReadResult:
    what = "a JSON object without the member beerjson"
    if type(value) is dict and ROOT in value:
        what = "a member beerjson that is not an object"
    elif type(value) is not dict:
        what = "JSON that is not an object"
    finding = fault("file/not-a-recipe", value=what, what=what, advice="")
    return ReadResult("beerjson", "skipped", findings=(finding,), text=text.text)


class _Reading:
    """One parsed file on its way to recipes.

    part: see `_part`. complete: False as soon as something of the file had to be left unread.
    """

    __slots__ = ("complete", "limits", "notices", "parsed", "part", "text")

    def __init__(self, parsed: Parsed, part: str, text: Decoded, limits: Limits) -> None:
        self.parsed = parsed
        self.part = part
        self.text = text
        self.limits = limits
        self.notices = Notices()
        self.complete = True

    def result(self) -> ReadResult:
        document = self.parsed.value
        self._keep_to_limits(document)
        self._note_parsing()
        self._note_schema(document)
        recipes: tuple[Recipe, ...]
        waters: tuple[WaterSource, ...] = ()
        if self.part == "recipe":
            recipes = (self._recipe(document, 0, "", Surroundings({})),)
        else:
            body, at = (document[ROOT], "/" + ROOT) if self.part == "document" else (document, "")
            self._note_version(body, at)
            if not any(type(body.get(name)) is list and body[name] for name in LISTS):
                self.notices.add("file/empty-document", at, value="", standard="BeerJSON")
            recipes = self._recipes(body, at)
            waters = self._profiles(body, at)
        return ReadResult(
            format="beerjson",
            status="not_checked" if not self.complete or self.notices.left_out else "checked",
            recipes=recipes,
            findings=(*self._controls(), *self.notices.findings()),
            waters=waters,
            repaired=self._repairs(),
            text=self.text.text,
        )

    def _recipes(self, body: dict[str, Any], at: str) -> tuple[Recipe, ...]:
        listed = body.get("recipes", [])
        if type(listed) is not list:
            self.complete = False
            return ()
        surroundings = Surroundings(body, at)
        recipes = [
            self._recipe(record, place, f"{at}/recipes/{place}", surroundings)
            for place, record in records(body, "recipes")
        ]
        if len(recipes) < len(listed):
            self.complete = False
        return tuple(recipes)

    def _recipe(
        self, record: dict[str, Any], index: int, at: str, surroundings: Surroundings
    ) -> Recipe:
        read_recipe = recipe(record, index, at, surroundings)
        if not surroundings.equipment:
            return read_recipe
        place = f"{at.rpartition('/recipes')[0]}/equipments/0"
        brewery = equipment(surroundings.equipment, place, read_recipe.boil_l)
        return read_recipe._replace(equipment=brewery)

    def _profiles(self, body: dict[str, Any], at: str) -> tuple[WaterSource, ...]:
        return tuple(
            water(record, f"{at}/profiles/{place}") for place, record in records(body, "profiles")
        )

    def _keep_to_limits(self, document: Any) -> None:
        for cut in cut_to_limits(self.text.text, document, self.limits):
            self._note_limit(cut.pointer, cut.what, cut.size, cut.most)
        parsed, most = self.parsed, MOST_ENTRIES
        for places, what in (
            (parsed.duplicates, "members that occur more than once"),
            (parsed.not_finite, "values such as NaN in place of a number"),
        ):
            if len(places) > most:
                self._note_limit("", what, len(places), most)
        self.parsed = parsed._replace(
            duplicates=parsed.duplicates[:most], not_finite=parsed.not_finite[:most]
        )

    def _note_limit(self, pointer: str, what: str, size: int, most: int) -> None:
        self.complete = False
        self.notices.recipe = recipe_index(pointer)
        self.notices.add(
            "file/too-many-records",
            pointer,
            (what,),
            value=size,
            number=size,
            what=what,
            limit=most,
        )
        self.notices.recipe = None

    def _note_schema(self, document: Any) -> None:
        if self.part != "document":
            self.notices.add(
                "file/root-not-standard",
                "",
                severity=Severity.NOTE,
                value=ROOT,
                fault=f"The file lacks the root member {ROOT}, which names standard and version",
            )
        found = deviations(document, self.part)
        if not found:
            return
        taken_out = {pointer for pointer, _ in self.parsed.not_finite}
        if taken_out:
            found = [item for item in found if item.pointer not in taken_out]
        note_deviations(found, document, self.part, self.notices)

    def _note_version(self, body: dict[str, Any], at: str) -> None:
        version = body.get("version")
        if type(version) is not int and type(version) is not float:
            return
        if KNOWN_VERSIONS[0] <= version < KNOWN_VERSIONS[1]:
            return
        self.notices.add(
            "file/unknown-version",
            f"{at}/version",
            value=version,
            fault=f"The file states version {version:g} of BeerJSON",
            edition=EDITION,
        )

    def _note_parsing(self) -> None:
        parsed, notices = self.parsed, self.notices
        for pointer in parsed.duplicates:
            notices.recipe = recipe_index(pointer)
            member = pointer.rpartition("/")[2].replace("~1", "/").replace("~0", "~")
            notices.add(
                "file/duplicate-member",
                pointer,
                (pointer,),
                severity=weight(field_at(names_in(pointer)), Severity.WARNING),
                field=member,
                value=member,
                outcome="the last one is used",
            )
        for pointer, written in parsed.not_finite:
            notices.recipe = recipe_index(pointer)
            notices.add(
                "standard/not-finite",
                pointer,
                (pointer,),
                severity=weight(field_at(names_in(pointer)), Severity.ERROR),
                field=_last_member(pointer),
                written=written,
                value=written,
            )
        notices.recipe = None
        if label := _repair(self.text):
            said, outcome = _REPAIRS[label]
            severity = Severity.NOTE if label in _HARMLESS else None
            notices.add(_ENCODING, "", severity=severity, value=label, fault=said, outcome=outcome)
        for pointer in parsed.surrogates:
            notices.recipe = recipe_index(pointer)
            notices.add(
                _ENCODING,
                pointer,
                value=_SURROGATES,
                fault="A text has the escape of half a character",
                outcome="it is read as U+FFFD",
            )
        notices.recipe = None

    def _controls(self) -> list[Finding]:
        place = self.parsed.control_at
        if place is None:
            return []
        line, column = LineIndex(self.text.text).place(place)
        found = fault(
            "file/markup-repaired",
            value=_CONTROLS,
            fault="a raw line break, tab or other control character stands in a text, which JSON "
            "wants escaped",
            places="one place at least",
        )
        return [found._replace(line=line, column=column, end_line=line, end_column=column + 1)]

    def _repairs(self) -> tuple[str, ...]:
        labels = [label] if (label := _repair(self.text)) else []
        if self.parsed.surrogates:
            labels.append(_SURROGATES)
        if self.parsed.control_at is not None:
            labels.append(_CONTROLS)
        return tuple(labels)


_PLACE: Final = re.compile("[0-9]{1,9}")
_ENCODING: Final = "file/encoding-repaired"
_SURROGATES: Final = "lone-surrogates"
_CONTROLS: Final = "control-characters"
_HARMLESS: Final = {"byte-order-mark", "utf-16", "utf-32"}
_REPAIRS: Final = {
    "byte-order-mark": (
        "The file starts with a byte order mark, which JSON does not allow",
        "it is passed over",
    ),
    "utf-16": ("The file is UTF-16, and JSON is exchanged in UTF-8", "it is read all the same"),
    "utf-32": ("The file is UTF-32, and JSON is exchanged in UTF-8", "it is read all the same"),
    "windows-1252": (
        "The file is not UTF-8 throughout",
        "the other bytes are read as Windows-1252: check names and notes for wrong letters",
    ),
}


def _repair(text: Decoded) -> str:
    """Say what had to be done to read the bytes as RFC 8259 wants them, or nothing."""
    if text.breaks:
        return "windows-1252"
    if text.encoding != "utf-8":
        return text.encoding[:6]
    return "byte-order-mark" if text.mark else ""


def recipe_index(pointer: str) -> int | None:
    """Return the index of the recipe a pointer leads into, or None."""
    parts = pointer.split("/")[1:4]
    if parts[:1] == [ROOT]:
        parts = parts[1:]
    if len(parts) < 2 or parts[0] != "recipes" or not _PLACE.fullmatch(parts[1]):
        return None  # where an object stands in place of the list, there is a name and no place
    return int(parts[1])


def _last_member(pointer: str) -> str:
    names = [name for name in pointer.split("/")[-2:] if not name.isdigit()]
    if names[-1:] == ["value"]:
        return ".".join(names)
    return names[-1] if names else "a value"
