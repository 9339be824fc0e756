"""The rows on the mash: its pH window and target, residual alkalinity and lactate.

The predicted pH lies above a value just where the balance of protons at that value is negative, so
"the mash lies between two pH values" is two linear rows (`mash_balance`), and one mixed-integer
program finds salts and acid together instead of one after the other.
"""

from __future__ import annotations

from recipe_tools.brewday import BrewDay
from recipe_tools.brewday.doses import ROOM_PH
from recipe_tools.chemistry.acids import protons_per_mole
from recipe_tools.chemistry.ions import (
    CALCIUM_PER_PROTON,
    EQUIVALENT_MASS_MG_MEQ,
    MAGNESIUM_PER_PROTON,
    MOLAR_MASS_G_MOL,
)
from recipe_tools.chemistry.mash_balance import protons
from recipe_tools.dosing.mash_balance import MashRows
from recipe_tools.dosing.program import PLENTY_MG_L, Program
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.setting import SHARE_STEP, Setting, all_litres, mash_litres
from recipe_tools.judgement.alkalinity import residual_meq_l
from recipe_tools.judgement.mash import lactate_mg as lactate_of

LACTIC = frozenset({"lactic_acid", "acidulated_malt"})
_FAR_PH = 3.0
OFF_TARGET_G_MEQ = 0.2
"""Grams a milliequivalent off the target weighs: between pure acids and baking soda (0.1 g) and
calcium salts (0.3 g and more), so that these are dosed for taste alone (derived_default)."""


def ph_rows(program: Program, setting: Setting, mash: MashRows) -> None:
    """Keep the mash inside the window and wish for the target."""

    def row_at(ph: float) -> tuple[dict[int, float], float]:
        row = {
            column: mash.per_step(setting.stocks[place], ph)
            for (place, stage), column in program.doses.items()
            if stage == "mash"
        }
        if program.share is not None:
            row[program.share] = SHARE_STEP * mash.thinned(ph)
        return row, protons(mash.plain, ph)[0]

    low_row, low_base = row_at(setting.ph[0])
    program.require("mash pH", low_row, high=-low_base, hard=True)
    high_row, high_base = row_at(setting.ph[1])
    program.require("mash pH", high_row, low=-high_base, hard=True)
    row, base = row_at(setting.target_ph)
    slope = max(1.0, protons(mash.plain, setting.target_ph)[1])
    above, below = program.add(_FAR_PH * slope), program.add(_FAR_PH * slope)
    program.off_ph = {above: 1.0 / slope, below: 1.0 / slope}
    program.mass |= dict.fromkeys((above, below), OFF_TARGET_G_MEQ * setting.day.grist_kg)
    # A balance above zero: the predicted pH lies below the target.
    program.require("target pH", {**row, below: -1.0, above: 1.0}, low=-base, high=-base)


def taste_rows(program: Program, setting: Setting) -> None:
    """Keep lactate below its taste and the residual alkalinity of the mash under its ceiling."""
    day = setting.day
    litres = day.recipe.batch_l or all_litres(day)
    limit = setting.aims.lactate_mg_l
    lactate = {
        column: lactate_mg(setting.stocks[place]) / litres
        for (place, stage), column in program.doses.items()
        if stage == "mash" and setting.stocks[place].agent.id in LACTIC
    }
    if limit is not None:
        present = present_lactate(setting) / litres
        program.require("lactate", lactate, high=limit - present, hard=True)
    _residual_row(program, setting)


def lactate_mg(stock: Stock) -> float:
    """Return milligrams of lactate in a step of a stock."""
    return stock.acid_mmol * MOLAR_MASS_G_MOL["lactate"]


def present_lactate(setting: Setting) -> float:
    """Return milligrams of lactate from what is settled: the recipe's acid and the sparge acid."""
    acid = setting.sparge_acid
    settled = lactate_of(setting.day)
    if acid is not None and acid.stock.agent.id == "lactic_acid":
        settled += acid.steps * lactate_mg(acid.stock)
    return settled


def _residual_row(program: Program, setting: Setting) -> None:
    """Wish for a residual alkalinity that suits the beer; not where acidulated malt is used."""
    day, ceiling = setting.day, setting.aims.residual_meq_l
    left = residual_meq_l(day)
    if ceiling is None or left is None:
        return
    litres, base = mash_litres(day), left.best
    row: dict[int, float] = {}
    for (place, stage), column in program.doses.items():
        stock = setting.stocks[place]
        if stage == "mash":
            row[column] = _residual_per_step(stock) / litres
        if stage == "mash" and stock.is_malt:
            row[program.used[place]] = -PLENTY_MG_L
    thinned = -source_residual(day)
    if setting.share is not None:
        base += setting.share * thinned
    elif program.share is not None:
        row[program.share] = SHARE_STEP * thinned
    passed = setting.aims.residual_slack_meq_l
    program.wish("residual alkalinity", row, high=ceiling - base, tolerance=(0.0, passed))


def source_residual(day: BrewDay) -> float:
    """Return the residual alkalinity of the source water, mEq/L."""
    calcium = day.source.mg_l("calcium") / EQUIVALENT_MASS_MG_MEQ["calcium"]
    magnesium = day.source.mg_l("magnesium") / EQUIVALENT_MASS_MG_MEQ["magnesium"]
    return (
        day.source.alkalinity_meq_l.best
        - calcium / CALCIUM_PER_PROTON
        - magnesium / MAGNESIUM_PER_PROTON
    )


def _residual_per_step(stock: Stock) -> float:
    """Return mEq of residual alkalinity one step brings; acids take it away at pH 5.4."""
    calcium = stock.ions_mg.get("calcium", 0.0) / EQUIVALENT_MASS_MG_MEQ["calcium"]
    magnesium = stock.ions_mg.get("magnesium", 0.0) / EQUIVALENT_MASS_MG_MEQ["magnesium"]
    acid = 0.0
    if stock.acid_mmol and not stock.is_malt:
        agent = stock.agent
        acid = stock.acid_mmol * protons_per_mole(agent.pkas, ROOM_PH, agent.strong_protons)
    return (
        stock.alkalinity_meq
        - acid
        - calcium / CALCIUM_PER_PROTON
        - magnesium / MAGNESIUM_PER_PROTON
    )
