"""Collects what the BeerJSON reader notices: one finding for all places that show the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from recipe_tools.findings import Finding, ProposedEdit, Related, Severity

MOST_RELATED: Final = 20
"""Places listed beside the first; the count says how many there are."""

MOST_GROUPS: Final = 20_000
"""Kinds of faults kept for one file: each takes time to write down and to place."""


@dataclass(slots=True)
class _Group:
    rule: str
    message: str
    severity: Severity | None
    recipe: int | None
    values: Mapping[str, Any]
    places: list[str] = field(default_factory=list)
    edits: list[ProposedEdit] = field(default_factory=list)


class JsonNotices:
    """Groups of equal deviations; `findings` turns each into one finding.

    left_out: how often a group was not opened because there are too many.
    """

    __slots__ = ("_groups", "left_out")

    def __init__(self) -> None:
        self._groups: dict[tuple[Any, ...], _Group] = {}
        self.left_out = 0

    @property
    def full(self) -> bool:
        """Whether no further group is opened, except for what concerns the file as a whole."""
        return len(self._groups) >= MOST_GROUPS

    def again(self, rule: str, key: tuple[Any, ...], pointer: str, recipe: int | None) -> bool:
        """Add a place to the group of a rule, key and recipe if there is one, else return False.

        Saves rendering a message for the second and all further places; an edit of the group is
        taken over for the place.
        """
        group = self._groups.get((rule, recipe, *key))
        if group is None:
            return False
        group.places.append(pointer)
        if group.edits:
            first = group.edits[0]
            again = ProposedEdit(first.description, pointer, first.replacement, first.keeps_meaning)
            group.edits.append(again)
        return True

    def add(
        self,
        rule: str,
        key: tuple[Any, ...],
        pointer: str,
        message: str,
        *,
        recipe: int | None = None,
        severity: Severity | None = None,
        edit: ProposedEdit | None = None,
        **values: Any,
    ) -> None:
        """Add a place to the group of a rule, key and recipe, or open the group with it.

        The message (``str.format`` fields) and the values are those of the first place.
        """
        full = (rule, recipe, *key)
        group = self._groups.get(full)
        if group is None:
            if self.full and not rule.startswith("file/"):
                self.left_out += 1
                return
            text = message.format(**values)
            group = self._groups[full] = _Group(rule, text, severity, recipe, values)
        group.places.append(pointer)
        if edit is not None:
            group.edits.append(edit)

    def findings(self) -> list[Finding]:
        """Return one finding for each group, at its first place, the others as related places."""
        return [_finding(group) for group in self._groups.values()]


def _finding(group: _Group) -> Finding:
    first, *others = group.places
    message = group.message
    if others:
        more = f"{len(others)} more places have" if len(others) > 1 else "One more place has"
        message += f" {more} the same fault."
    return Finding(
        rule=group.rule,
        message=message,
        values={**group.values, "count": len(group.places)},
        pointer=first,
        severity=group.severity,
        recipe=group.recipe,
        related=tuple(Related(place, "also here") for place in others[:MOST_RELATED]),
        edits=tuple(group.edits),
    )
