"""Which files of an archive nobody wants audited: patterns in the style of gitignore.

Patterns come with archives of strangers. No library here reads them as Git does, so that each name
becomes a regular expression; as in `fnmatch`, its stars never give back what they took.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from recipe_tools.path_globs import Part, parts_match

IGNORE_FILE = ".recipe-tools-ignore"
MAX_BYTES = 64 * 1024
"""Largest file of patterns that is read (derived_default)."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """One line of patterns. parts: between the slashes."""

    parts: tuple[Part, ...]
    ignores: bool
    folders_only: bool


@dataclass(frozen=True, slots=True)
class IgnoreRules:
    """Patterns that apply below one folder. base: that folder, ending in a slash, or empty."""

    patterns: tuple[Pattern, ...] = ()
    base: str = ""

    def verdict(self, path: str, *, folder: bool) -> bool | None:
        """Return whether the path is ignored, None where no pattern speaks of it.

        path: with forward slashes, from the root of the walk. Of several matching patterns the
        last one counts.
        """
        if not self.patterns or not path.startswith(self.base):
            return None
        names = path[len(self.base) :].split("/")
        for pattern in reversed(self.patterns):
            if pattern.folders_only and not folder:
                continue
            if parts_match(pattern.parts, names):
                return pattern.ignores
        return None


def parse(text: str, base: str = "") -> IgnoreRules:
    """Return the rules that the lines of a file give. base: its folder, ending in a slash."""
    lines = text.removeprefix("\ufeff").splitlines()
    return IgnoreRules(tuple(_parsed(lines)), base)


def of_patterns(patterns: Iterable[str]) -> IgnoreRules:
    """Return the rules that patterns of the command line give, each as it stands."""
    return IgnoreRules(tuple(_parsed(patterns)))


def ignored(chain: Iterable[IgnoreRules], path: str, *, folder: bool) -> bool:
    """Tell whether a path is ignored; later rules of the chain win over earlier ones."""
    found = False
    for rules in chain:
        verdict = rules.verdict(path, folder=folder)
        if verdict is not None:
            found = verdict
    return found


def _parsed(lines: Iterable[str]) -> Iterable[Pattern]:
    for line in lines:
        pattern = _pattern(line)
        if pattern is not None:
            yield pattern


def _pattern(line: str) -> Pattern | None:
    text = _without_trailing_blanks(line)
    if not text or text.startswith("#"):
        return None
    ignores = not text.startswith("!")
    text = text if ignores else text[1:]
    folders_only = text.endswith("/")
    text = text.removesuffix("/")
    if not text or _ends_in_lone_backslash(text):
        return None
    parts = [_part(part) for part in text.removeprefix("/").split("/")]
    if "/" not in text:
        parts.insert(0, None)
    return Pattern(tuple(parts), ignores, folders_only)


def _part(text: str) -> Part:
    # The backslash before a slash stands for a slash as well.
    plain = text[:-1] if _ends_in_lone_backslash(text) else text
    if len(plain) > 1 and not plain.strip("*"):  # Git takes three stars and more for two
        return None
    return re.compile(_expression(plain), re.DOTALL)


def _without_trailing_blanks(line: str) -> str:
    """Return the line without blanks at its end, except one that a backslash keeps."""
    text = line.rstrip("\r\n")
    while text.endswith(" ") and not text.endswith("\\ "):
        text = text[:-1]
    return text


def _ends_in_lone_backslash(text: str) -> bool:
    return (len(text) - len(text.rstrip("\\"))) % 2 == 1


def _expression(part: str) -> str:
    """Return a pattern for one name as a regular expression."""
    between_stars = [""]
    place = 0
    while place < len(part):
        letter = part[place]
        place += 1
        if letter == "*":
            between_stars.append("")
        elif letter == "?":
            between_stars[-1] += "."
        elif letter == "[":
            letters = _bracket(part, place)
            if letters is None:
                return _NOTHING
            between_stars[-1] += letters[0]
            place = letters[1]
        else:
            if letter == "\\":
                letter = part[place]
                place += 1
            between_stars[-1] += re.escape(letter)
    start, *rest = between_stars
    if not rest:
        return start
    *middle, end = rest
    return start + "".join(f"(?>.*?{piece})" for piece in middle if piece) + f".*{end}"


def _bracket(pattern: str, place: int) -> tuple[str, int] | None:
    """Return the letters of a bracket whose inside starts at a place, and the place behind it.

    None where the bracket is not closed, or names a class that does not exist.
    """
    all_but = pattern[place : place + 1] in ("!", "^")
    place += all_but
    spans: list[tuple[str, str]] = []
    first = True
    while place < len(pattern):
        letter = pattern[place]
        if letter == "]" and not first:
            return _letters(spans, all_but=all_but), place + 1
        first = False
        if letter == "[" and pattern[place + 1 : place + 2] == ":":
            end = pattern.find(":]", place + 2)
            named = _NAMED.get(pattern[place + 2 : end]) if end >= 0 else None
            if named is None:
                return None
            spans += named
            place = end + 2
            continue
        low, place = _letter(pattern, place)
        if pattern[place : place + 1] == "-" and pattern[place + 1 : place + 2] not in ("", "]"):
            high, place = _letter(pattern, place + 1)
            spans.append((low, high))
        else:
            spans.append((low, low))
    return None


def _letters(spans: Iterable[tuple[str, str]], *, all_but: bool) -> str:
    """Return the expression for a letter within some spans, or outside them."""
    inside = "".join(f"{re.escape(low)}-{re.escape(high)}" for low, high in spans if low <= high)
    if not inside:
        return "." if all_but else _NOTHING
    return f"[{'^' if all_but else ''}{inside}]"


def _letter(pattern: str, place: int) -> tuple[str, int]:
    if pattern[place] == "\\" and place + 1 < len(pattern):
        place += 1
    return pattern[place], place + 1


_NOTHING = "(?!)"
_UPPER, _LOWER, _DIGIT = ("A", "Z"), ("a", "z"), ("0", "9")
_PUNCTUATION = (("!", "/"), (":", "@"), ("[", "`"), ("{", "~"))
_NAMED: dict[str, tuple[tuple[str, str], ...]] = {
    "alnum": (_UPPER, _LOWER, _DIGIT),
    "alpha": (_UPPER, _LOWER),
    "blank": ((" ", " "), ("\t", "\t")),
    "cntrl": (("\0", "\x1f"), ("\x7f", "\x7f")),
    "digit": (_DIGIT,),
    "graph": (("!", "~"),),
    "lower": (_LOWER,),
    "print": ((" ", "~"),),
    "punct": _PUNCTUATION,
    "space": ((" ", " "), ("\t", "\r")),
    "upper": (_UPPER,),
    "xdigit": (_DIGIT, ("A", "F"), ("a", "f")),
}
"""The classes of POSIX by name, in ASCII."""
