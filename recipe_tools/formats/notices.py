"""Findings of a reader, gathered so that one fault in fifty places is one finding with a count."""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.findings import Confidence, Finding, ProposedEdit, Related, Severity, find

MOST_GROUPS: Final = 20_000
"""Kinds of faults kept for one file: each takes time to write down and to place."""

_MOST_RELATED: Final = 20
_LONGEST_VALUE: Final = 60


def shown(text: str | None) -> str:
    """Return a value of the file short enough for one line of a message."""
    squeezed = " ".join((text or "").split())
    return squeezed if len(squeezed) <= _LONGEST_VALUE else squeezed[: _LONGEST_VALUE - 1] + "…"


def fault(
    rule: str, pointer: str = "", *, severity: Severity | None = None, **values: Any
) -> Finding:
    """Return the finding of a fault that stands for itself, with the message of its rule."""
    from recipe_tools.formats.deviations import DEVIATIONS

    return find(rule, DEVIATIONS[rule].message, pointer, severity=severity, **values)


class _Group:
    __slots__ = ("count", "edits", "names", "places", "recipe", "rule", "severity", "values")

    def __init__(
        self,
        rule: str,
        recipe: int | None,
        severity: Severity | None,
        values: dict[str, Any],
    ) -> None:
        self.rule = rule
        self.recipe = recipe
        self.severity = severity
        self.edits: list[ProposedEdit] = []
        self.values = values
        self.count = 0
        self.places: list[str] = []
        self.names: dict[str, int] = {}


class Notices:
    """What is noted of a file while it is read: a group for each kind of fault in each recipe.

    recipe: 0-based index of the one being read, None for the file. left_out: how often no group
    was opened, as there are too many.
    """

    __slots__ = ("_groups", "left_out", "recipe")

    def __init__(self, recipe: int | None = None) -> None:
        self.recipe = recipe
        self.left_out = 0
        self._groups: dict[tuple[object, ...], _Group] = {}

    @property
    def full(self) -> bool:
        """Whether no further group is opened, except for what concerns the file as a whole."""
        return len(self._groups) >= MOST_GROUPS

    def add(
        self,
        rule: str,
        pointer: str,
        key: tuple[object, ...] | None = None,
        *,
        severity: Severity | None = None,
        edit: ProposedEdit | None = None,
        **values: Any,
    ) -> None:
        """Note a fault; the message is that of the rule.

        Faults with one rule, recipe and key become one finding, with the severity and the values of
        the first of them and the edits of all. key: severity and values where left out.
        """
        if key is None:
            key = (severity, *values.items())
        group = self._groups.get((rule, self.recipe, *key))
        if group is None:
            if self.full and not rule.startswith("file/"):
                self.left_out += 1
                return
            group = _Group(rule, self.recipe, severity, values)
            self._groups[rule, self.recipe, *key] = group
        self._place(group, pointer, edit)

    def again(
        self,
        rule: str,
        key: tuple[object, ...],
        pointer: str,
        edit: ProposedEdit | None = None,
    ) -> bool:
        """Add a place to a group of `add` if there is one: saves finding words for it once more."""
        group = self._groups.get((rule, self.recipe, *key))
        if group is not None:
            self._place(group, pointer, edit)
        return group is not None

    def once(self, rule: str, pointer: str, **values: Any) -> None:
        """Note a fault of the whole file or recipe at the first place it is met, and only there."""
        if (rule, self.recipe) not in self._groups:
            self.add(rule, pointer, (), **values)

    def lacks(self, record: str, tag: str, pointer: str, severity: Severity) -> None:
        """Note that a record of BeerXML lacks a field; one finding for each kind of record."""
        key = ("standard/required-missing", self.recipe, record, severity)
        group = self._groups.get(key)
        if group is None:
            values = {"record": record, "standard": "BeerXML 1.0", "outcome": ""}
            group = self._groups[key] = _Group(key[0], self.recipe, severity, values)
        if pointer not in group.places:
            self._place(group, pointer)
        group.names[tag] = group.names.get(tag, 0) + 1

    def _place(self, group: _Group, pointer: str, edit: ProposedEdit | None = None) -> None:
        group.count += 1
        if edit is not None:
            group.edits.append(edit)
        if len(group.places) <= _MOST_RELATED:
            group.places.append(pointer)

    def findings(self) -> list[Finding]:
        """Return the findings in the order of their first places, what records lack at the end."""
        if not self._groups:
            return []
        from recipe_tools.formats.deviations import DEVIATIONS

        groups = sorted(self._groups.values(), key=lambda group: bool(group.names))
        found = [_finding(group, DEVIATIONS[group.rule].message) for group in groups]
        if self.left_out:
            what = "departures from the standard"
            number = f"more than {MOST_GROUPS}"
            found.append(
                fault(
                    "file/too-many-records",
                    value=self.left_out,
                    number=number,
                    what=what,
                    limit=MOST_GROUPS,
                )
            )
        return found


def _finding(group: _Group, message: str) -> Finding:
    first, *others = group.places
    count = group.count
    values = group.values
    if group.names:
        listed = (
            name if times == 1 else f"{name} ({times} times)" for name, times in group.names.items()
        )
        values = {**values, "fields": ", ".join(listed), "value": ", ".join(group.names)}
        count = sum(group.names.values())
    elif count > 1:
        more = "One more place has" if count == 2 else f"{count - 1} more places have"
        message += f" {more} the same fault."
    values = {**values, "count": count}
    # By place, as a file can bring thousands of them and keywords take twice as long.
    return Finding(
        group.rule,
        message.format(**values),
        values,
        first,
        group.severity,
        Confidence.CERTAIN,
        None,
        group.recipe,
        related=tuple(Related(place, "the same here") for place in others[:_MOST_RELATED]),
        edits=tuple(group.edits),
    )
