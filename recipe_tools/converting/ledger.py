"""What becomes of each value: carried, changed, lost; and what the other standard asks for."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple


class Lost(NamedTuple):
    """A value that has no place in the other standard. pointer: in the source."""

    pointer: str
    value: Any
    why: str


class Changed(NamedTuple):
    """A value that is rounded, converted by a formula or means something else afterwards."""

    pointer: str
    before: Any
    after: Any
    why: str


class Missing(NamedTuple):
    """What the other standard requires and the source lacks. pointer: in the result."""

    pointer: str
    member: str
    why: str


class UnfitError(Exception):
    """A value that its member in the other standard cannot hold; the message says why."""


@dataclass(slots=True)
class Ledger:
    """The account of a conversion.

    carried: pointers in the source and in the result of values that are the same in both.
    """

    lost: list[Lost] = field(default_factory=list)
    changed: list[Changed] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    carried: list[tuple[str, str]] = field(default_factory=list)

    def lose(self, pointer: str, value: Any, why: str) -> None:
        """Note a value without a place."""
        self.lost.append(Lost(pointer, value, why))

    def change(self, pointer: str, before: Any, after: Any, why: str) -> None:
        """Note a value that is not the same afterwards."""
        self.changed.append(Changed(pointer, before, after, why))

    def keep(self, pointer: str, place: str) -> None:
        """Note a value that is the same afterwards."""
        self.carried.append((pointer, place))
