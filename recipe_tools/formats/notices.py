"""Findings of a reader, gathered so that one fault in fifty places is one finding with a count."""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.findings import Confidence, Finding, ProposedEdit, Related, Severity, find

_MOST_RELATED: Final = 20
_LONGEST_VALUE: Final = 60


def shown(text: str | None) -> str:
    """Return a value of the file short enough for one line of a message."""
    squeezed = " ".join((text or "").split())
    return squeezed if len(squeezed) <= _LONGEST_VALUE else squeezed[: _LONGEST_VALUE - 1] + "…"


class _Group:
    __slots__ = (
        "confidence",
        "count",
        "edit",
        "message",
        "others",
        "pointer",
        "rule",
        "severity",
        "values",
    )

    def __init__(
        self,
        rule: str,
        message: str,
        pointer: str,
        severity: Severity | None,
        confidence: Confidence,
        values: dict[str, Any],
        edit: ProposedEdit | None = None,
    ) -> None:
        self.rule = rule
        self.message = message
        self.pointer = pointer
        self.severity = severity
        self.confidence = confidence
        self.values = values
        self.edit = edit
        self.count = 1
        self.others: list[str] = []


class _Lacking:
    __slots__ = ("names", "others", "pointer")

    def __init__(self, pointer: str) -> None:
        self.pointer = pointer
        self.names: dict[str, int] = {}
        self.others: dict[str, None] = {}


class Notices:
    """Findings of one recipe (or of the file, with recipe None) while it is being read."""

    __slots__ = ("_groups", "_lacking", "recipe")

    def __init__(self, recipe: int | None) -> None:
        self.recipe = recipe
        self._groups: dict[tuple[object, ...], _Group] = {}
        self._lacking: dict[tuple[str, Severity], _Lacking] = {}

    def add(
        self,
        rule: str,
        message: str,
        pointer: str,
        *,
        severity: Severity | None = None,
        confidence: Confidence = Confidence.CERTAIN,
        edit: ProposedEdit | None = None,
        **values: Any,
    ) -> None:
        """Note a fault. Those with one rule, message, severity and values become one finding.

        edit: the same for all of them, but for its place.
        """
        key = (rule, message, severity, confidence, *values.items())
        group = self._groups.get(key)
        if group is None:
            self._groups[key] = _Group(rule, message, pointer, severity, confidence, values, edit)
            return
        group.count += 1
        if len(group.others) < _MOST_RELATED:
            group.others.append(pointer)

    def once(self, rule: str, message: str, pointer: str, **values: Any) -> None:
        """Note a fault of the whole file or recipe at the first place it is met, and only there."""
        self._groups.setdefault(
            (rule,), _Group(rule, message, pointer, None, Confidence.CERTAIN, values)
        )

    def lacks(self, record: str, tag: str, pointer: str, severity: Severity) -> None:
        """Note that a record lacks a required field; one finding for each kind of record."""
        group = self._lacking.get((record, severity))
        if group is None:
            group = self._lacking[record, severity] = _Lacking(pointer)
        elif len(group.others) < _MOST_RELATED and pointer != group.pointer:
            group.others[pointer] = None
        group.names[tag] = group.names.get(tag, 0) + 1

    def findings(self) -> list[Finding]:
        """Return the findings in the order in which their first places were met."""
        return [
            *(self._finding(group) for group in self._groups.values()),
            *(self._missing(*key, group) for key, group in self._lacking.items()),
        ]

    def _finding(self, group: _Group) -> Finding:
        message = group.message
        if group.count > 1:
            message += (
                " {more} more places have the same fault."
                if group.count > 2
                else " One more place has the same fault."
            )
        values = {**group.values, "count": group.count}
        return find(
            group.rule,
            message.replace("{more}", str(group.count - 1)),
            group.pointer,
            severity=group.severity,
            confidence=group.confidence,
            related=tuple(Related(pointer, "the same here") for pointer in group.others),
            edits=_edits(group),
            recipe=self.recipe,
            **values,
        )

    def _missing(self, record: str, severity: Severity, group: _Lacking) -> Finding:
        listed = ", ".join(
            name if times == 1 else f"{name} ({times} times)" for name, times in group.names.items()
        )
        return find(
            "standard/required-missing",
            "{record} has no {fields}, which BeerXML 1.0 requires.",
            group.pointer,
            severity=severity,
            related=tuple(Related(pointer, "incomplete, too") for pointer in group.others),
            recipe=self.recipe,
            record=record,
            fields=listed,
            value=", ".join(group.names),
            count=sum(group.names.values()),
        )


def _edits(group: _Group) -> tuple[ProposedEdit, ...]:
    """Return the edit of a group for each place that is listed."""
    edit = group.edit
    if edit is None:
        return ()
    return (edit, *(edit._replace(pointer=pointer) for pointer in group.others))
