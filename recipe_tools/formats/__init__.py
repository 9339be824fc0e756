"""Readers of the recipe standards: bytes in, recipes and findings out, and edits of the bytes."""

from __future__ import annotations

from recipe_tools.findings import Finding
from recipe_tools.formats.decoding import sniff
from recipe_tools.formats.notices import fault
from recipe_tools.formats.numbers import written_number
from recipe_tools.formats.result import ReadResult
from recipe_tools.limits import Limits
from recipe_tools.recipe import FormatName, SourceFile

_SIGNATURES = (
    (b"\x1f\x8b", "a gzip archive"),
    (b"PK\x03\x04", "a zip archive"),
    (b"PK\x05\x06", "an empty zip archive"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ\x00", "an xz archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"\x28\xb5\x2f\xfd", "a Zstandard archive"),
    (b"%PDF-", "a PDF document"),
    (b"SQLite format 3\x00", "a database"),
    (b"\x89PNG", "an image"),
    (b"\xff\xd8\xff", "an image"),
    (b"GIF8", "an image"),
)
_LAST_TAGS = (b"</RECIPES>", b"</RECIPE>")
_TAIL = 200
_SCANNED = 4096
_BLANKS = " \t\r\n\x0b\x0c\ufeff"


def detect(data: bytes) -> FormatName | None:
    """Tell by the first character that is no blank which reader a file is for; None: for neither.

    Text that slipped in before the declaration or the first record is passed over: the reader
    repairs that. Whether the file really holds a recipe is for the reader to say.
    """
    text = _beginning(data)
    if text.startswith("<"):
        return "beerxml"
    if text.startswith(("{", "[")):
        return "beerjson"
    ends_like_xml = data[-_TAIL:].rstrip().endswith(_LAST_TAGS)
    return "beerxml" if ends_like_xml and "<" in text else None


def read(source: SourceFile, limits: Limits) -> ReadResult:
    """Read the recipes of a file, whatever its name. Never raises for what a file contains."""
    if len(source.data) > limits.max_bytes:
        return ReadResult(
            format=source.format,
            status="not_checked",
            findings=(too_large(len(source.data), limits.max_bytes),),
        )
    chosen = source.format or detect(source.data)
    if chosen == "beerxml":
        from recipe_tools.formats import beerxml

        return _with_left_out(beerxml.read(source.data, limits))
    if chosen == "beerjson":
        from recipe_tools.formats import beerjson

        return _with_left_out(beerjson.read(source.data, limits))
    return ReadResult(format=None, status="not_checked", findings=(_not_a_recipe(source.data),))


def _with_left_out(result: ReadResult) -> ReadResult:
    """Hand on with each recipe the numbers the reader left out, since they may tell of a unit."""
    found: dict[int, dict[str, float]] = {}
    for item in result.findings:
        if item.rule == "standard/impossible-value" and item.recipe is not None:
            number = written_number(str(item.values.get("value", "")))
            if number is not None:
                found.setdefault(item.recipe, {})[item.pointer] = number.value
    if not found:
        return result
    recipes = (item._replace(left_out=found.get(item.index, {})) for item in result.recipes)
    return result._replace(recipes=tuple(recipes))


def too_large(size: int, limit: int) -> Finding:
    """Return the finding for a file of ``size`` bytes or more where ``limit`` are read."""
    said = f"The file has {size} bytes or more, and at most {limit} are read"
    return fault("file/too-large", value=size, limit=limit, fault=said)


def contents(data: bytes) -> str:
    """Say in a few words what a file that no reader takes contains."""
    if not data.strip(b" \t\r\n"):
        return "nothing"
    for signature, word in _SIGNATURES:
        if data.startswith(signature):
            return word
    if b"\x00" in data[:_SCANNED]:
        return "binary data"
    return "text that is neither XML nor JSON"


def _not_a_recipe(data: bytes) -> Finding:
    what = contents(data)
    advice = " Unpack it and check the files in it." if what.endswith("archive") else ""
    return fault("file/not-a-recipe", value=what, what=what, advice=advice)


def _beginning(data: bytes) -> str:
    encoding, start = sniff(data) or ("utf-8", 0)
    text = data[start : start + _SCANNED].decode(encoding, "replace").lstrip(_BLANKS)
    if not text and len(data) > _SCANNED:
        text = data[start:].decode(encoding, "replace").lstrip(_BLANKS)
    return text
