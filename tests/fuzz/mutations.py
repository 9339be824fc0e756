"""Changes that know the shape of a file, so that fuzzing gets past the parser.

Plain changes of bytes mostly break the markup; these keep it and put something else in place of a
value, a name or a whole part.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Mapping
from typing import Any

NUMBERS = (
    "0", "-0", "-1", "1", "7", "14", "100", "1e-320", "1e308", "-1e308", "1e999", "NaN", "Infinity",
    "5e-324", "0.0000001", "99999999999999999999", "1,5", "1.234,5", "1_000", "٣", "5 g",
    "12 °P", "0x10", "", " ", "5.4", "2147483648", "1e15", "20", "0.9999999",
)  # fmt: skip
WORDS = (
    "Mash", "Sparge", "Boil", "Infusion", "Decoction", "Temperature", "TRUE", "FALSE", "true",
    "water agent", "Water Agent", "add_to_mash", "add_to_boil", "add_to_fermentation", "sparge",
    "Gypsum (calcium sulfate dihydrate)", "Calcium Chloride 33 %", "CaCl₂", "Lactic acid 88%",
    "Phosphoric acid 10 %", "Hydrochloric acid 6 N", "Slaked lime", "Chalk", "Baking soda",
    "Potassium metabisulfite", "Campden tablets", "Acidulated malt", "Roasted barley",
    "Crystal 120", "Flaked oats", "Rye malt", "Distilled water", "IPA", "18B", "BJCP 2021", "Gose",
    "kg", "g", "mg", "lb", "oz", "ml", "l", "gal", "qt", "tsp", "each", "pkg", "mg/l", "ppm", "ppb",
    "C", "F", "Lovi", "EBC", "SRM", "%", "sg", "plato", "brix", "min", "day", "days", "1", "2.06",
    "\x00", "\u202e", "\ud800", "\uffff", "=1+1", "::error::x", "<b>", "]]>", "&amp;", "&#0;",
    "{value}", "{", "%s", "../../x", "a" * 5000,
)  # fmt: skip
KEYS = (
    "amount", "value", "unit", "use", "timing", "step", "name", "type", "mash_steps", "recipes",
    "water_additions", "fermentable_additions", "miscellaneous_additions", "calcium", "bicarbonate",
    "sulfate", "chloride", "sodium", "magnesium", "pH", "beerjson", "version", "style", "mash",
    "di_ph", "yield", "color", "minimum", "maximum", "", "/", "~", "a/b", "ingredients", "boil",
)  # fmt: skip
TAGS = (
    "RECIPES", "RECIPE", "NAME", "VERSION", "TYPE", "STYLE", "WATERS", "WATER", "MISCS", "MISC",
    "MASH", "MASH_STEPS", "MASH_STEP", "FERMENTABLES", "FERMENTABLE", "AMOUNT", "AMOUNT_IS_WEIGHT",
    "USE", "TIME", "CALCIUM", "BICARBONATE", "PH", "INFUSE_AMOUNT", "STEP_TEMP", "BATCH_SIZE",
    "BOIL_SIZE", "EQUIPMENT", "NOTES", "COLOR", "YIELD", "DISPLAY_AMOUNT", "GRAIN_TEMP", "HOPS",
)  # fmt: skip

_NODES_WALKED = 2_000
_ELEMENT = re.compile(r"<([A-Za-z_]+)>[^<]*</\1>|<([A-Za-z_]+)>(?:(?!<\2>).)*?</\2>", re.DOTALL)
_TEXT = re.compile(r">([^<]*)</")
_TAG = re.compile(r"(</?)([A-Za-z_]+)(?=[ />])")
_TOML_VALUE = re.compile(r"= *([^\n]*)")


def any_value(dice: random.Random) -> Any:
    """Return a JSON value of any kind."""
    kind = dice.randrange(7)
    if kind == 0:
        return dice.choice((None, True, False))
    if kind == 1:
        return dice.choice((0, -1, 1, 10**20, 5.4, 1e-320, -1e308, 1e308, 0.1, 35, 2**63))
    if kind == 2:
        return {"value": dice.choice((0, 1.5, "3", None, -2, 1e300)), "unit": dice.choice(WORDS)}
    if kind == 3:
        return [any_value(dice) for _ in range(dice.randrange(3))]
    if kind == 4:
        return {dice.choice(KEYS): any_value(dice) for _ in range(dice.randrange(3))}
    return dice.choice(NUMBERS if kind == 5 else WORDS)


def beerjson(text: str, dice: random.Random) -> str:
    """Return a JSON text with a few members changed, taken out, doubled or exchanged."""
    value = json.loads(text)
    for _ in range(dice.randrange(1, 5)):
        places = list(_places(value))
        if not places:
            return json.dumps(any_value(dice), ensure_ascii=dice.random() < 0.5)
        holder, key = dice.choice(places)
        deed = dice.randrange(6)
        if deed == 0:
            del holder[key]
        elif deed == 1:
            other, its_key = dice.choice(places)
            if its_key in other if isinstance(other, dict) else its_key < len(other):
                holder[key] = json.loads(json.dumps(other[its_key]))
        elif deed == 2 and isinstance(holder, list):
            holder.extend(json.loads(json.dumps(holder[key])) for _ in range(dice.choice((1, 5))))
        elif deed == 3 and isinstance(holder, dict):
            holder[dice.choice(KEYS)] = holder.pop(key)
        else:
            holder[key] = any_value(dice)
    return json.dumps(value, ensure_ascii=dice.random() < 0.5)


def _places(value: Any) -> list[tuple[Any, Any]]:
    found: list[tuple[Any, Any]] = []
    waiting = [value]
    while waiting and len(found) < _NODES_WALKED:
        item = waiting.pop()
        inner = (
            list(item.items())
            if isinstance(item, dict)
            else list(enumerate(item))
            if isinstance(item, list)
            else []
        )
        found += [(item, key) for key, _ in inner]
        waiting += [part for _, part in inner]
    return found


def beerxml(text: str, dice: random.Random) -> str:
    """Return an XML text with a few values, tags or whole elements changed."""
    for _ in range(dice.randrange(1, 5)):
        deed = dice.randrange(7)
        pattern = _TEXT if deed < 3 else _TAG if deed == 3 else _ELEMENT
        matches = list(pattern.finditer(text))[:_NODES_WALKED]
        if not matches:
            return text + f"<{dice.choice(TAGS)}>"
        found = dice.choice(matches)
        if deed < 3:
            new = dice.choice(NUMBERS if deed < 2 else WORDS)
            text = text[: found.start(1)] + new + text[found.end(1) :]
        elif deed == 3:
            text = text[: found.start(2)] + dice.choice(TAGS) + text[found.end(2) :]
        elif deed == 4:
            text = text[: found.start()] + text[found.end() :]
        elif deed == 5:
            text = (
                text[: found.end()] + found.group() * dice.choice((1, 1, 4)) + text[found.end() :]
            )
        else:
            other = dice.choice(matches)
            text = text[: found.start()] + other.group() + text[found.end() :]
    return text


def toml(text: str, dice: random.Random) -> str:
    """Return a TOML text with a few values or lines changed."""
    for _ in range(dice.randrange(1, 4)):
        lines = text.split("\n")
        at = dice.randrange(len(lines))
        deed = dice.randrange(5)
        if deed == 0:
            del lines[at]
        elif deed == 1:
            lines.insert(dice.randrange(len(lines)), lines[at])
        elif deed == 2:
            lines[at] = lines[at].replace(dice.choice("abcdeimnorst_ =[]\"'."), "", 1)
        else:
            new = _toml_value(dice)
            lines[at] = _TOML_VALUE.sub(lambda match, new=new: f"= {new}", lines[at], count=1)  # type: ignore[misc]
        text = "\n".join(lines)
    return text


def _toml_value(dice: random.Random) -> str:
    kind = dice.randrange(6)
    if kind == 0:
        return dice.choice(("true", "1979-05-27", "07:32:00", "1979-05-27T07:32:00Z", "nan", "inf"))
    if kind == 1:
        return f"[{', '.join(_toml_value(dice) for _ in range(dice.randrange(3)))}]"
    if kind == 2:
        return f"{{ {dice.choice(KEYS) or 'a'} = {_toml_value(dice)} }}".replace("/", "_")
    if kind == 3:
        return dice.choice(NUMBERS) or "0"
    return json.dumps(f"{dice.choice(NUMBERS)} {dice.choice(WORDS)}"[:200])


def recipe(text: str, dice: random.Random) -> str:
    """Return a recipe file of either standard with a few things changed."""
    change = beerjson if text.lstrip("\ufeff \t\r\n").startswith(("{", "[")) else beerxml
    return change(text, dice)


MUTATIONS: Mapping[str, Callable[[str, random.Random], str]] = {
    "beerxml": beerxml,
    "beerjson": beerjson,
    "annotator": recipe,
    "config": toml,
    "water": toml,
    "table": toml,
    "baseline": beerjson,
}
"""Target -> change of a text that keeps its shape."""
