"""JSON text into Python values, with everything about it that a parser would swallow or choke on.

Python's parser keeps the last of two members of one name, takes ``NaN`` and ``1e999`` for numbers,
lets half a surrogate pair into a string (which fails only when the string is written) and raises
three kinds of errors. All of that comes back as values here.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from recipe_tools.formats.beerjson_schema import escaped

_SURROGATE_ESCAPE = re.compile(r"\\u[dD][89a-fA-F]")
_BLANKS = " \t\r\n"


@dataclass(frozen=True, slots=True)
class NotFinite:
    """Stands in a parsed value for a number that is none: ``NaN``, ``Infinity``, ``1e999``."""

    text: str


@dataclass(frozen=True, slots=True)
class ParseFailure:
    """Why a text is no JSON. reason: in words. offset: where, in code points from the start.

    kind: ``syntax``, or ``depth`` for a text that is nested too deep.
    """

    kind: str
    reason: str
    offset: int = 0


_TOO_DEEP = ParseFailure("depth", "it is nested too deep")


class Parsed(NamedTuple):
    """A parsed text.

    value: the value; of members of one name the last counts; numbers that are not finite are left
    out of objects and null in lists; lone surrogates are U+FFFD. duplicates: pointers of members
    that occur more than once. not_finite: (pointer, text) of the numbers left out. surrogates:
    pointers of the texts in which a lone surrogate was replaced. control_at: where the first raw
    control character in a text stands, in code points.
    """

    value: Any
    duplicates: tuple[str, ...] = ()
    not_finite: tuple[tuple[str, str], ...] = ()
    surrogates: tuple[str, ...] = ()
    control_at: int | None = None


class _Hooks:
    __slots__ = ("duplicates", "not_finite")

    def __init__(self) -> None:
        self.duplicates: list[tuple[dict[str, Any], list[str]]] = []
        self.not_finite = False

    def members(self, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        members = dict(pairs)
        if len(members) != len(pairs):
            counts = Counter(name for name, _ in pairs)
            self.duplicates.append((members, [name for name, n in counts.items() if n > 1]))
        return members

    def number(self, text: str) -> float | NotFinite:
        value = float(text)
        # A difference with itself is zero for every number but infinity.
        return value if value - value == 0.0 else self.constant(text)

    def constant(self, text: str) -> NotFinite:
        self.not_finite = True
        return NotFinite(text if len(text) <= 40 else text[:37] + "...")

    def integer(self, text: str) -> int | NotFinite:
        # Beyond the range of floats nothing can be computed with it; int() refuses 4301 digits.
        return int(text) if len(text) <= 308 else self.constant(text)


def parse(text: str, max_depth: int) -> Parsed | ParseFailure:
    """Return the value of a JSON text with what is odd about it, or why there is none."""
    hooks = _Hooks()
    control_at = None
    try:
        value = _parse(text, hooks)
    except RecursionError:
        return _TOO_DEEP
    except ValueError as error:
        hooks = _Hooks()
        if isinstance(error, json.JSONDecodeError) and "control character" in error.msg:
            control_at = error.pos
        retried = _retry(text, hooks, error)
        if isinstance(retried, ParseFailure):
            return retried
        value = retried[0]
    # Most recipes have fewer brackets than that; then none can be nested deeper.
    if text.count("{") + text.count("[") > max_depth and _exceeds(value, max_depth):
        return _TOO_DEEP
    duplicates: tuple[str, ...] = ()
    if hooks.duplicates:
        duplicates = tuple(map(whole, _duplicate_pointers(value, hooks)))
    not_finite = tuple(_take_out(value)) if hooks.not_finite else ()
    if isinstance(value, NotFinite):
        value = None
    surrogates: tuple[str, ...] = ()
    if _SURROGATE_ESCAPE.search(text) is not None:
        value, surrogates = without_surrogates(value)
    return Parsed(value, duplicates, not_finite, surrogates, control_at)


def _exceeds(value: Any, limit: int) -> bool:
    level = [value]
    for _ in range(limit):
        inner: list[Any] = []
        for item in level:
            if type(item) is dict:
                inner += item.values()
            elif type(item) is list:
                inner += item
        if not inner:
            return False
        level = inner
    return any(type(item) is dict or type(item) is list for item in level)


def _parse(text: str, hooks: _Hooks, **more: Any) -> Any:
    return json.loads(
        text,
        object_pairs_hook=hooks.members,
        parse_float=hooks.number,
        parse_int=hooks.integer,
        parse_constant=hooks.constant,
        **more,
    )


def _retry(text: str, hooks: _Hooks, first: ValueError) -> tuple[Any] | ParseFailure:
    # A second chance for raw line breaks and tabs in strings.
    try:
        return (_parse(text, hooks, strict=False),)
    except RecursionError:
        return _TOO_DEEP
    except json.JSONDecodeError as error:
        return ParseFailure("syntax", _reason(text, error), error.pos)
    except ValueError:
        return ParseFailure("syntax", str(first))


def _reason(text: str, error: json.JSONDecodeError) -> str:
    message = error.msg
    if message.startswith("Extra data"):
        return "there is more text behind the end of the recipe"
    if error.pos >= len(text.rstrip(_BLANKS)):
        return "it ends too early"
    if message.startswith("Illegal trailing comma") or _last(text, error.pos) == ",":
        return "a comma is followed by nothing"
    if message.startswith("Unterminated string"):
        return "a string is not closed"
    if "delimiter" in message:
        return "a comma is missing" if "','" in message else "a colon is missing"
    if message.startswith("Expecting property name"):
        return "a member name in double quotes is missing"
    if "escape" in message.lower():
        return "an escape in a string is wrong"
    return "a value is missing or misspelt"


def _last(text: str, end: int) -> str:
    return text[max(0, end - 1000) : end].rstrip(_BLANKS)[-1:]


def without_surrogates(value: Any) -> tuple[Any, tuple[str, ...]]:
    """Return a parsed value with lone surrogates replaced by U+FFFD, and where they were.

    The pointers lead to the texts, or to the members whose names held one.
    """
    places: list[str] = []

    def clean(text: str, at: str) -> str:
        try:
            text.encode("utf-8")
        except UnicodeEncodeError:
            places.append(at)
            return whole(text)
        return text

    def walk(item: Any, at: str) -> Any:
        if type(item) is str:
            return clean(item, at)
        if type(item) is dict:
            members = {}
            for key, inner in item.items():
                inside = f"{at}/{escaped(whole(key))}"
                members[clean(key, inside)] = walk(inner, inside)
            return members
        if type(item) is list:
            return [walk(inner, f"{at}/{place}") for place, inner in enumerate(item)]
        return item

    return walk(value, ""), tuple(places)


def whole(text: str) -> str:
    """Return a string with every lone surrogate replaced by U+FFFD."""
    return text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")


def containers(value: Any, pointer: str = "") -> Iterator[tuple[str, Any]]:
    """Yield (pointer, object or list) for everything nested in a value, outermost first."""
    waiting = [(pointer, value)]
    while waiting:
        at, item = waiting.pop()
        if type(item) is dict:
            yield at, item
            waiting += [(f"{at}/{escaped(key)}", inner) for key, inner in item.items()]
        elif type(item) is list:
            yield at, item
            waiting += [(f"{at}/{place}", inner) for place, inner in enumerate(item)]


def _duplicate_pointers(value: Any, hooks: _Hooks) -> Iterator[str]:
    repeated = {id(members): names for members, names in hooks.duplicates}
    for pointer, item in containers(value):
        for name in repeated.get(id(item), ()) if type(item) is dict else ():
            yield f"{pointer}/{escaped(name)}"


def _take_out(value: Any) -> Iterator[tuple[str, str]]:
    if isinstance(value, NotFinite):
        yield "", value.text
    for pointer, item in containers(value):
        if type(item) is dict:
            for name in [key for key, inner in item.items() if type(inner) is NotFinite]:
                yield f"{pointer}/{escaped(name)}", item.pop(name).text
        else:
            for place, inner in enumerate(item):
                if type(inner) is NotFinite:
                    yield f"{pointer}/{place}", inner.text
                    item[place] = None
