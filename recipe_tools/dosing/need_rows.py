"""Salts are for ions: the rows that keep a plan from weighing out a salt for the mash pH.

A salt is needed where an ion range, or the ratio of two, would be missed at its low end without
it. Of a needed salt no more is taken than that: with a step less the range would be missed. Only
where no acid brings the mash into its window a needed salt may be more, as long as the calcium of
the mash keeps below a bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from recipe_tools.dosing.columns import USED_COST, least_steps
from recipe_tools.dosing.program import PLENTY_MG_L, Program
from recipe_tools.dosing.records import Stage
from recipe_tools.dosing.setting import (
    Setting,
    all_litres,
    mash_level,
    mash_litres,
    sparge_litres,
    with_share,
)

MOST_CALCIUM_MG_L = 100.0
"""Of the mash, where a salt helps its pH: above it the effect flattens (derived_default)."""
_JUST_BELOW = 1e-4


@dataclass(frozen=True, slots=True)
class Need:
    """The low end of a range: row >= low. scale: how large its coefficients get.

    only_if: rows of which one must reach its low end for it to count; none: always.
    """

    row: dict[int, float]
    low: float
    scale: float = 1.0
    only_if: tuple[tuple[dict[int, float], float], ...] = ()


def keep_to_needs(program: Program, setting: Setting, needs: Sequence[Need]) -> None:
    """Add the rows for every salt of a program."""
    for_ph = program.add(1.0, whole=True)
    program.care[for_ph] = USED_COST
    water = mash_litres(setting.day) or all_litres(setting.day)
    for place, used in program.used.items():
        stock = setting.stocks[place]
        if stock.is_acid or stock.is_base:
            continue
        jumps = {
            column: _jump(setting, stage)
            for (other, stage), column in program.doses.items()
            if other == place
        }
        columns = list(jumps)
        without, tight = {used: 1.0}, {used: 1.0, for_ph: -1.0}
        for need in needs:
            raised = [column for column in columns if need.row.get(column, 0.0) > 0.0]
            if not raised:
                continue
            rest = {k: amount for k, amount in need.row.items() if k not in raised}
            without[_missed(program, need, rest, 0.0, columns)] = -1.0
            step = sum(jumps[column] * need.row[column] for column in raised)
            tight[_missed(program, need, need.row, step)] = -1.0
        program.require("a salt that is needed", without, high=0.0)
        # Or it is the least that is of use.
        least, most = least_steps(stock, water), program.upper[columns[0]]
        small = program.add(1.0, whole=True)
        if most > least:
            row = {columns[0]: 1.0, small: most - least}
            program.require("the least useful dose", row, high=most)
        tight[small] = -1.0
        program.require("no more of a salt than is needed", tight, high=0.0)
    _little_calcium(program, setting, for_ph)


def _jump(setting: Setting, stage: Stage) -> int:
    """Return by how many steps a dose may rise with one step more in the mash."""
    if stage != "sparge":
        return 1
    return ceil(sparge_litres(setting.day) / mash_litres(setting.day))


def _missed(
    program: Program,
    need: Need,
    row: dict[int, float],
    step: float,
    left_out: Sequence[int] = (),
) -> int:
    """Add a switch that can be on only where the row, less a step, lies below the low end."""
    switch = program.add(1.0, whole=True)
    plenty = PLENTY_MG_L * need.scale
    high = need.low - _JUST_BELOW + step + plenty
    program.require("needed", {**row, switch: plenty}, high=high)
    if need.only_if:
        counts = {switch: 1.0}
        for other, low in need.only_if:
            reached = program.add(1.0, whole=True)
            counts[reached] = -1.0
            held = {column: amount for column, amount in other.items() if column not in left_out}
            program.require("needed", {**held, reached: -PLENTY_MG_L}, low=low - PLENTY_MG_L)
        program.require("needed", counts, high=0.0)
    return switch


def _little_calcium(program: Program, setting: Setting, for_ph: int) -> None:
    """Keep the calcium of the mash below its bound where salts help the pH."""
    level = mash_level(setting, "calcium")
    if level is None:
        return
    litres = mash_litres(setting.day)
    row = {
        column: setting.stocks[place].ions_mg.get("calcium", 0.0) / litres
        for (place, stage), column in program.doses.items()
        if stage == "mash"
    }
    row, base = with_share(setting, program.share, row, level)
    row[for_ph] = PLENTY_MG_L
    program.require("calcium for the pH", row, high=MOST_CALCIUM_MG_L - base + PLENTY_MG_L)
