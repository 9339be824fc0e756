"""The doses of a dosing program: whole steps of each stock into mash and sparge."""

from __future__ import annotations

from math import ceil, floor

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.mash_balance import protons
from recipe_tools.dosing.limits import let_pass
from recipe_tools.dosing.mash_balance import MashRows
from recipe_tools.dosing.program import Program
from recipe_tools.dosing.records import ProposedDose, Stage, Stock
from recipe_tools.dosing.setting import (
    SHARE_STEPS,
    Setting,
    all_litres,
    ion_level,
    mash_litres,
    sparge_litres,
)

MOST_STEPS = 500_000
"""The solver takes a millionth for nothing, so that fewer steps cannot slip by unused."""
SOLUBLE_SHARE = 0.95
"""Of the solubility at 20 °C; close to it a salt dissolves only after hours (derived_default)."""
LEAST_PER_LITRE = 0.025
"""Grams or millilitres of a product in a litre: less is not worth weighing (derived_default)."""
LEAST_STEPS = 2
"""Of the scale or syringe: one step may be half or one and a half (derived_default)."""
SPECK_COST = 1.0
USED_COST = 100.0
"""More than any dose weighs: an acid or a base is not used to come nearer than near."""
RANK_COST = 0.01
"""Far below a salt more or less: only decides between plans with as many."""
PLACE_COST = 1e-4
"""Decides between equal masses by the place on the shelf."""


def dose_columns(program: Program, setting: Setting, mash: MashRows | None) -> None:
    """Add the share of pure water, if it is sought, and the doses of each stock."""
    if setting.share is None:
        program.share = program.add(float(SHARE_STEPS), whole=True)
    day = setting.day
    if not day.is_mashed and not day.recipe.is_beer:
        return
    stage: Stage = "mash" if day.is_mashed else "boil"
    acids: list[int] = []
    bases: list[int] = []
    sour, alkaline = _already(setting)
    known = acids_in_use(setting)
    for place, stock in enumerate(setting.stocks):
        if (stock.is_acid and (alkaline or mash is None)) or (stock.is_base and sour):
            # The recipe already holds the opposite: one would only undo the other.
            continue
        if stage == "boil" and stock.is_base:
            continue
        most = _most_steps(setting, stock, mash)
        if most < 1:
            continue
        column = program.add(most, whole=True)
        used = program.add(1.0, whole=True)
        program.doses[place, stage] = column
        program.used[place] = used
        program.require(f"{stock.name} used", {column: 1.0, used: -most}, high=0.0)
        grams = stock.substance_g * (1.0 + PLACE_COST * place)
        if stock.is_acid or stock.is_base:
            (acids if stock.is_acid else bases).append(used)
            program.rest[column] = grams
            if stock.name not in known:
                program.rest[used] = USED_COST * (1.0 + RANK_COST * stock.rank)
            least = least_steps(stock, mash_litres(day))
            program.require("least useful dose", {column: 1.0, used: -float(least)}, low=0.0)
            continue
        program.salts[used] = 1.0 + RANK_COST * stock.rank
        program.salt_mass[column] = grams
        speck = program.add(1.0, whole=True)
        program.care[speck] = SPECK_COST
        shared = setting.split == "by_volume" and sparge_litres(day) > 0 < mash_litres(day)
        useful = float(least_steps(stock, mash_litres(day) or all_litres(day)))
        row = {column: 1.0, used: -useful, speck: useful}
        program.require("least useful dose", row, low=0.0)
        if shared:
            _share_out(program, setting, place, speck, most)
    if acids and bases:
        _not_both(program, acids, bases)
    _few_acids(program, setting, acids)


def least_steps(stock: Stock, litres: float) -> int:
    """Return the fewest steps of a stock that are of use in so much water."""
    return max(LEAST_STEPS, ceil(LEAST_PER_LITRE * litres / stock.step - 1e-9))


def is_speck(day: BrewDay, item: ProposedDose) -> bool:
    """Tell whether a dose is too small to be of use."""
    water = {"mash": mash_litres, "sparge": sparge_litres, "boil": all_litres}[item.stage]
    return item.steps < least_steps(item.stock, water(day))


def acids_in_use(setting: Setting) -> frozenset[str]:
    """Return the names of the acids of the shelf that go into mash or sparge anyhow.

    Those of the recipe and that of the sparge; acidulated malt counts as one.
    """
    day, sparge = setting.day, setting.sparge_acid
    present = {item.agent.id for item in day.doses if item.agent is not None}
    if day.acidulated_share > 0:
        present.add("acidulated_malt")
    return frozenset(
        stock.name
        for stock in setting.stocks
        if stock.is_acid
        and (stock.agent.id in present or (sparge is not None and sparge.stock.name == stock.name))
    )


