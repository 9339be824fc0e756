"""What a dosing program is built for, and the water it starts from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from recipe_tools.brewday import BrewDay
from recipe_tools.dosing.limits import Aims
from recipe_tools.dosing.records import ProposedDose, Split, Stock
from recipe_tools.judgement.ions import brought_mg

SHARE_STEP = 0.05
"""Pure water is measured out in twentieths of the liquor."""
SHARE_STEPS = 20


@dataclass(frozen=True, slots=True)
class Setting:
    """What a program is built for.

    day: the brew day without the doses sought (existing ones count). target_ph: of the mash.
    share: part of pure water, None where the program is to find it. sparge_acid: acid already
    settled for the sparge. ph: window for the mash. sparge_bound: whether the sparge water keeps
    its alkalinity, so that only pure water helps. acids: how many different ones may be used.
    beyond_model: whether the mash may lie where its pH is an extrapolation.
    """

    day: BrewDay
    stocks: Sequence[Stock]
    aims: Aims
    target_ph: float
    split: Split
    ph: tuple[float, float]
    share: float | None = 0.0
    sparge_acid: ProposedDose | None = None
    sparge_bound: bool = False
    acids: int = 1
    beyond_model: bool = False


class Level(NamedTuple):
    """A quantity of the liquor: its value without pure water, and its change from none to all."""

    plain: float
    thinned: float

    def at(self, share: float) -> float:
        """Return the value with a share of pure water."""
        return self.plain + self.thinned * share


def with_share(
    setting: Setting,
    column: int | None,
    row: dict[int, float],
    level: Level,
    factor: float = 1.0,
) -> tuple[dict[int, float], float]:
    """Return a row with the column of the steps of pure water, and its constant.

    factor: of the level, as it stands in the row already.
    """
    if setting.share is not None:
        return row, factor * level.at(setting.share)
    if column is not None and level.thinned:
        row[column] = factor * SHARE_STEP * level.thinned
    return row, factor * level.plain


def mash_litres(day: BrewDay) -> float:
    """Return the mash water, 0 where there is none."""
    return day.mash.volume_l.best if day.mash is not None else 0.0


def sparge_litres(day: BrewDay) -> float:
    """Return the sparge water, 0 where there is none."""
    return day.sparge.volume_l.best if day.sparge is not None else 0.0


def all_litres(day: BrewDay) -> float:
    """Return all water of the recipe, litres."""
    return day.total.volume_l.best if day.total is not None else mash_litres(day)


def ion_level(setting: Setting, ion: str) -> Level | None:
    """Return mg/L of an ion in all water without the doses sought; None where nobody states it.

    Potassium counts even where nobody states that of the source.
    """
    day = setting.day
    liquor = day.liquor
    if liquor is None:
        return None
    source = day.source.mg_l(ion)
    if ion in liquor.ions_mg_l:
        level = liquor.ions_mg_l[ion].best
    elif ion == "potassium":
        level = source + brought_mg(day, ion).best / all_litres(day)
    else:
        return None
    acid = setting.sparge_acid
    if acid is not None:
        level += acid.steps * acid.stock.ions_mg.get(ion, 0.0) / all_litres(day)
    return Level(level, -source)


def mash_level(setting: Setting, ion: str) -> Level | None:
    """Return mg/L of an ion in the mash water without the doses sought, None where not stated."""
    day = setting.day
    if day.mash is None or ion not in day.mash.ions_mg_l:
        return None
    return Level(day.mash.ions_mg_l[ion].best, -day.source.mg_l(ion))
