"""What a stock is said to bring is what a brew day makes of the name it is written under."""

from __future__ import annotations

import pytest

from recipe_tools.brewday import plan
from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing.applied import addition
from recipe_tools.dosing.records import ProposedDose
from recipe_tools.dosing.shelf import has_pure_water, left_alone, stock, stocks, supposed
from recipe_tools.recipe import Mash, MashStep, Recipe, WaterSource
from recipe_tools.reference import agents

_WATER = WaterSource("Well", ions_mg_l={"calcium": 40.0, "bicarbonate": 120.0})
_RECIPE = Recipe(
    0,
    "Fen",
    "all grain",
    batch_l=20.0,
    mash=Mash(steps=(MashStep(water_l=15.0),)),
    waters=(_WATER,),
)


def _items() -> list[ShelfItem]:
    """Return everything a plan may dose, in the strengths sold."""
    found = []
    for name, agent in agents().items():
        strengths = agent.typical_strengths if agent.form == "solution" else (None,)
        for percent in strengths or (None,):
            item = ShelfItem(name, strength_percent=percent)
            made = stock(item)
            if made is not None and not made.is_malt:
                found.append(item)
    return found


@pytest.mark.parametrize("item", _items(), ids=lambda item: f"{item.agent}-{item.strength_percent}")
def test_a_written_dose_brings_what_the_plan_counts(item: ShelfItem) -> None:
    made = stock(item)
    assert made is not None
    written = addition(ProposedDose(made, "mash", 37))

    for options in (Options(), Options(shelf=(item,))):
        (dose,) = plan(_RECIPE._replace(additions=(written,)), options).doses
        assert dose.agent is not None
        assert dose.agent.id == made.agent.id
        assert dose.doubts == ()
        for ion, amount in made.ions_mg.items():
            assert dose.ions_mg[ion].best == pytest.approx(37 * amount), ion
        assert dose.alkalinity_meq.best == pytest.approx(37 * made.alkalinity_meq)
        assert dose.acid_mmol.best == pytest.approx(37 * made.acid_mmol)


@pytest.mark.parametrize(
    "name",
    ["chalk", "quicklime", "sodium_hydroxide", "zinc_sulfate_heptahydrate", "acetic_acid"],
)
def test_what_does_harm_or_no_good_stays_on_the_shelf(name: str) -> None:
    assert stock(ShelfItem(name)) is None
    assert left_alone(Options(shelf=(ShelfItem(name),))) == (agents()[name].name,)


def test_a_scale_and_a_purity_of_its_own_are_used() -> None:
    coarse = stock(ShelfItem("gypsum", scale_g=0.5, purity_percent=90.0))
    fine = stock(ShelfItem("gypsum"))
    assert coarse is not None
    assert fine is not None
    assert (coarse.step, fine.step) == (0.5, 0.1)
    # CaSO4.2H2O holds 40.078/172.164 = 23.28 % calcium: 0.45 g of it 104.8 mg (IUPAC weights).
    assert coarse.ions_mg["calcium"] == pytest.approx(104.8, abs=0.1)


def test_what_is_supposed_is_said() -> None:
    (text,) = supposed(Options())
    assert "lactic acid 80 %" in text
    (text,) = supposed(Options(shelf=(ShelfItem("lactic_acid"),)))
    assert "not stated" in text
    assert supposed(Options(shelf=(ShelfItem("gypsum"),))) == ()


def test_pure_water_and_the_order_of_the_shelf() -> None:
    options = Options(
        shelf=tuple(
            ShelfItem(name)
            for name in ("lactic_acid", "pure_water", "baking_soda", "gypsum", "gypsum")
        )
    )
    assert has_pure_water(options)
    assert not has_pure_water(Options())
    assert [made.agent.id for made in stocks(options, 28.5)] == [
        "gypsum",
        "baking_soda",
        "lactic_acid",
    ]
