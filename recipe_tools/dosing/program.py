"""A mixed-integer program: variables, rows, goals."""

from __future__ import annotations

from dataclasses import dataclass, field

from recipe_tools.dosing.records import Stage

PLENTY_MG_L = 2000.0
"""More than any liquor holds: switches a row off."""
UNLIMITED = float("inf")


@dataclass(slots=True)
class Row:
    """low <= sum of coefficients x variables <= high. label: what the row stands for."""

    label: str
    coefficients: dict[int, float]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Slack:
    """By how much a soft constraint is missed.

    tolerance: how much of that a check lets pass. present: how much it is missed by before anything
    is dosed; None at a low end, which no dose makes worse.
    """

    label: str
    tolerance: float
    present: float | None


@dataclass(slots=True)
class Program:
    """Variables, rows and the meaning of both.

    doses: (stock index, stage) -> column of the steps dosed. used: stock index -> column that is 1
    where a stock is used. share: column of the steps of pure water, None where it is fixed.
    upper: bound of each column; whole: whether it is a whole number. hard: the hard
    constraints, without which a plan is unsafe or misses the pH window, by index of their rows.
    slacks: columns by which soft constraints are missed.
    missed, care, off_ph, salts, salt_mass, rest: the goals in their order, coefficients by column.
    care: salts used for pH, and specks. salts: how many different ones. rest: whether an acid or a
    base is used, its grams, and the protons off the target.
    """

    doses: dict[tuple[int, Stage], int] = field(default_factory=dict)
    used: dict[int, int] = field(default_factory=dict)
    share: int | None = None
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    hard: list[int] = field(default_factory=list)
    slacks: dict[int, Slack] = field(default_factory=dict)
    missed: dict[int, float] = field(default_factory=dict)
    care: dict[int, float] = field(default_factory=dict)
    off_ph: dict[int, float] = field(default_factory=dict)
    salts: dict[int, float] = field(default_factory=dict)
    salt_mass: dict[int, float] = field(default_factory=dict)
    rest: dict[int, float] = field(default_factory=dict)

    def add(self, upper: float, *, whole: bool = False) -> int:
        """Add a variable from 0 to upper and return its column."""
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.upper) - 1

    def require(
        self,
        label: str,
        coefficients: dict[int, float],
        low: float = -UNLIMITED,
        high: float = UNLIMITED,
        *,
        hard: bool = False,
    ) -> None:
        """Add a row."""
        if hard:
            self.hard.append(len(self.rows))
        self.rows.append(Row(label, coefficients, low, high))

    def wish(
        self,
        label: str,
        coefficients: dict[int, float],
        low: float | None = None,
        high: float | None = None,
        *,
        weight: float = 1.0,
        tolerance: tuple[float, float] = (0.0, 0.0),
    ) -> None:
        """Add rows that may be missed, each with a variable that says by how much.

        tolerance: what a check lets pass below low and above high.
        """
        ends = ((low, 1.0, tolerance[0]), (high, -1.0, tolerance[1]))
        for end, sign, passed in ends:
            if end is None:
                continue
            slack = self.add(PLENTY_MG_L)
            self.missed[slack] = weight
            present = max(0.0, -end) if sign < 0 else None
            self.slacks[slack] = Slack(label, passed, present)
            row = {**coefficients, slack: sign}
            if sign > 0:
                self.require(label, row, low=end)
            else:
                self.require(label, row, high=end)
