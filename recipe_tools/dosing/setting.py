"""What a dosing program is built for, and the water it starts from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from recipe_tools.brewday import BrewDay
from recipe_tools.dosing.limits import Aims
from recipe_tools.dosing.records import ProposedDose, Request, Stock


@dataclass(frozen=True, slots=True)
class Setting:
    """What a program is built for.

    day: the brew day without the doses sought (existing ones count). share: part of pure water.
    sparge_acid: acid already settled for the sparge.
    """

    day: BrewDay
    stocks: Sequence[Stock]
    aims: Aims
    request: Request
    share: float = 0.0
    sparge_acid: ProposedDose | None = None


def mash_litres(day: BrewDay) -> float:
    """Return the mash water, 0 where there is none."""
    return day.mash.volume_l.best if day.mash is not None else 0.0


def sparge_litres(day: BrewDay) -> float:
    """Return the sparge water, 0 where there is none."""
    return day.sparge.volume_l.best if day.sparge is not None else 0.0


def all_litres(day: BrewDay) -> float:
    """Return all water of the recipe, litres."""
    return day.total.volume_l.best if day.total is not None else mash_litres(day)


def base_level(setting: Setting, ion: str) -> float | None:
    """Return mg/L of an ion in all water without the doses sought; None where nobody states it."""
    day = setting.day
    liquor = day.total or day.mash
    if liquor is None or ion not in liquor.ions_mg_l:
        return None
    level = liquor.ions_mg_l[ion].best - setting.share * day.source.ions_mg_l.get(ion, 0.0)
    acid = setting.sparge_acid
    if acid is not None:
        level += acid.steps * acid.stock.ions_mg.get(ion, 0.0) / all_litres(day)
    return level
