"""Salts and acid for a recipe, worked out by hand: ions from molar masses, the rest by trial.

Only the mash pH is asked of the program (`brewday.plan`); ions, alkalinity and acid are arithmetic
with constants of their own, so that a wrong yield in the program's tables shows as a false alarm.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import Any, NamedTuple

from recipe_tools import formats
from recipe_tools.brewday import BrewDay, plan
from recipe_tools.config import Options
from recipe_tools.limits import DEFAULT_LIMITS
from recipe_tools.recipe import Recipe, SourceFile
from recipe_tools.rules.examples import document, dose
from tests.planted.waters import MG_PER_MEQ

Json = dict[str, Any]


class Salt(NamedTuple):
    """A jar: name, unit, step of the scale, mg of ions per gram or millilitre."""

    name: str
    unit: str
    ions: Mapping[str, float]


class Acid(NamedTuple):
    """A bottle: name, mEq per millilitre that act at the pH of a mash, mg of ions per mL."""

    name: str
    meq_ml: float
    ions: Mapping[str, float]


GYPSUM = Salt("Gypsum (calcium sulfate dihydrate)", "g", {"calcium": 232.8, "sulfate": 558.0})
CHLORIDES = (
    Salt("Calcium chloride dihydrate", "g", {"calcium": 272.6, "chloride": 482.3}),
    Salt("Calcium chloride anhydrous", "g", {"calcium": 361.1, "chloride": 638.9}),
    Salt("Calcium chloride solution 33 %", "ml", {"calcium": 156.7, "chloride": 277.3}),
)
"""From molar masses (IUPAC); 33 % by mass is 434 g/L (density 1.315, handbook tables)."""
EPSOM = Salt(
    "Epsom salt (magnesium sulfate heptahydrate)", "g", {"magnesium": 98.6, "sulfate": 389.7}
)
BASES = (
    Salt("Baking soda (sodium bicarbonate)", "g", {"sodium": 273.7}),
    Salt("Slaked lime (calcium hydroxide)", "g", {"calcium": 540.9}),
)
ACIDS = (
    Acid("Lactic acid 80 %", 10.4, {}),
    Acid("Lactic acid 88 %", 11.6, {}),
    Acid("Phosphoric acid 10 %", 1.07, {}),
    Acid("Phosphoric acid 75 %", 12.1, {}),
    Acid("Hydrochloric acid 10 %", 2.87, {"chloride": 101.8}),
)
"""Density x strength / molar mass (handbook tables): 1.19, 1.21, 1.053, 1.58 and 1.048 kg/L."""

ACID_WANTED_FROM_MG_L = 45.0
"""Sparge water with more alkalinity than this (as CaCO3) gets acid: common practice, 25 to 50."""


@dataclass(frozen=True)
class Brewery:
    """What is on the shelf and how the brewer works."""

    chloride: Salt
    acid: Acid
    base: Salt
    epsom: bool
    all_into_mash: bool
    target_ph: float


def brewery(chance: Random) -> Brewery:
    """Return a shelf and habits."""
    return Brewery(
        chance.choice(CHLORIDES),
        chance.choice(ACIDS),
        chance.choice(BASES),
        chance.random() < 0.2,
        chance.random() < 0.35,
        chance.uniform(5.3, 5.45),
    )


def day_of(recipe: Json, options: Options) -> BrewDay:
    """Return the brew day of a recipe in metric BeerJSON."""
    return plan(_read(recipe), options)


def _read(recipe: Json) -> Recipe:
    return formats.read(SourceFile("drawn.json", document(recipe)), DEFAULT_LIMITS).recipes[0]


def salted(chance: Random, recipe: Json, options: Options) -> Json | None:
    """Return the recipe with salts and acid, None where these waters and jars cannot do it."""
    home = brewery(chance)
    day = day_of(recipe, options)
    if day.targets is None or day.mash is None or day.total is None:
        return None
    source = {ion: day.source.mg_l(ion) for ion in MG_PER_MEQ}
    mash_l = day.mash.volume_l.best
    sparge_l = day.sparge.volume_l.best if day.sparge is not None else 0.0
    litres = day.total.volume_l.best
    made = copy.deepcopy(recipe)
    miscs = made["ingredients"]["miscellaneous_additions"]
    start = len(miscs)
    for _ in range(40):
        del miscs[start:]
        levels = dict(source)
        salts = _salts(chance, home, levels, day, litres)
        if salts is None:
            continue
        for salt, amount in salts:
            _put(miscs, salt, amount, home, mash_l, sparge_l)
        _acidify_sparge(miscs, home, source["bicarbonate"], sparge_l, levels, litres)
        if not _suits(levels, day) or not _settle_ph(made, home, options, levels, litres):
            continue
        if _suits(levels, day):
            return made
    return None


def _salts(
    chance: Random, home: Brewery, levels: dict[str, float], day: BrewDay, litres: float
) -> list[tuple[Salt, float]] | None:
    """Return salts that take chloride and sulfate to a point drawn from the ranges of the style."""
    ranges = day.targets.ranges if day.targets is not None else {}
    found = []
    if home.epsom and levels["magnesium"] < 8:
        found.append((EPSOM, round(chance.uniform(2.0, 6.0) * litres / 98.6, 1)))
        _count(levels, *found[-1], litres)
    for salt, ion in ((GYPSUM, "sulfate"), (home.chloride, "chloride")):
        low, high = ranges.get(ion, (None, None))
        most = min(high or 150.0, 200.0)
        least = max(low or 0.0, levels[ion])
        if least > most:
            return None
        wanted = chance.uniform(least, least + 0.8 * (most - least))
        amount = round((wanted - levels[ion]) * litres / salt.ions[ion], 1)
        if amount >= 0.3:
            found.append((salt, amount))
            _count(levels, salt, amount, litres)
    return found


def _count(levels: dict[str, float], salt: Salt | Acid, amount: float, litres: float) -> None:
    for ion, milligrams in salt.ions.items():
        levels[ion] = levels.get(ion, 0.0) + milligrams * amount / litres


def _put(
    miscs: list[Json], salt: Salt, amount: float, home: Brewery, mash_l: float, sparge_l: float
) -> None:
    """List a salt for the mash, and its share for the sparge where the brewer divides it."""
    share = mash_l / (mash_l + sparge_l) if sparge_l and not home.all_into_mash else 1.0
    first = round(amount * share, 1)
    rest = round(amount - first, 1)
    if rest < 0.2:
        first, rest = amount, 0.0
    miscs.append(dose(salt.name, first, salt.unit, step=1))
    if rest:
        miscs.append(dose(salt.name, rest, salt.unit, step=2))


def _acidify_sparge(
    miscs: list[Json],
    home: Brewery,
    bicarbonate: float,
    sparge_l: float,
    levels: dict[str, float],
    litres: float,
) -> None:
    meq_l = bicarbonate / MG_PER_MEQ["bicarbonate"]
    if not sparge_l or 50.04 * meq_l < ACID_WANTED_FROM_MG_L:
        return
    # 0.87 of the alkalinity: what is used up at pH 5.6 (first constant of carbonic acid, 6.35)
    amount = round(0.87 * meq_l * sparge_l / home.acid.meq_ml, 1)
    miscs.append(dose(home.acid.name, amount, "ml", step=2))
    _count(levels, home.acid, amount, litres)


def _settle_ph(
    recipe: Json, home: Brewery, options: Options, levels: dict[str, float], litres: float
) -> bool:
    """Add acid or base until the predicted pH is that of the brewer; True where it gets there."""
    found = day_of(recipe, options).prediction
    if found is None:
        return False
    if 5.26 <= found.ph <= 5.5:
        return True
    what: Salt | Acid = home.base if found.ph < 5.26 else home.acid
    target_ph = 5.3 if found.ph < 5.26 else home.target_ph
    unit = "g" if found.ph < 5.26 else "ml"
    miscs = recipe["ingredients"]["miscellaneous_additions"]
    miscs.append(dose(what.name, 1.0, unit, step=1))
    amount, ph = _by_trial(_read(recipe), options, target_ph, 6.0 * litres)
    miscs[-1] = dose(what.name, amount, unit, step=1)
    _count(levels, what, amount, litres)
    return abs(ph - target_ph) < 0.06


def _by_trial(
    recipe: Recipe, options: Options, target_ph: float, most: float
) -> tuple[float, float]:
    """Bisect for the amount of the last addition; return it, to a tenth, and the pH it gives."""
    last = recipe.additions[-1]

    def ph(amount: float) -> float:
        grams = None if last.mass_g is None else amount
        volume_ml = None if last.volume_ml is None else amount
        tried = last._replace(amount=amount, mass_g=grams, volume_ml=volume_ml)
        found = plan(recipe._replace(additions=(*recipe.additions[:-1], tried)), options).prediction
        return 0.0 if found is None else found.ph

    low, high = 0.0, most
    rising = last.mass_g is not None
    for _ in range(14):
        middle = (low + high) / 2.0
        low, high = (middle, high) if (ph(middle) < target_ph) == rising else (low, middle)
    amount = max(0.1, round(middle, 1))
    return amount, ph(amount)


def _suits(levels: Mapping[str, float], day: BrewDay) -> bool:
    """Tell whether calcium, magnesium, sodium and sulfate to chloride suit the style."""
    targets = day.targets
    if targets is None:
        return False
    for ion in ("calcium", "magnesium", "sodium", "chloride", "sulfate"):
        low, high = targets.ranges.get(ion, (None, None))
        floor = 0.0 if low is None or ion in ("magnesium", "sodium") else low
        if not floor <= levels[ion] <= (high or 1e6):
            return False
    wanted = targets.sulfate_to_chloride
    if wanted is None or max(levels["sulfate"], levels["chloride"]) < 25:
        return True
    ratio = levels["sulfate"] / max(levels["chloride"], 1.0)
    return (wanted[0] or 0.0) <= ratio <= (wanted[1] or 1e6)
