"""Faults that leave no doubt about what is meant, put into valid documents of both standards."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from typing import Any

from recipe_tools.formats.fields import FIELDS

Damage = Callable[[str, random.Random], str]

_TAGS = {
    kind: "|".join(
        {field.tag for field in FIELDS if field.tag and field.kind == kind and not field.extension}
    )
    for kind in ("boolean", "list", "number", "percentage")
}
_WITH_UNIT = {"BATCH_SIZE": "L", "BOIL_SIZE": "l", "GRAIN_TEMP": "°C", "CALCIUM": "mg/l"}


def _some(pattern: str, new: Callable[[re.Match[str]], str]) -> Damage:
    """Return damage to the places of a pattern, to each by the throw of a die."""

    def damage(text: str, dice: random.Random) -> str:
        def thrown(match: re.Match[str]) -> str:
            return new(match) if dice.random() < 0.5 else match[0]

        return re.sub(pattern, thrown, text)

    return damage


def _leaf(tags: str, content: str = r"[^<]+") -> str:
    return rf"<(?P<tag>{tags})>(?P<what>{content})</(?P=tag)>"


def _value(change: Callable[[str], str]) -> Callable[[re.Match[str]], str]:
    return lambda match: f"<{match['tag']}>{change(match['what'])}</{match['tag']}>"


def _name(match: re.Match[str]) -> str:
    tag = match["tag"].capitalize()
    return f"<{tag}>{match['what']}</{tag}>"


def _without_version(match: re.Match[str]) -> str:
    return ""


def _by_unit(match: re.Match[str]) -> str:
    tag = match["tag"]
    return f"<{tag}>{match['what']} {_WITH_UNIT[tag]}</{tag}>"


def _namespace(text: str, dice: random.Random) -> str:
    if dice.random() < 0.5:
        return text.replace("<RECIPES>", '<RECIPES xmlns="urn:aldermoor">', 1)
    marked = re.sub(r"<(/?)([A-Z])", r"<\1ab:\2", text)
    return marked.replace("<ab:RECIPES>", '<ab:RECIPES xmlns:ab="urn:aldermoor">', 1)


def _loose(text: str, dice: random.Random) -> str:
    """Take the records of some sets out of them, where the set stands in a recipe."""
    home = dice.choice(("HOPS", "MISCS", "YEASTS", "WATERS", "FERMENTABLES", "MASH_STEPS"))
    return re.sub(rf"</?{home}/?>", "", text)


def _wrapped(text: str, dice: random.Random) -> str:
    name = dice.choice(("STYLE", "EQUIPMENT", "MASH"))
    opened = re.sub(rf"<{name}>", f"<{name}S>\n<{name}>", text)
    return re.sub(rf"</{name}>", f"</{name}>\n</{name}S>", opened)


def _declared(text: str, dice: random.Random) -> str:
    return text.replace('encoding="UTF-8"', f'encoding="{dice.choice(("ISO-8859-1", "utf-16"))}"')


XML: dict[str, Damage] = {
    "booleans": _some(_leaf(_TAGS["boolean"]), _value(str.lower)),
    "words": _some(_leaf(_TAGS["list"]), _value(str.upper)),
    "commas": _some(
        _leaf(f"{_TAGS['number']}|{_TAGS['percentage']}", r"\d+\.\d+"),
        _value(lambda number: number.replace(".", ",")),
    ),
    "names of tags": _some(
        _leaf("NAME|BATCH_SIZE|ALPHA|CALCIUM|STEP_TEMP|ORIGIN|COLOR|YIELD"), _name
    ),
    "units": _some(_leaf("|".join(_WITH_UNIT)), _by_unit),
    "editions": _some(r"<VERSION>1</VERSION>\n", _without_version),
    "namespace": _namespace,
    "loose records": _loose,
    "wrapped records": _wrapped,
    "encoding": _declared,
}


def _walk(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from _walk(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _walk(inner)


def _objects(change: Callable[[dict[str, Any], random.Random], None]) -> Damage:
    def damage(text: str, dice: random.Random) -> str:
        document = json.loads(text)
        for item in _walk(document):
            if dice.random() < 0.5:
                change(item, dice)
        return json.dumps(document, ensure_ascii=False, indent=1)

    return damage


def _is_quantity(item: dict[str, Any]) -> bool:
    return item.keys() == {"unit", "value"}


def _in_quotes(item: dict[str, Any], dice: random.Random) -> None:
    if _is_quantity(item):
        text = repr(item["value"])
        item["value"] = text.replace(".", ",") if dice.random() < 0.5 and "e" not in text else text


_PLAIN_UNITS = {"l": "litres", "kg": "Kilograms", "g": "grams", "min": "mins", "C": "°C"}


def _unit_words(item: dict[str, Any], dice: random.Random) -> None:
    if _is_quantity(item):
        item["unit"] = _PLAIN_UNITS.get(item["unit"], item["unit"])


def _bare(item: dict[str, Any], dice: random.Random) -> None:
    for name, inner in item.items():
        if isinstance(inner, dict) and _is_quantity(inner) and inner["unit"] in ("%", "pH", "sg"):
            item[name] = inner["value"]


def _as_text(item: dict[str, Any], dice: random.Random) -> None:
    for name, inner in item.items():
        if not isinstance(inner, dict) or not _is_quantity(inner):
            continue
        if inner["unit"] in ("l", "kg", "C") and not isinstance(inner["value"], str):
            item[name] = f"{inner['value']!r} {inner['unit']}"


def _listed(item: dict[str, Any], dice: random.Random) -> None:
    for name in ("type", "form", "use"):
        if isinstance(item.get(name), str):
            item[name] = item[name].title() if name != "use" else item[name].upper()


def _flags(item: dict[str, Any], dice: random.Random) -> None:
    for name, inner in item.items():
        if isinstance(inner, bool):
            item[name] = str(inner)


def _rootless(text: str, dice: random.Random) -> str:
    body = json.loads(text)["beerjson"]
    if dice.random() < 0.5:
        body.pop("version")
        return json.dumps({"beerjson": body}, ensure_ascii=False)
    return json.dumps(body, ensure_ascii=False)


JSON: dict[str, Damage] = {
    "numbers in quotes": _objects(_in_quotes),
    "words for units": _objects(_unit_words),
    "bare numbers": _objects(_bare),
    "quantities as text": _objects(_as_text),
    "listed words": _objects(_listed),
    "flags in quotes": _objects(_flags),
    "root": _rootless,
    "byte order mark": lambda text, dice: f"\ufeff{text}",
}
