"""Findings, and the declaration that stands behind each kind of finding.

A rule is declared once (`Rule`): its reason, source, options and examples stand beside the code
that applies it. What a rule or a reader yields is a `Finding` without file name and position;
`checking` fills these in.
"""

import hashlib
from collections.abc import Mapping
from enum import IntEnum
from types import MappingProxyType
from typing import Any, NamedTuple

from recipe_tools.recipe import FormatName

Value = float | int | str | bool | None
NO_VALUES: Mapping[str, Any] = MappingProxyType({})


class Severity(IntEnum):
    """How bad it is.

    note: worth knowing; warning: probably not what you want; error: do not brew this as written.
    """

    NOTE = 1
    WARNING = 2
    ERROR = 3

    @property
    def word(self) -> str:
        """The name used on the command line and in reports."""
        return self.name.lower()


class Confidence(IntEnum):
    """How sure it is.

    certain: the whole band is outside; likely: the best value is; possible: only the band reaches.
    """

    POSSIBLE = 1
    LIKELY = 2
    CERTAIN = 3

    @property
    def word(self) -> str:
        """The name used on the command line and in reports."""
        return self.name.lower()


class Related(NamedTuple):
    """Another place that has to do with a finding, such as the water a salt goes into."""

    pointer: str
    message: str
    line: int | None = None
    column: int | None = None


class ProposedEdit(NamedTuple):
    """A change a program can make.

    replacement: new text of the value, as the file spells it. keeps_meaning: nothing else moves
    when it is made; where it is false, it changes how a number is read. current: the text it takes
    the place of, and where that stands (as in `Finding`); None until located, and where there is
    no such text.
    """

    description: str
    pointer: str
    replacement: str
    keeps_meaning: bool = False
    current: str | None = None
    line: int | None = None
    column: int | None = None
    end_line: int | None = None
    end_column: int | None = None

    @property
    def kind(self) -> str:
        """What it does, in words."""
        return "nothing else moves" if self.keeps_meaning else "changes how a number is read"


class Finding(NamedTuple):
    """One thing found in one place.

    values: the numbers and words behind the message, by name; JSON-ready.
    pointer: symbolic path (see `recipe.Origin`). recipe: 0-based index in the file, None for the
        file.
    line, column: 1-based, columns in code points, end exclusive; None until located.
    severity: None until the declaration or configuration has decided, except where a rule decides.
    edits: they belong together, one for each place that shows the fault.
    about: the first file a finding of the whole run is about, which has no path of its own.
    """

    rule: str
    message: str
    values: Mapping[str, Any] = NO_VALUES
    pointer: str = ""
    severity: Severity | None = None
    confidence: Confidence = Confidence.CERTAIN
    path: str | None = None
    recipe: int | None = None
    line: int | None = None
    column: int | None = None
    end_line: int | None = None
    end_column: int | None = None
    fingerprint: str = ""
    related: tuple[Related, ...] = ()
    edits: tuple[ProposedEdit, ...] = ()
    suppressed: str | None = None
    about: str | None = None

    @property
    def is_handling(self) -> bool:
        """How to handle a product: no verdict on a recipe, and never one on an exit code."""
        return self.rule.startswith("safety/")


def find(
    rule: str,
    message: str,
    at: str = "",
    *,
    confidence: Confidence = Confidence.CERTAIN,
    severity: Severity | None = None,
    related: tuple[Related, ...] = (),
    edits: tuple[ProposedEdit, ...] = (),
    recipe: int | None = None,
    **values: Any,
) -> Finding:
    """Return a finding whose message is rendered from its values (``str.format`` fields)."""
    return Finding(
        rule=rule,
        message=message.format(**values),
        values=values,
        pointer=at,
        severity=severity,
        confidence=confidence,
        recipe=recipe,
        related=related,
        edits=edits,
    )


class Option(NamedTuple):
    """A threshold or choice of a rule.

    source: where the default comes from (or ``derived_default``).
    """

    default: Any
    unit: str
    text: str
    source: str


class Example(NamedTuple):
    """A recipe that shows a rule.

    patch: a JSON merge patch (RFC 7396) onto the plain BeerJSON recipe of `rules.examples`.
    config: a recipe-tools.toml as nested dict. raw: a whole file instead of a patch.
    text: one sentence that says what is shown.
    """

    text: str
    patch: Mapping[str, Any] = NO_VALUES
    config: Mapping[str, Any] = NO_VALUES
    raw: bytes | None = None


class Rule(NamedTuple):
    """The declaration of a rule: everything `recipe-tools explain` shows.

    id: ``topic/name``. severity: default severity. summary: one sentence. why: what it means for
    the beer. source: published source, or ``common practice, no source``, or ``derived_default``.
    remedy: what to do. not_checked: the finding leaves the file unchecked (exit code 3).
    aliases: former ids. message: where it stands once, here; its fields are values of the finding.
    reference: the rows that `explain` shows, as `reference.selection` reads
    them. standards: in whose files it can occur.
    """

    id: str
    severity: Severity
    summary: str
    why: str
    source: str
    remedy: str
    passes: Example
    fails: Example
    options: Mapping[str, Option] = MappingProxyType({})
    not_checked: bool = False
    aliases: tuple[str, ...] = ()
    reference: tuple[str, ...] = ()
    standards: tuple[FormatName, ...] = ("beerxml", "beerjson")
    message: str = ""

    @property
    def topic(self) -> str:
        """The part of the id before the slash."""
        return self.id.partition("/")[0]


def text_value(values: Mapping[str, Any]) -> str:
    """Return the ``value`` of a finding that tells it from others, empty where it is a number."""
    value = values.get("value", "")
    return value if isinstance(value, str) else ""


def number_value(values: Mapping[str, Any]) -> float | None:
    """Return the ``value`` of a finding where it is a number."""
    value = values.get("value")
    return value if isinstance(value, (int, float)) and not isinstance(value, bool) else None


def fingerprint(rule: str, path: str, values: Mapping[str, Any], ordinal: int) -> str:
    """Return 16 hex digits that stay the same when lines move or wording changes.

    They depend on the rule, the symbolic path (with records by name, see `named_paths`), the
    finding's ``value`` (its value of that name, if it is a text) and the ordinal among otherwise
    equal findings. A number is left out: most are computed, and move with everything in a recipe.
    """
    text = f"{rule}\0{path}\0{text_value(values)}\0{ordinal}"
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def severity_from_word(word: str) -> Severity:
    """Return the severity of that name. Raises KeyError for another word."""
    return Severity[word.upper()]
