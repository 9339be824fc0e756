"""A plan against a calculation by hand.

Distilled water, 20 L of it, all in the mash of 5.0 kg of one malt whose certificate states pH 5.75
in distilled water at 4 L/kg (the thickness of this mash, so that thinning moves nothing) and a
buffer of 35 mEq/(kg pH). A blonde ale, whose family (blonde and golden ales) asks for 40 to 120
mg/L of calcium, 30 to 100 of chloride, 40 to 150 of sulfate and sulfate to chloride of 0.7 to 2.
"""

from __future__ import annotations

import pytest

from recipe_tools.config import MaltLot, Options, ShelfItem
from recipe_tools.dosing import Proposal, propose
from recipe_tools.recipe import Fermentable, Mash, MashStep, Recipe, Style, WaterSource

_RECIPE = Recipe(
    0,
    "Millrace by hand",
    "all grain",
    batch_l=20.0,
    style=Style("Blonde Ale", category_number="18", letter="A", guide="BJCP 2021"),
    fermentables=(Fermentable("Lot malt", amount_kg=5.0, colour_ebc=6.0, yield_percent=80.0),),
    waters=(
        WaterSource(
            "Distilled water",
            ions_mg_l=dict.fromkeys(
                ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate"), 0.0
            ),
            ph=7.0,
        ),
    ),
    mash=Mash(steps=(MashStep(water_l=20.0, temperature_c=66.0),)),
    states_sparge=True,
)
_MALT = MaltLot("Lot malt", di_ph=5.75, buffer_meq_kg_ph=35.0, di_water_l_kg=4.0)
_SHELF = (
    ShelfItem("gypsum"),
    ShelfItem("calcium_chloride_dihydrate"),
    ShelfItem("lactic_acid", strength_percent=80.0),
)


def planned(*shelf: ShelfItem) -> Proposal:
    return propose(_RECIPE, Options(shelf=shelf or _SHELF, malts=(_MALT,)))


def amounts(proposal: Proposal) -> dict[str, float]:
    return {item.stock.agent.id: item.amount for item in proposal.doses}


def test_salts_by_hand() -> None:
    # Chloride: 30 mg/L x 20 L = 600 mg; CaCl2.2H2O (147.01 g/mol) holds 70.90/147.01 = 482.3 mg/g:
    #   1.244 g, by the scale 1.3 g. Calcium with it: 1.3 x 272.6 = 354 mg.
    # Sulfate: 40 x 20 = 800 mg; CaSO4.2H2O (172.16) holds 96.06/172.16 = 557.9 mg/g: 1.434 g, by
    #   the scale 1.5 g. Calcium with it: 1.5 x 232.8 = 349 mg.
    # Calcium so far (354 + 349)/20 = 35.2 mg/L; 40 are asked for, 97 mg are missing. A tenth of a
    #   gram of the chloride brings 27.3 mg, of gypsum 23.3 mg: four tenths of the chloride do it
    #   (109 mg), five of gypsum would be needed. So 1.7 g and 1.5 g:
    #   calcium (1.7 x 272.6 + 1.5 x 232.8)/20 = 40.6, chloride 41.0, sulfate 41.8, ratio 1.02.
    proposal = planned()
    assert proposal.feasible
    found = amounts(proposal)
    assert found["calcium_chloride_dihydrate"] == 1.7
    assert found["gypsum"] == 1.5
    assert proposal.after is not None
    assert proposal.after.total is not None
    levels = proposal.after.total.ions_mg_l
    assert levels["calcium"].best == pytest.approx(40.6, abs=0.05)
    assert levels["chloride"].best == pytest.approx(41.0, abs=0.05)
    assert levels["sulfate"].best == pytest.approx(41.8, abs=0.05)


def test_acid_by_hand() -> None:
    # At pH 5.40 the malt gives 35 x (5.40 - 5.75) = -12.25 mEq/kg.
    # Calcium of 40.6 mg/L is 40.6/20.04 = 2.026 mEq/L, of which a proton for every 3.5 (Kolbach):
    #   4 L/kg x 2.026/3.5 = 2.32 mEq/kg. Acid has to give 12.25 - 2.32 = 9.93 mEq/kg, 49.7 mEq.
    # Distilled water takes next to nothing: [H+] at 5.4 is 0.004 mEq/L.
    # A tenth of a millilitre of lactic acid, 80 % by mass and 1.19 kg/L:
    #   0.1 x 1.19 x 0.80 = 0.0952 g = 1.057 mmol (90.08 g/mol), which gives at pH 5.4, pKa 3.86,
    #   1/(1 + 10^(3.86 - 5.40)) = 0.972 protons: 1.027 mEq. 49.7/1.027 = 48.4: 4.8 mL.
    proposal = planned()
    assert amounts(proposal)["lactic_acid"] == pytest.approx(4.8, abs=0.101)
    assert proposal.after is not None
    assert proposal.after.prediction is not None
    assert proposal.after.prediction.ph == pytest.approx(5.40, abs=0.006)
    # Two thirds of 48 steps first, the rest after measuring. Without 16 steps x 1.027 mEq/5 kg =
    # 3.29 mEq/kg the mash lies 3.29/35 = 0.094 higher.
    (part,) = proposal.portions
    assert (part.first, part.rest) == (3.2, 1.6)
    assert part.ph_first == pytest.approx(5.40 + 0.094, abs=0.006)


def test_soda_by_hand() -> None:
    # From pH 5.40 to 5.50 the malt gives 3.5 mEq/kg and the lactic acid a little: 49.7 mmol x
    #   (0.9776 - 0.9720)/5 kg = 0.06. Bicarbonate takes 1 - 10^(5.5-6.35)/(1 + 10^(5.5-6.35)) =
    #   0.876 protons per mole there: (3.5 + 0.06)/0.876 = 4.06 mmol/kg, 20.3 mmol of 84.01 g/mol.
    proposal = planned()
    assert proposal.soda_g_per_tenth == pytest.approx(1.71, abs=0.03)


def test_without_acid_the_mash_cannot_be_reached() -> None:
    # Calcium alone, which helps no further than to 100 mg/L: 4.99 mEq/L, 4 x 4.99/3.5 = 5.70
    #   mEq/kg lower the pH by 5.70/35 = 0.163, from 5.75 to 5.587. The window ends at 5.6, and its
    #   last 0.05 are left alone: an acid is needed.
    malt = MaltLot("Lot malt", di_ph=5.75, buffer_meq_kg_ph=35.0, di_water_l_kg=4.0)
    shelf = (ShelfItem("gypsum"), ShelfItem("calcium_chloride_dihydrate"))
    proposal = propose(_RECIPE, Options(shelf=shelf, malts=(malt,)))
    assert not proposal.feasible
    assert any("mash" in text for text in proposal.reasons)
    assert any("acid" in text for text in proposal.changes)
    # From pH 5.70 the same calcium leads to 5.537, which is far enough from the edge.
    lower = MaltLot("Lot malt", di_ph=5.70, buffer_meq_kg_ph=35.0, di_water_l_kg=4.0)
    assert propose(_RECIPE, Options(shelf=shelf, malts=(lower,))).feasible
