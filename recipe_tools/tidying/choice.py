"""Which deviations are mended."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from recipe_tools.checking.checklist import covers
from recipe_tools.editing.document import Document, Edit
from recipe_tools.formats.fields import Field
from recipe_tools.limits import DEFAULT_LIMITS, Limits

MISSPELT: Final = "standard/misspelt-tag"
MISPLACED: Final = "standard/misplaced-tag"
NAMESPACE: Final = "file/namespace"
ROOT: Final = "file/root-not-standard"
VERSION: Final = "file/unknown-version"
ENCODING: Final = "file/encoding-repaired"
MARKUP: Final = "file/markup-repaired"
TYPE: Final = "standard/wrong-type"
MISSING: Final = "standard/required-missing"
WITH_UNIT: Final = "standard/number-with-unit"
COMMA: Final = "standard/decimal-comma"


@dataclass(frozen=True, slots=True)
class Choice:
    """What is asked for: rules and topics to keep to or leave out.

    meant: also what changes how a number is read, or makes a value read that was not. slips: names
    that are nearly one of the standard.
    """

    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    meant: bool = False
    slips: bool = True

    def takes(self, rule: str) -> bool:
        """Tell whether deviations of a rule are mended."""
        return not covers(self.without, rule) and (not self.only or covers(self.only, rule))

    def renames(self, meant: Field | None) -> bool:
        """Tell whether a misspelt name is written as it is meant: now its value will be read."""
        unread = meant is None or not (meant.members or meant.child or meant.needed)
        return self.slips and self.takes(MISSPELT) and (self.meant or unread)


@dataclass(slots=True)
class Step:
    """One step of mending on its way.

    meant: symbolic paths whose values may read otherwise afterwards.
    """

    document: Document
    choice: Choice
    limits: Limits = DEFAULT_LIMITS
    meant: set[str] = field(default_factory=set)


Mend = Callable[[Step], list[Edit]]
"""Returns the edits of one step; none where there is nothing to mend."""
