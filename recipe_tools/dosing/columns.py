"""The doses of a dosing program: whole steps of each stock into mash and sparge."""

from __future__ import annotations

from recipe_tools.dosing.program import Program
from recipe_tools.dosing.records import Stock
from recipe_tools.dosing.setting import (
    Setting,
    all_litres,
    base_level,
    mash_litres,
    sparge_litres,
)

MOST_STEPS = 20_000
_MOST_ACIDULATED_SHARE = 0.09


def dose_columns(program: Program, setting: Setting) -> dict[int, list[int]]:
    """Add the doses; return the columns of each stock. Mash first, then sparge."""
    day, stocks = setting.day, setting.stocks
    columns: dict[int, list[int]] = {}
    acids: list[int] = []
    bases: list[int] = []
    for place, stock in enumerate(stocks):
        if (stock.is_acid or stock.is_base) and day.mash_input is None:
            continue
        most = _most_steps(setting, stock)
        if most < 1:
            continue
        column = program.add(most, whole=True)
        program.columns.append((place, "mash"))
        columns[place] = [column]
        used = program.add(1.0, whole=True)
        program.columns.append((place, "used"))
        program.used[used] = 1.0
        program.require(f"{stock.name} used", {column: 1.0, used: -most}, high=0.0)
        program.mass[column] = _mass_per_step(stock) * (1.0 + 1e-4 * place)
        if stock.is_acid:
            acids.append(used)
        elif stock.is_base:
            bases.append(used)
        elif setting.request.split == "by_volume" and sparge_litres(day) > 0 < mash_litres(day):
            columns[place].append(_shared_out(program, setting, place, column, most))
    if acids and bases:
        _not_both(program, acids, bases)
    return columns


def _shared_out(
    program: Program, setting: Setting, place: int, mash_column: int, most: float
) -> int:
    """Add the sparge share of a salt: that of the mash in proportion to the volumes, rounded."""
    ratio = sparge_litres(setting.day) / mash_litres(setting.day)
    column = program.add(max(1.0, most * ratio + 1.0), whole=True)
    program.columns.append((place, "sparge"))
    program.mass[column] = program.mass[mash_column]
    row = {column: 1.0, mash_column: -ratio}
    program.require("shared out by volume", row, low=-0.5, high=0.5)
    return column


def _not_both(program: Program, acids: list[int], bases: list[int]) -> None:
    """Forbid acid and base in one plan: each would only undo the other."""
    which = program.add(1.0, whole=True)
    program.columns.append((-1, "acid, not base"))
    program.require(
        "acid or base", {**dict.fromkeys(acids, 1.0), which: -float(len(acids))}, high=0.0
    )
    program.require(
        "acid or base",
        {**dict.fromkeys(bases, 1.0), which: float(len(bases))},
        high=float(len(bases)),
    )


def _most_steps(setting: Setting, stock: Stock) -> float:
    """Return a bound on the steps of a stock that no safe plan passes."""
    litres = all_litres(setting.day)
    most = float(MOST_STEPS)
    for ion, amount in stock.ions_mg.items():
        ceiling = setting.aims.hard.get(ion)
        if ceiling is not None and amount > 0:
            level = base_level(setting, ion) or 0.0
            most = min(most, max(0.0, (ceiling - level) * litres / amount))
    solubility = stock.agent.solubility_g_l
    if solubility is not None and stock.unit == "g" and mash_litres(setting.day) > 0:
        most = min(most, 0.95 * solubility * mash_litres(setting.day) / stock.step)
    if stock.agent.id == "acidulated_malt":
        most = min(most, _MOST_ACIDULATED_SHARE * setting.day.grist_kg * 1000.0 / stock.step)
    return float(int(most))


def _mass_per_step(stock: Stock) -> float:
    return stock.step * (stock.agent.density_kg_l or 1.0 if stock.unit == "mL" else 1.0)
