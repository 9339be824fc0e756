"""Two readings of one mash with a known dose between them measure its buffer: a titration."""

from __future__ import annotations

import pytest

from recipe_tools.brewday import plan
from recipe_tools.chemistry.estimate import exactly
from recipe_tools.chemistry.mash_ph import ph_only
from recipe_tools.chemistry.measured_mash import anchored
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.mash_balance import mash_with
from recipe_tools.dosing.shelf import stocks
from recipe_tools.measuring import MeasuredMash, Reading, measure
from recipe_tools.readings import KeptReading, Readings
from recipe_tools.recipe import Addition
from tests.dosing.cases import case

SHELF = (ShelfItem("phosphoric_acid", strength_percent=10.0),)
RECIPE = next(
    recipe
    for seed in range(50)
    if (day := plan(recipe := case(seed).recipe(), Options())).mash_input is not None
    and day.grist_kg > 4.0
)


def kept(measured: MeasuredMash, minutes: float) -> KeptReading:
    return KeptReading(
        "a.json", "A", "2026-11-01", measured.reading.ph, measured.expected, 25.0, minutes
    )


@pytest.mark.parametrize("factor", [0.7, 1.35])
def test_what_a_known_dose_did_scales_the_next_one(factor: float) -> None:
    """The mash of this brewer buffers more, or less, than supposed: known by construction."""
    options = Options(shelf=SHELF)
    first = measure(RECIPE, options, Reading(5.9, 25.0, 10.0))
    assert first is not None and first.day.mash_input is not None
    mash = first.day.mash_input
    stronger = mash._replace(
        malts=tuple(
            malt._replace(buffer_meq_kg_ph=malt.buffer_meq_kg_ph.times(factor))
            for malt in mash.malts
        ),
        crush_factor=exactly(mash.crush_factor.best),
    )
    (acid,) = stocks(options, 0.0)
    true = anchored(stronger, 5.9)
    dosed = mash_with(true, first.day, 0.0, ((acid, 300.0),))
    second_ph = round(ph_only(dosed), 2)
    added = Addition(
        "Phosphoric acid 10 %",
        kind="water agent",
        use="mash",
        amount=30.0,
        unit="ml",
        volume_ml=30.0,
    )
    reading = Reading(second_ph, 25.0, 20.0, (added,))
    taught = Options(shelf=SHELF, readings=Readings([kept(first, 10.0)]))
    blind = measure(RECIPE, options, reading, 5.6)
    knowing = measure(
        RECIPE, taught, reading, 5.6, taught.readings.entries if taught.readings else ()
    )
    assert blind is not None and knowing is not None

    def amount(found: MeasuredMash) -> float:
        return sum(item.amount for item in found.corrections[0].steps)

    at_second = anchored(stronger, second_ph)
    needed = next(
        steps * acid.step
        for steps in range(5000)
        if ph_only(mash_with(at_second, first.day, 0.0, ((acid, float(steps)),))) <= 5.6
    )
    assert abs(amount(knowing) - needed) < 0.75 * abs(amount(blind) - needed)
