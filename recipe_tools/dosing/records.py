"""What a dosing plan is asked for and what it says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from recipe_tools.brewday import BrewDay
from recipe_tools.reference import Agent

Stage = Literal["source", "mash", "sparge"]
Split = Literal["by_volume", "mash"]


@dataclass(frozen=True, slots=True)
class Request:
    """What to plan for.

    target_ph: of the mash, read in a cooled sample. replace: leave the recipe's own salts, acids
    and sulfite out of account, as if they were not there. split: salts into mash and sparge in
    proportion to their volumes, or all into the mash. dilution: whether pure water from the shelf
    may be used.
    """

    target_ph: float = 5.4
    replace: bool = False
    split: Split = "by_volume"
    dilution: bool = True


@dataclass(frozen=True, slots=True)
class Stock:
    """Something on the shelf, with what one step of the scale or syringe of it brings.

    name: as it is written into a recipe; it says hydrate and strength. step: grams or millilitres
    of product. Per step: milligrams of ions, mEq of alkalinity by formula, mmol of acid.
    """

    agent: Agent
    name: str
    unit: Literal["g", "mL"]
    step: float
    strength_percent: float | None
    ions_mg: Mapping[str, float]
    alkalinity_meq: float
    acid_mmol: float

    @property
    def is_acid(self) -> bool:
        """True for what lowers the mash pH by its own protons."""
        return self.agent.kind == "acid" or self.agent.id == "acidulated_malt"

    @property
    def is_base(self) -> bool:
        """True for what raises the mash pH."""
        return self.alkalinity_meq > 0.0


@dataclass(frozen=True, slots=True)
class ProposedDose:
    """So many steps of a stock into one stage."""

    stock: Stock
    stage: Stage
    steps: int

    @property
    def amount(self) -> float:
        """Grams or millilitres, free of binary noise."""
        return round(self.steps * self.stock.step, 6)


@dataclass(frozen=True, slots=True)
class Dilution:
    """Pure water in place of source water. share: 0..1 of all liquor. litres by stage."""

    share: float
    litres: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Unmet:
    """A range the plan misses. quantity: an ion, ``sulfate to chloride``, ``mash pH`` ..."""

    quantity: str
    value: float
    low: float | None
    high: float | None
    unit: str
    hard: bool = False


@dataclass(frozen=True, slots=True)
class Proposal:
    """A dosing plan for one recipe.

    feasible: every range is met and the mash pH lies in its window. before, after: the brew day as
    it is and with the plan. unmet: what is left outside (empty where feasible). reasons: why no
    plan exists, in words. changes: smallest changes that would make one possible, in words.
    robust: whether the whole band of the mash pH stays inside the window. supposed: what had to be
    supposed about the shelf.
    """

    feasible: bool
    request: Request
    before: BrewDay
    after: BrewDay | None
    doses: tuple[ProposedDose, ...]
    dilution: Dilution | None
    unmet: tuple[Unmet, ...]
    reasons: tuple[str, ...]
    changes: tuple[str, ...]
    robust: bool
    supposed: tuple[str, ...]
    shelf: tuple[Stock, ...]
