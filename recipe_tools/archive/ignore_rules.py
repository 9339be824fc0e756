"""Which files of an archive nobody wants audited: patterns in the style of gitignore.

Patterns come with archives of strangers. Libraries translate them into regular expressions, on
which ``*a*a*a*a*b`` takes time that grows with a power of the name's length; here the work is at
most the product of the lengths of pattern and path.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

IGNORE_FILE = ".recipe-tools-ignore"
MAX_BYTES = 64 * 1024
"""Largest file of patterns that is read (derived_default)."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """One line of patterns. parts: between the slashes, ``**`` for any number of folders."""

    parts: tuple[str, ...]
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
        names = tuple(path[len(self.base) :].split("/"))
        for pattern in reversed(self.patterns):
            if pattern.folders_only and not folder:
                continue
            if _matches(pattern.parts, names):
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
    parts = [_folders(_plain_end(part)) for part in text.removeprefix("/").split("/")]
    if "/" not in text:
        parts.insert(0, "**")
    return Pattern(tuple(parts), ignores, folders_only)


def _plain_end(part: str) -> str:
    """Return a part without the backslash before its slash, which stands for a slash as well."""
    return part[:-1] if _ends_in_lone_backslash(part) else part


def _folders(part: str) -> str:
    """Return ``**`` for a part of three stars and more, which Git takes for that too."""
    return "**" if len(part) > 2 and not part.strip("*") else part


def _without_trailing_blanks(line: str) -> str:
    """Return the line without blanks at its end, except one that a backslash keeps."""
    text = line.rstrip("\r\n")
    while text.endswith(" ") and not text.endswith("\\ "):
        text = text[:-1]
    return text


def _ends_in_lone_backslash(text: str) -> bool:
    return (len(text) - len(text.rstrip("\\"))) % 2 == 1


def _matches(parts: tuple[str, ...], names: tuple[str, ...]) -> bool:
    """Match all parts against all names, ``**`` standing for any number of folders.

    At the end of a pattern ``**`` stands for everything inside, so for one name at least.
    """
    reached = {0}
    for place, part in enumerate(parts):
        if part == "**":
            first = min(reached) + (place == len(parts) - 1)
            reached = set(range(first, len(names) + 1))
        else:
            reached = {
                at + 1 for at in reached if at < len(names) and _name_matches(part, names[at])
            }
        if not reached:
            return False
    return len(names) in reached


def _name_matches(pattern: str, name: str) -> bool:
    """Match one name: on a mismatch the latest ``*`` takes one character more."""
    tokens = _tokens(pattern)
    if tokens is None:
        return False
    at_token = at_name = 0
    star, resume = -1, 0
    while at_name < len(name):
        if at_token < len(tokens) and tokens[at_token] is None:
            star, resume = at_token, at_name
            at_token += 1
        elif at_token < len(tokens) and _takes(tokens[at_token], name[at_name]):
            at_token += 1
            at_name += 1
        elif star >= 0:
            at_token = star + 1
            resume += 1
            at_name = resume
        else:
            return False
    return all(token is None for token in tokens[at_token:])


@dataclass(frozen=True, slots=True)
class _Letters:
    """Letters a place of a name may hold. spans: first and last of each range."""

    spans: tuple[tuple[str, str], ...]
    all_but: bool = False


_Token = _Letters | None
_ANY = _Letters((), all_but=True)


def _takes(token: _Token, letter: str) -> bool:
    if token is None:
        return False
    return any(low <= letter <= high for low, high in token.spans) != token.all_but


@lru_cache(maxsize=512)
def _tokens(pattern: str) -> tuple[_Token, ...] | None:
    """Return a pattern for one name letter by letter; None stands for ``*``.

    A bracket that is not closed makes the pattern match nothing (None for the whole).
    """
    tokens: list[_Token] = []
    place = 0
    while place < len(pattern):
        letter = pattern[place]
        place += 1
        if letter == "*":
            if not tokens or tokens[-1] is not None:
                tokens.append(None)
        elif letter == "?":
            tokens.append(_ANY)
        elif letter == "[":
            found = _bracket(pattern, place)
            if found is None:
                return None
            token, place = found
            tokens.append(token)
        else:
            if letter == "\\":
                letter = pattern[place]
                place += 1
            tokens.append(_Letters(((letter, letter),)))
    return tuple(tokens)


def _bracket(pattern: str, place: int) -> tuple[_Letters, int] | None:
    """Return the letters of a bracket whose inside starts at a place, and the place behind it."""
    all_but = pattern[place : place + 1] in ("!", "^")
    place += all_but
    spans: list[tuple[str, str]] = []
    first = True
    while place < len(pattern):
        letter = pattern[place]
        if letter == "]" and not first:
            return _Letters(tuple(spans), all_but), place + 1
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


def _letter(pattern: str, place: int) -> tuple[str, int]:
    if pattern[place] == "\\" and place + 1 < len(pattern):
        place += 1
    return pattern[place], place + 1


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
