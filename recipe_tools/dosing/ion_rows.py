"""The rows on ions: ranges of the style, safe limits, sulfate to chloride."""

from __future__ import annotations

from collections.abc import Mapping

from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.dosing.limits import BOTH_ANIONS_MG_L, RATIO_JUDGED_FROM_MG_L, SOLIDS_MG_L
from recipe_tools.dosing.program import PLENTY_MG_L, Program
from recipe_tools.dosing.setting import Setting, all_litres, base_level

_SOLIDS = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")


def _level_row(setting: Setting, doses: Mapping[int, list[int]], ion: str) -> dict[int, float]:
    """Return coefficients that give mg/L of an ion in all water."""
    litres = all_litres(setting.day)
    row: dict[int, float] = {}
    for place, columns in doses.items():
        amount = setting.stocks[place].ions_mg.get(ion, 0.0)
        if amount:
            row.update(dict.fromkeys(columns, amount / litres))
    return row


def ion_rows(program: Program, setting: Setting, doses: Mapping[int, list[int]]) -> None:
    goal = setting.aims
    levels = {ion: base_level(setting, ion) for ion in _SOLIDS}
    for ion, (low, high) in goal.wanted.items():
        base = levels.get(ion)
        if base is None:
            continue
        scale = max(10.0, high or low or 10.0)
        program.wish(
            ion,
            _level_row(setting, doses, ion),
            None if low is None else low - base,
            None if high is None else high - base,
            scale,
            ion,
        )
    for ion, ceiling in goal.hard.items():
        base = levels.get(ion)
        row = _level_row(setting, doses, ion)
        if base is None and ion != "potassium":
            continue
        program.require(ion, row, high=ceiling - (base or 0.0), hard=True, ion=ion)
    _solids_row(program, setting, doses, levels)
    _either_or_rows(program, setting, doses, levels)
    _ratio_rows(program, setting, doses, levels)


def _solids_row(
    program: Program,
    setting: Setting,
    doses: Mapping[int, list[int]],
    levels: Mapping[str, float | None],
) -> None:
    liquor = setting.day.total or setting.day.mash
    if liquor is None or liquor.alkalinity_meq_l is None:
        return
    alkalinity = liquor.alkalinity_meq_l.best - setting.share * (
        setting.day.source.alkalinity_meq_l.best
    )
    base = 0.6 * CACO3_MG_MEQ * alkalinity + sum(level or 0.0 for level in levels.values())
    row: dict[int, float] = {}
    for ion in _SOLIDS:
        for column, amount in _level_row(setting, doses, ion).items():
            row[column] = row.get(column, 0.0) + amount
    for place, columns in doses.items():
        part = 0.6 * CACO3_MG_MEQ * setting.stocks[place].alkalinity_meq / all_litres(setting.day)
        if part:
            for column in columns:
                row[column] = row.get(column, 0.0) + part
    program.require("dissolved solids", row, high=SOLIDS_MG_L - base, hard=True)


def _either_or_rows(
    program: Program,
    setting: Setting,
    doses: Mapping[int, list[int]],
    levels: Mapping[str, float | None],
) -> None:
    """Keep chloride and sulfate from being high together, and sodium from joining high sulfate."""
    pairs = [("chloride", BOTH_ANIONS_MG_L, "sulfate", BOTH_ANIONS_MG_L)]
    if setting.aims.sodium_with_sulfate is not None:
        sodium, sulfate = setting.aims.sodium_with_sulfate
        pairs.append(("sodium", sodium, "sulfate", sulfate))
    for first, first_limit, second, second_limit in pairs:
        one, two = levels.get(first), levels.get(second)
        if one is None or two is None:
            continue
        which = program.add(1.0, whole=True)
        program.columns.append((-1, f"{first} may be high"))
        row = {**_level_row(setting, doses, first), which: -PLENTY_MG_L}
        program.require(f"{first} and {second}", row, high=first_limit - one, hard=True)
        row = {**_level_row(setting, doses, second), which: PLENTY_MG_L}
        program.require(
            f"{first} and {second}", row, high=second_limit - two + PLENTY_MG_L, hard=True
        )


def _ratio_rows(
    program: Program,
    setting: Setting,
    doses: Mapping[int, list[int]],
    levels: Mapping[str, float | None],
) -> None:
    """Wish for the sulfate to chloride of the style, unless both are too low to be judged."""
    ratio = setting.aims.sulfate_to_chloride
    sulfate, chloride = levels.get("sulfate"), levels.get("chloride")
    if ratio is None or sulfate is None or chloride is None:
        return
    unjudged = program.add(1.0, whole=True)
    program.columns.append((-1, "ratio not judged"))
    for ion, level in (("sulfate", sulfate), ("chloride", chloride)):
        row = {**_level_row(setting, doses, ion), unjudged: PLENTY_MG_L}
        limit = RATIO_JUDGED_FROM_MG_L - 1.0 - level + PLENTY_MG_L
        program.require("ratio not judged", row, high=limit)
    for end, sign in ((ratio[0], 1.0), (ratio[1], -1.0)):
        if end is None:
            continue
        # sign (sulfate - end chloride) + slack + plenty x unjudged >= 0
        row = {}
        for column, amount in _level_row(setting, doses, "sulfate").items():
            row[column] = row.get(column, 0.0) + sign * amount
        for column, amount in _level_row(setting, doses, "chloride").items():
            row[column] = row.get(column, 0.0) - sign * end * amount
        slack = program.add(PLENTY_MG_L)
        program.missed[slack] = 1.0 / 50.0
        program.slacks[slack] = "sulfate to chloride"
        row[slack] = 1.0
        row[unjudged] = PLENTY_MG_L
        program.require("sulfate to chloride", row, low=-sign * (sulfate - end * chloride))
