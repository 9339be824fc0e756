"""What goes into a measured mash: against a search over all doses with the whole balance."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest

from recipe_tools.brewday import BrewDay, plan
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_ph import ph_only
from recipe_tools.chemistry.measured_mash import anchored
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.correction import corrections
from recipe_tools.dosing.limits import aims
from recipe_tools.dosing.mash_balance import mash_with
from recipe_tools.dosing.records import Stock
from tests.dosing.cases import case

SHELF = (
    ShelfItem("lactic_acid", strength_percent=80.0),
    ShelfItem("phosphoric_acid", strength_percent=10.0),
    ShelfItem("hydrochloric_acid", strength_percent=10.0),
    ShelfItem("citric_acid_monohydrate"),
    ShelfItem("baking_soda"),
    ShelfItem("slaked_lime"),
)
OPTIONS = Options(shelf=SHELF)


def mashes(count: int) -> Iterator[tuple[BrewDay, float, float]]:
    """Yield brew days, what was read, and the target."""
    seed = 0
    while count:
        day = plan(case(seed).recipe(), OPTIONS)
        dice = random.Random(seed)
        seed += 1
        if day.mash_input is None:
            continue
        count -= 1
        yield day, round(dice.uniform(4.7, 6.2), 2), dice.choice([5.3, 5.35, 5.4, 5.45])


def searched(day: BrewDay, stock: Stock, read: float, target: float) -> int:
    """Return the most steps that do not pass the target, trying one after the other."""
    mash = anchored(day.mash_input, read)  # type: ignore[arg-type]
    downwards = target < read
    steps = 0
    while steps < 20_000:
        ph = ph_only(mash_with(mash, day, 0.0, ((stock, steps + 1.0),)))
        if ph < target if downwards else ph > target:
            return steps
        # by leaps while far off, so that the search ends today
        far = abs(ph - target)
        leap = 50 if far > 0.2 else 10 if far > 0.05 else 1
        ahead = ph_only(mash_with(mash, day, 0.0, ((stock, steps + float(leap)),)))
        passed = ahead < target if downwards else ahead > target
        steps += 1 if passed else leap
    return steps


@pytest.mark.parametrize("part", range(4))
def test_every_dose_is_the_one_a_search_finds_within_a_step(part: int) -> None:
    compared = 0
    for place, (day, read, target) in enumerate(mashes(200)):
        if place % 4 != part:
            continue
        reading = Estimate(read - 0.05, read, read + 0.05)
        for found in corrections(day, OPTIONS, reading, target, 0.2):
            total = sum(round(item.amount / item.stock.step) for item in found.steps)
            if found.reaches:
                assert abs(total - searched(day, found.stock, read, target)) <= 1, found
                compared += 1
            else:
                assert found.why
                assert total <= searched(day, found.stock, read, target)
    assert compared > 50


def test_no_correction_passes_a_taste_limit_or_a_safe_range() -> None:
    for day, read, target in mashes(60):
        goal = aims(day, OPTIONS)
        reading = Estimate(read - 0.05, read, read + 0.05)
        litres = sum(i.volume_l.best for i in (day.mash, day.sparge) if i is not None)
        for found in corrections(day, OPTIONS, reading, target, 0.2):
            amount = sum(item.amount for item in found.steps) / found.stock.step
            for ion, milligrams in found.stock.ions_mg.items():
                level = day.total.ions_mg_l.get(ion) if day.total is not None else None
                if level is None or ion not in goal.hard or not amount:
                    continue
                assert level.best + amount * milligrams / litres <= goal.hard[ion] + 0.6


def test_two_thirds_go_in_first() -> None:
    """Common practice, no source."""
    for day, _, target in mashes(20):
        reading = Estimate(5.75, 5.8, 5.85)
        for found in corrections(day, OPTIONS, reading, target, 0.2):
            if len(found.steps) == 2:
                first, rest = (item.amount for item in found.steps)
                assert 0.5 <= first / (first + rest) <= 0.67
                assert found.steps[0].first and not found.steps[1].first


def test_acid_goes_down_and_base_goes_up() -> None:
    for day, read, target in mashes(40):
        reading = Estimate(read - 0.05, read, read + 0.05)
        for found in corrections(day, OPTIONS, reading, target, 0.2):
            assert found.stock.is_acid == (target < read)
            for item in found.steps:
                assert min(read, target) - 0.01 <= item.ph_after.best <= max(read, target) + 0.01
                assert item.ph_after.low < item.ph_after.best < item.ph_after.high
