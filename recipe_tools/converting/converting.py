"""One file in, the document of the other standard and the list of what changed out."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from lxml import etree

from recipe_tools import formats
from recipe_tools.config import Options
from recipe_tools.converting import proof, setting
from recipe_tools.converting.ledger import Changed, Ledger, Lost, Missing
from recipe_tools.converting.meaning import Meaning, meaning
from recipe_tools.converting.setting import Setting
from recipe_tools.converting.source import Node, from_json, from_xml
from recipe_tools.converting.to_json import json_document
from recipe_tools.converting.to_xml import xml_document
from recipe_tools.editing.document import EditError, open_document
from recipe_tools.formats.json_parse import Parsed, parse
from recipe_tools.formats.xml_source import load
from recipe_tools.recipe import FormatName, SourceFile
from recipe_tools.tidying import Choice, tidied

_DECLARATION: Final = '<?xml version="1.0" encoding="UTF-8"?>\n'


@dataclass(frozen=True, slots=True)
class Converted:
    """What became of a file.

    data: the new document; None where there is none, and problem says why, or where nothing of the
    source has a place. recipes: how many it holds. carried: pointers in source and result.
    """

    data: bytes | None
    recipes: int = 0
    lost: tuple[Lost, ...] = ()
    changed: tuple[Changed, ...] = ()
    missing: tuple[Missing, ...] = ()
    problem: str = ""
    carried: tuple[tuple[str, str], ...] = field(default=(), repr=False)

    @property
    def valid(self) -> bool:
        """Whether the document is what its standard asks."""
        return self.data is not None and not self.missing

    @property
    def whole(self) -> bool:
        """Whether the document is valid and says all that the source says."""
        return self.valid and not self.lost and not self.changed


def convert_bytes(
    data: bytes, path: str, to: FormatName, options: Options, settings: Sequence[Setting] = ()
) -> Converted:
    """Return the document in the other standard, proven to be valid but for what is missing.

    Raises SettingError for a setting that is for nothing or does not fit; never raises for what the
    bytes contain.
    """
    found = formats.read(SourceFile(path, data), options.limits)
    if found.status != "checked" or found.format is None:
        why = next((item for item in found.findings if item.rule.startswith("file/")), None)
        detail = f" ({why.rule}: {why.message})" if why is not None else ""
        return Converted(None, problem=f"it could not be read in full{detail}")
    if found.format == to:
        return Converted(None, problem=f"it is {_NAMES[to]} already")
    try:
        data, _ = tidied(data, found.format, options, Choice(slips=False), path)
        ledger = Ledger()
        source = _source(data, found.format, options, ledger)
    except EditError as error:
        return Converted(None, problem=str(error))
    if to == "beerxml":
        return _xml(source, ledger, settings)
    again = formats.read(SourceFile(path, data), options.limits)
    return _json(source, ledger, settings, meaning(again.recipes))


_QUANTITY: Final = re.compile(r'\{\n +"unit": ("[^"\n]*"),\n +"value": ([^\n]+)\n +\}')
"""A quantity over four lines; a text never holds a line break as such."""

_NAMES: Final = {"beerjson": "BeerJSON", "beerxml": "BeerXML"}


def _source(data: bytes, format_name: FormatName, options: Options, ledger: Ledger) -> Node:
    if format_name == "beerxml":
        return from_xml(load(data).roots, ledger)
    parsed = parse(open_document(data, "beerjson").text, options.limits.max_depth)
    if not isinstance(parsed, Parsed) or not isinstance(parsed.value, dict):
        raise EditError("it could not be read in full")
    for pointer, text in parsed.not_finite:
        ledger.lose(pointer, text, "it is no number")
    for pointer in parsed.duplicates:
        ledger.change(pointer, None, None, "the member stands twice; the last one is read")
    return from_json(parsed.value, ledger)


def _json(source: Node, ledger: Ledger, settings: Sequence[Setting], read_as: Meaning) -> Converted:
    document = json_document(source, ledger, read_as)
    missing = proof.missing_json(document)
    missing = _set(missing, settings, document, setting.set_json, proof.missing_json)
    breaks = proof.breaks_of_json(document)
    if breaks:
        return _fault(breaks)
    text = _QUANTITY.sub(
        r'{"unit": \1, "value": \2}', json.dumps(document, ensure_ascii=False, indent=2)
    )
    text += "\n"
    return _converted(text, len(document["beerjson"].get("recipes", ())), missing, ledger)


def _xml(source: Node, ledger: Ledger, settings: Sequence[Setting]) -> Converted:
    root = xml_document(source, ledger)
    if root is None:
        return _converted("", 0, [], ledger)
    missing = proof.missing_xml(root)
    missing = _set(missing, settings, root, setting.set_xml, proof.missing_xml)
    breaks = proof.breaks_of_xml(root)
    if breaks:
        return _fault(breaks)
    etree.indent(root)
    text = _DECLARATION + etree.tostring(root, encoding="unicode") + "\n"
    recipes = len(root) if root.tag == "RECIPES" else 0
    return _converted(text, recipes, missing, ledger)


def _set(
    missing: list[Missing],
    settings: Sequence[Setting],
    document: Any,
    put: Callable[[Any, Missing, str], None],
    look: Callable[[Any], list[Missing]],
) -> list[Missing]:
    for item, text in setting.meant(missing, settings):
        put(document, item, text)
    return look(document) if settings else missing


def _fault(breaks: Sequence[str]) -> Converted:
    return Converted(
        None, problem=f"the result would not be valid at {breaks[0]}; please report it"
    )


def _converted(text: str, recipes: int, missing: Sequence[Missing], ledger: Ledger) -> Converted:
    return Converted(
        text.encode("utf-8") if text else None,
        recipes,
        tuple(ledger.lost),
        tuple(ledger.changed),
        tuple(missing),
        "",
        tuple(ledger.carried),
    )