def _few_acids(program: Program, setting: Setting, acids: list[int]) -> None:
    """Forbid more different acids than are allowed, those in use included."""
    known = acids_in_use(setting)
    at_hand = {used for place, used in program.used.items() if setting.stocks[place].name in known}
    others = dict.fromkeys((used for used in acids if used not in at_hand), 1.0)
    most = max(0, setting.acids - len(known))
    if len(others) > most:
        program.require("one acid", others, high=float(most))


def _already(setting: Setting) -> tuple[bool, bool]:
    """Return whether the recipe itself adds acid, and whether it adds a base, to the mash."""
    mashed = [item for item in setting.day.doses if item.stage == "mash"]
    sour = any(
        item.acid_meq.best > 0 and item.agent is not None and item.agent.kind == "acid"
        for item in mashed
    )
    return sour, any(item.alkalinity_meq.best > 0 for item in mashed)


def _share_out(program: Program, setting: Setting, place: int, speck: int, most: float) -> None:
    """Add the sparge share of a salt: that of the mash in proportion to the volumes, rounded.

    Where that would be a speck, none goes into the sparge.
    """
    mash_column = program.doses[place, "mash"]
    ratio = sparge_litres(setting.day) / mash_litres(setting.day)
    column = program.add(max(1.0, most * ratio + 1.0), whole=True)
    program.doses[place, "sparge"] = column
    program.salt_mass[column] = program.salt_mass[mash_column]
    row = {column: 1.0, mash_column: -ratio}
    program.require("shared out by volume", row, high=0.5)
    into = program.add(1.0, whole=True)
    least = float(least_steps(setting.stocks[place], sparge_litres(setting.day)))
    program.require("least useful dose", {column: 1.0, into: -least, speck: least}, low=0.0)
    program.require("none into the sparge", {column: 1.0, into: -program.upper[column]}, high=0.0)
    # Either the rounded share, or none where that lies below the least.
    program.require("shared out by volume", {**row, into: -least}, low=-0.5 - least)
    program.require(
        "shared out by volume", {mash_column: ratio, into: -program.upper[column]}, high=least - 0.5
    )


def _not_both(program: Program, acids: list[int], bases: list[int]) -> None:
    """Forbid acid and base in one plan: each would only undo the other."""
    which = program.add(1.0, whole=True)
    first = {**dict.fromkeys(acids, 1.0), which: -float(len(acids))}
    program.require("acid or base", first, high=0.0)
    second = {**dict.fromkeys(bases, 1.0), which: float(len(bases))}
    program.require("acid or base", second, high=float(len(bases)))


def _most_steps(setting: Setting, stock: Stock, mash: MashRows | None) -> float:
    """Return a bound on the steps of a stock that no safe plan passes."""
    day = setting.day
    litres = all_litres(day)
    most = float(MOST_STEPS)
    for ion, amount in stock.ions_mg.items():
        limit = setting.aims.hard.get(ion)
        level = ion_level(setting, ion)
        if limit is None or level is None or amount <= 0:
            continue
        thinnest = level.at(1.0 if setting.share is None else setting.share)
        most = min(most, max(0.0, (let_pass(limit) - thinnest) * litres / amount))
    solubility = stock.agent.solubility_g_l
    into = mash_litres(day) if day.is_mashed else litres
    if solubility is not None and stock.unit == "g" and into > 0:
        room = SOLUBLE_SHARE * solubility * into - _present_g(setting, stock)
        most = min(most, room / stock.step)
    if stock.is_malt:
        room = setting.aims.acidulated_share - day.acidulated_share
        most = min(most, room * day.grist_kg * 1000.0 / stock.step)
    elif stock.is_acid and mash is not None:
        most = min(most, _acid_to_floor(setting, stock, mash))
    return float(floor(most + 1e-9))


def _acid_to_floor(setting: Setting, stock: Stock, mash: MashRows) -> float:
    """Return the steps of an acid that alone take the mash to the lower edge of its window."""
    floor_ph = setting.ph[0]
    given = mash.per_step(stock, floor_ph)
    missing = -protons(mash.plain, floor_ph)[0]
    return max(0.0, missing / given) + 1.0 if given > 0 else float(MOST_STEPS)


def _present_g(setting: Setting, stock: Stock) -> float:
    """Return the grams of the same chemical that the recipe already puts into the same water."""
    family = stock.agent.family or stock.agent.id
    return sum(
        item.grams.best
        for item in setting.day.doses
        if item.stage == ("mash" if setting.day.is_mashed else "boil")
        and item.agent is not None
        and item.grams is not None
        and (item.agent.family or item.agent.id) == family
    )
