"""What a dosing plan is asked for and what it says."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from recipe_tools.brewday import BrewDay
from recipe_tools.config import Options
from recipe_tools.recipe import Recipe
from recipe_tools.reference import Agent

Stage = Literal["mash", "sparge", "boil"]
"""``boil`` only where nothing is mashed."""
Split = Literal["by_volume", "mash"]
TargetFrom = Literal["asked", "recipe", "soured", "default"]


@dataclass(frozen=True, slots=True)
class Request:
    """What to plan for.

    target_ph: of the mash, read in a cooled sample; None: as the recipe states it, else 5.4.
    replace: leave the recipe's own salts, acids, bases and sulfite out of account, as if they were
    not there. split: salts into mash and sparge in proportion to their volumes, or all into the
    mash. dilution: whether pure water from the shelf may be used. ways_out: whether to look for
    what would lead further where a plan misses something, which takes longer than the plan.
    """

    target_ph: float | None = None
    replace: bool = False
    split: Split = "by_volume"
    dilution: bool = True
    ways_out: bool = True


@dataclass(frozen=True, slots=True)
class Stock:
    """Something on the shelf, with what one step of the scale or syringe of it brings.

    name: as it is written into a recipe; it says hydrate and strength. step: grams or millilitres
    of product. Per step: milligrams of ions, mEq of alkalinity by formula, mmol of acid, and
    substance_g, grams of salt or pure acid. rank: 0 for what most brewers reach for first, higher
    for the less usual.
    """

    agent: Agent
    name: str
    unit: Literal["g", "mL"]
    step: float
    strength_percent: float | None
    ions_mg: Mapping[str, float]
    alkalinity_meq: float
    acid_mmol: float
    substance_g: float
    rank: int = 0

    @property
    def is_acid(self) -> bool:
        """True for what lowers the mash pH by its own protons."""
        return self.agent.kind == "acid" or self.is_malt

    @property
    def is_base(self) -> bool:
        """True for what raises the mash pH."""
        return self.alkalinity_meq > 0.0

    @property
    def is_malt(self) -> bool:
        """True for acidulated malt, which takes the place of other malt."""
        return self.agent.kind == "malt"


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
class Dechlorination:
    """What takes the chlorine out of all liquor, the evening before or before heating.

    name: as it is written into a recipe. grams: of the product, so that a tenth is left over.
    direct: whether the scale can show that; otherwise solution_ml of ``stock_g`` in 100 mL of
    water. tablet: whether the stock is made of a whole tablet.
    """

    agent: Agent
    name: str
    grams: float
    litres: float
    chlorine_mg_l: float
    chloramine: bool
    direct: bool
    stock_g: float
    solution_ml: float
    tablet: bool


@dataclass(frozen=True, slots=True)
class Portions:
    """How an acid goes into the mash: a first part at dough-in, the rest only after measuring.

    first, rest: grams or millilitres. ph_first: predicted with the first part alone.
    """

    stock: Stock
    first: float
    rest: float
    ph_first: float


@dataclass(frozen=True, slots=True)
class Swap:
    """Acidulated malt in place of as much of another malt. kilograms: how much."""

    malt: str
    kilograms: float


@dataclass(frozen=True, slots=True)
class Caution:
    """How to handle something the plan uses. codes: hazard statements, such as ``H314``."""

    name: str
    signal_word: str
    codes: tuple[str, ...]
    advice: str


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

    feasible: every range is met and the mash pH lies in its window. target_ph, target_from: what
    the mash aims at and who says so. window: of the mash pH. planned: the recipe with the plan,
    None where there is none. before, after: the brew day as it is and with the plan.
    unmet: what is left outside (empty where feasible). reasons: why no plan exists, in words.
    changes: smallest changes that would make one possible, in words. missing: what has to be
    bought for the treatment of chlorine. robust: whether the whole
    band of the mash pH stays inside the window. soda_g_per_tenth: baking soda that lifts the mash
    pH by 0.1; None where the sodium leaves no room. supposed: what had to be supposed about the
    shelf. remarks: what else a brewer should know. options: what it was planned with.
    """

    feasible: bool
    request: Request
    target_ph: float
    target_from: TargetFrom
    window: tuple[float, float]
    recipe: Recipe
    planned: Recipe | None
    before: BrewDay
    after: BrewDay | None
    doses: tuple[ProposedDose, ...]
    dilution: Dilution | None
    dechlorination: Dechlorination | None
    swap: Swap | None
    portions: tuple[Portions, ...]
    soda_g_per_tenth: float | None
    unmet: tuple[Unmet, ...]
    reasons: tuple[str, ...]
    changes: tuple[str, ...]
    missing: tuple[str, ...]
    robust: bool
    cautions: tuple[Caution, ...]
    supposed: tuple[str, ...]
    remarks: tuple[str, ...]
    shelf: tuple[Stock, ...]
    options: Options
