"""A mixed-integer program: variables, rows, goals."""

from __future__ import annotations

from dataclasses import dataclass, field

PLENTY_MG_L = 2000.0
"""More than any liquor holds: switches a row off."""


@dataclass(slots=True)
class Row:
    """low <= sum of coefficients x variables <= high. label: what the row stands for."""

    label: str
    coefficients: dict[int, float]
    low: float
    high: float
    ion: str = ""


@dataclass(slots=True)
class Program:
    """Variables, rows and the meaning of both.

    columns: (stock index, stage) of each whole-number variable of doses, by column. upper: bound
    of each column; whole: whether it is a whole number. cost_*: objective coefficients by column.
    hard: rows that make a plan unsafe or miss the pH window, by index.
    """

    columns: list[tuple[int, str]] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    hard: list[int] = field(default_factory=list)
    missed: dict[int, float] = field(default_factory=dict)
    off_ph: dict[int, float] = field(default_factory=dict)
    used: dict[int, float] = field(default_factory=dict)
    mass: dict[int, float] = field(default_factory=dict)
    slacks: dict[int, str] = field(default_factory=dict)

    def add(self, upper: float, *, whole: bool = False) -> int:
        """Add a variable from 0 to upper and return its column."""
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.upper) - 1

    def require(
        self,
        label: str,
        coefficients: dict[int, float],
        low: float = float("-inf"),
        high: float = float("inf"),
        *,
        hard: bool = False,
        ion: str = "",
    ) -> None:
        """Add a row."""
        if hard:
            self.hard.append(len(self.rows))
        self.rows.append(Row(label, coefficients, low, high, ion))

    def wish(
        self,
        label: str,
        coefficients: dict[int, float],
        low: float | None,
        high: float | None,
        scale: float,
        ion: str = "",
    ) -> None:
        """Add rows that may be missed, each with a variable that says by how much."""
        for end, sign in ((low, 1.0), (high, -1.0)):
            if end is None:
                continue
            slack = self.add(PLENTY_MG_L)
            self.missed[slack] = 1.0 / scale
            self.slacks[slack] = label
            row = {**coefficients, slack: sign}
            if sign > 0:
                self.require(label, row, low=end, ion=ion)
            else:
                self.require(label, row, high=end, ion=ion)
