"""Brew days that are not like others: what a plan takes into account, and what it leaves alone."""

from __future__ import annotations

from typing import Any

import pytest

from recipe_tools.brewday import plan
from recipe_tools.checking import check_bytes
from recipe_tools.chemistry.mash_ph import ph_only
from recipe_tools.config import Options, RuleSettings, ShelfItem
from recipe_tools.dosing import Proposal, Request, propose
from recipe_tools.dosing.mash_balance import mash_with
from recipe_tools.dosing.shelf import stock
from recipe_tools.recipe import Addition, Fermentable, Mash, MashStep, Recipe, Style, WaterSource
from recipe_tools.rules.examples import document
from tests.dosing.cases import case, with_plan

HARD = {
    "calcium": 95.0,
    "magnesium": 9.0,
    "sodium": 18.0,
    "chloride": 30.0,
    "sulfate": 60.0,
    "bicarbonate": 262.0,
}
SOFT = {
    "calcium": 8.0,
    "magnesium": 1.5,
    "sodium": 5.0,
    "chloride": 6.0,
    "sulfate": 9.0,
    "bicarbonate": 18.0,
}
SALTS = (ShelfItem("gypsum"), ShelfItem("calcium_chloride_dihydrate"))
LACTIC = ShelfItem("lactic_acid", strength_percent=80.0)
PHOSPHORIC = ShelfItem("phosphoric_acid", strength_percent=10.0)
PURE = ShelfItem("pure_water")


def recipe(ions: dict[str, float], style: Style | None = None, **changes: Any) -> Recipe:
    plain = Recipe(
        0,
        "Fen",
        "all grain",
        batch_l=20.0,
        boil_l=25.0,
        style=style,
        fermentables=(Fermentable("Pale ale malt", amount_kg=4.5, colour_ebc=6, yield_percent=80),),
        waters=(WaterSource("Aldermoor tap", ions_mg_l=ions, ph=7.4),),
        mash=Mash(steps=(MashStep(water_l=14.0, temperature_c=66.0),)),
    )
    return plain._replace(**changes)


def dosed(proposal: Proposal, stage: str = "") -> dict[str, float]:
    return {
        item.stock.agent.id: item.amount
        for item in proposal.doses
        if not stage or item.stage == stage
    }


BLONDE = Style("Blonde Ale", category_number="18", letter="A", guide="BJCP 2021")
STOUT = Style("Irish Stout", category_number="15", letter="B", guide="BJCP 2021")
GOSE = Style("Gose", category_number="23", letter="G", guide="BJCP 2021")


def addition(name: str, **amount: float) -> Any:
    from recipe_tools.recipe import Addition, Origin

    use = "boil" if amount.pop("boil", 0.0) else "mash"
    origin = Origin(f"/additions/{name}")
    return Addition(name, "water agent", use, origin=origin, **amount)


@pytest.mark.parametrize(
    "name",
    [
        "slaked_lime",
        "baking_soda",
        "potassium_bicarbonate",
        "lactic_acid",
        "sulfuric_acid",
        "epsom_salt",
        "calcium_chloride_anhydrous",
        "acidulated_malt",
    ],
)
def test_the_mash_of_a_plan_is_that_of_the_recipe_with_the_plan(name: str) -> None:
    # What the program counts with and what `brewday` computes from the written recipe agree.
    from recipe_tools.dosing.applied import with_doses
    from recipe_tools.dosing.records import ProposedDose

    made = stock(ShelfItem(name))
    assert made is not None
    plain = recipe(HARD, BLONDE)
    day = plan(plain, Options())
    assert day.mash_input is not None
    dose = ProposedDose(made, "mash", 12)
    written = plan(with_doses(plain, day, (dose,), None), Options())
    counted = ph_only(mash_with(day.mash_input, day, 0.0, ((made, 12.0),)))
    assert written.prediction is not None
    assert written.prediction.ph == pytest.approx(counted, abs=1e-6)
    assert written.prediction.ph != pytest.approx(day.prediction.ph, abs=1e-4)  # type: ignore[union-attr]


@pytest.mark.parametrize("share", [0.25, 0.6, 0.95])
def test_pure_water_counts_as_in_the_recipe(share: float) -> None:
    from recipe_tools.dosing.applied import dilution_of, with_doses

    plain = recipe(HARD, BLONDE)
    day = plan(plain, Options())
    assert day.mash_input is not None
    written = plan(with_doses(plain, day, (), dilution_of(day, share, 0.0)), Options())
    assert written.prediction is not None
    counted = ph_only(mash_with(day.mash_input, day, share, ()))
    assert written.prediction.ph == pytest.approx(counted, abs=1e-6)
    assert written.total is not None
    assert written.total.ions_mg_l["calcium"].best == pytest.approx((1 - share) * 95.0)


def test_lime_raises_a_dark_mash_and_its_calcium_counts() -> None:
    grist = (
        Fermentable("Pale ale malt", amount_kg=3.6, colour_ebc=6, yield_percent=80),
        Fermentable("Roasted barley", amount_kg=0.6, colour_ebc=1100, yield_percent=70),
        Fermentable("Dark caramel malt", amount_kg=0.5, colour_ebc=240, yield_percent=74),
    )
    shelf = (ShelfItem("calcium_chloride_dihydrate"), ShelfItem("gypsum"), ShelfItem("slaked_lime"))
    proposal = propose(recipe(SOFT, STOUT, fermentables=grist), Options(shelf=shelf))
    assert proposal.feasible, proposal.reasons
    lime = dosed(proposal)["slaked_lime"]
    assert lime > 0
    assert "slaked_lime" not in dosed(proposal, "sparge")
    assert proposal.after is not None
    assert proposal.after.total is not None
    # Ca(OH)2 is 40.08/74.09 = 54.1 % calcium, all of which counts, whatever share of it reacts.
    salts = dosed(proposal)
    milligrams = 540.9 * lime + 272.6 * sum(
        item.amount for item in proposal.doses if "chloride" in item.stock.agent.id
    )
    milligrams += 232.8 * sum(i.amount for i in proposal.doses if i.stock.agent.id == "gypsum")
    expected = SOFT["calcium"] + milligrams / proposal.after.total.volume_l.best
    assert proposal.after.total.ions_mg_l["calcium"].best == pytest.approx(expected, abs=0.1)
    assert any("lime" in item.name.lower() and item.advice for item in proposal.cautions)
    assert not any("acid" in name for name in salts)


def test_potassium_is_counted_though_the_source_does_not_state_it() -> None:
    shelf = (ShelfItem("gypsum"), ShelfItem("potassium_chloride"), LACTIC)
    style = Style("Munich Dunkel", category_number="8", letter="A", guide="BJCP 2021")
    proposal = propose(recipe(SOFT, style, boil_l=None, states_sparge=True), Options(shelf=shelf))
    litres = proposal.before.total.volume_l.best  # type: ignore[union-attr]
    brought = 524.47 * dosed(proposal).get("potassium_chloride", 0.0) / litres
    # A check speaks above 50 mg/L, whoever brings it.
    assert brought <= 50.5


def test_a_gose_may_keep_its_salt() -> None:
    ions = {**SOFT, "sodium": 160.0, "chloride": 250.0}
    shelf = (*SALTS, LACTIC)
    salty = propose(recipe(ions, GOSE), Options(shelf=shelf))
    assert salty.feasible, salty.reasons
    plain = propose(recipe(ions, BLONDE), Options(shelf=shelf))
    assert not plain.feasible
    assert plain.planned is None


def test_extract_beer_gets_salts_into_the_kettle_and_nothing_for_a_mash() -> None:
    proposal = propose(recipe(SOFT, BLONDE, kind="extract", mash=None), Options())
    assert proposal.feasible
    assert {item.stage for item in proposal.doses} == {"boil"}
    assert {item.stock.agent.kind for item in proposal.doses} == {"salt"}
    assert proposal.portions == ()
    before, after = proposal.before.total, proposal.after.total  # type: ignore[union-attr]
    assert before is not None
    assert after is not None
    # 1 g of CaCl2.2H2O brings 272.6 mg of calcium, of gypsum 232.8 (molar masses)
    grams = dosed(proposal)
    brought = 272.6 * grams.get("calcium_chloride_dihydrate", 0.0) + 232.8 * grams.get("gypsum", 0)
    gained = after.ions_mg_l["calcium"].best - before.ions_mg_l["calcium"].best
    assert gained == pytest.approx(brought / after.volume_l.best, abs=0.2)


def test_a_mash_that_cannot_be_predicted_is_not_taken_for_none() -> None:
    proposal = propose(recipe(SOFT, BLONDE, mash=None), Options())
    assert proposal.reasons == ("the mash pH cannot be predicted: no mash water volume",)


@pytest.mark.parametrize(
    ("left_out", "on_shelf"),
    [("sulfate", "calcium_chloride_dihydrate"), ("calcium", "table_salt"), ("chloride", "gypsum")],
)
def test_of_an_ion_nobody_states_neither_check_nor_plan_says_it_is_too_little(
    left_out: str, on_shelf: str
) -> None:
    ions = {ion: amount for ion, amount in SOFT.items() if ion != left_out}
    pale = Style("American IPA", category_number="21", letter="A", guide="BJCP 2021")
    gypsum = Addition("Gypsum", "water agent", "mash", mass_g=1.0)
    chloride = Addition("Calcium chloride dihydrate", "water agent", "mash", mass_g=1.0)
    brewed = recipe(ions, pale, additions=(gypsum, chloride))
    proposal = propose(brewed, Options(shelf=(ShelfItem(on_shelf), LACTIC)))
    assert proposal.planned is not None
    missed = {item.quantity for item in proposal.unmet}
    assert left_out not in missed
    assert left_out == "calcium" or "sulfate to chloride" not in missed


def test_an_unknown_style_asks_for_calcium_and_safe_limits_only() -> None:
    proposal = propose(recipe(SOFT, None), Options(shelf=(*SALTS, LACTIC)))
    assert proposal.before.targets is None
    assert proposal.feasible, proposal.reasons
    assert proposal.after is not None
    assert proposal.after.mash is not None
    # Handbook value for yeast and mash: 50 mg/L (Taylor 2006, quoted by Goldammer).
    assert proposal.after.mash.ions_mg_l["calcium"].best >= 49.5


def test_a_target_water_of_the_recipe_goes_before_the_style() -> None:
    target = WaterSource(
        "Target: Fen water",
        ions_mg_l={
            "calcium": 110.0,
            "magnesium": 5.0,
            "sodium": 10.0,
            "chloride": 60.0,
            "sulfate": 190.0,
            "bicarbonate": 20.0,
        },
    )
    plain = recipe(SOFT, BLONDE)
    proposal = propose(
        plain._replace(waters=(*plain.waters, target)), Options(shelf=(*SALTS, LACTIC))
    )
    assert proposal.after is not None
    assert proposal.after.total is not None
    levels = proposal.after.total.ions_mg_l
    assert levels["sulfate"].best == pytest.approx(190.0, rel=0.16)
    assert levels["chloride"].best == pytest.approx(60.0, rel=0.16)


def test_ranges_and_limits_of_the_configuration_count() -> None:
    shelf = (*SALTS, LACTIC)
    options = Options(shelf=shelf, styles={"blonde_and_golden_ales": {"sulfate": (100.0, 120.0)}})
    proposal = propose(recipe(SOFT, BLONDE), options)
    assert proposal.feasible, proposal.reasons
    assert proposal.after is not None
    assert proposal.after.total is not None
    assert 99.9 <= proposal.after.total.ions_mg_l["sulfate"].best <= 120.1
    narrow = Options(
        shelf=shelf, rules={"mash-ph/above-range": RuleSettings(options={"high": 5.36})}
    )
    lower = propose(recipe(SOFT, BLONDE), narrow)
    assert lower.after is not None
    assert lower.after.prediction is not None
    assert lower.after.prediction.ph <= 5.36


def test_no_base_against_the_acid_of_the_recipe() -> None:
    sour = recipe(SOFT, BLONDE, additions=(addition("Lactic acid 80 %", volume_ml=9.0),))
    options = Options(shelf=(*SALTS, ShelfItem("baking_soda"), LACTIC))
    kept = propose(sour, options)
    assert kept.planned is None
    assert any("--replace" in text for text in kept.changes)
    anew = propose(sour, options, Request(replace=True))
    assert anew.feasible, anew.reasons


def test_salts_of_the_boil_count_for_taste_and_not_for_the_mash() -> None:
    boiled = recipe(SOFT, BLONDE, additions=(addition("Gypsum", mass_g=3.0, boil=1.0),))
    mashed = recipe(SOFT, BLONDE, additions=(addition("Gypsum", mass_g=3.0),))
    options = Options(shelf=(*SALTS, LACTIC))
    late, early = propose(boiled, options), propose(mashed, options)
    assert late.feasible, late.reasons
    assert early.feasible, early.reasons
    # Both beers carry the same sulfate already; the mash of the one misses its calcium and needs
    # more acid.
    assert dosed(late).get("gypsum", 0.0) == dosed(early).get("gypsum", 0.0) == 0.0
    assert dosed(late, "mash")["lactic_acid"] > dosed(early, "mash")["lactic_acid"]


def test_the_usual_salt_is_taken_where_several_would_do() -> None:
    # Sulfate is wanted, and calcium is not short: Epsom salt would take fewer grams.
    ions = {**SOFT, "calcium": 60.0, "chloride": 60.0, "sulfate": 12.0}
    shelf = (*SALTS, ShelfItem("epsom_salt"), LACTIC)
    proposal = propose(recipe(ions, BLONDE), Options(shelf=shelf))
    assert proposal.feasible, proposal.reasons
    assert "gypsum" in dosed(proposal)
    assert "epsom_salt" not in dosed(proposal)


def test_acidulated_malt_takes_the_place_of_other_malt() -> None:
    shelf = (*SALTS, ShelfItem("acidulated_malt"))
    ions = {**SOFT, "calcium": 50.0, "bicarbonate": 60.0, "sulfate": 60.0, "chloride": 45.0}
    proposal = propose(recipe(ions, BLONDE, boil_l=None, states_sparge=True), Options(shelf=shelf))
    assert proposal.feasible, proposal.reasons
    assert proposal.swap is not None
    assert proposal.swap.malt == "Pale ale malt"
    assert proposal.planned is not None
    kilograms = [item.amount_kg or 0.0 for item in proposal.planned.fermentables]
    assert sum(kilograms) == pytest.approx(4.5)
    assert kilograms[1] == proposal.swap.kilograms
    # One percent of the grist lowers the mash by about 0.1 (maltsters' rule, Troester 2009).
    before, after = proposal.before.prediction, proposal.after.prediction  # type: ignore[union-attr]
    assert before is not None
    assert after is not None
    salted = sum(item.amount for item in proposal.doses if not item.stock.is_malt)
    if not salted:
        percent = 100 * proposal.swap.kilograms / 4.5
        assert (before.ph - after.ph) / percent == pytest.approx(0.1, abs=0.04)


def test_pure_water_is_used_only_as_far_as_it_is_needed() -> None:
    hard = {**HARD, "sulfate": 190.0, "calcium": 150.0}
    options = Options(shelf=(*SALTS, PHOSPHORIC, PURE))
    proposal = propose(recipe(hard, BLONDE), options)
    assert proposal.feasible, proposal.reasons
    assert proposal.dilution is not None
    # With a share s of pure water sulfate is 190 (1 - s), and the ratio of at most 2.05 asks for
    # chloride of 92.7 (1 - s), of which the water brings 30 (1 - s). Calcium chloride brings the
    # rest, and 40.08/70.90 = 0.565 of it in calcium: 150 (1 - s) + 0.565 x 62.7 (1 - s) =
    # 185.4 (1 - s), which may be 120, with what a check lets pass 126.5: s >= 0.32, that is 35 %.
    assert proposal.dilution.share == pytest.approx(0.35)
    litres = proposal.before.total.volume_l.best  # type: ignore[union-attr]
    assert sum(proposal.dilution.litres.values()) == pytest.approx(proposal.dilution.share * litres)
    untouched = propose(recipe(SOFT, BLONDE), options)
    assert untouched.dilution is None
    kept = propose(recipe(hard, BLONDE), options, Request(dilution=False))
    assert kept.dilution is None
    assert not kept.feasible


def test_pure_water_of_the_recipe_is_counted_before_more_is_asked_for() -> None:
    hard = {**HARD, "sulfate": 300.0}
    listed = addition("Reverse osmosis water", volume_ml=5000.0)
    plain = recipe(hard, BLONDE, additions=(listed,))
    proposal = propose(plain, Options(shelf=(*SALTS, PHOSPHORIC, PURE)))
    assert proposal.feasible, proposal.reasons
    assert proposal.after is not None
    assert proposal.after.total is not None
    assert proposal.after.total.ions_mg_l["sulfate"].best <= 158.0


def test_iron_of_the_source_is_thinned_or_said() -> None:
    ions = {**SOFT, "iron": 0.2}
    thinned = propose(recipe(ions, BLONDE), Options(shelf=(*SALTS, LACTIC, PURE)))
    assert thinned.feasible, thinned.reasons
    assert thinned.dilution is not None
    assert thinned.dilution.share >= 0.5 - 1e-9
    said = propose(recipe(ions, BLONDE), Options(shelf=(*SALTS, LACTIC)))
    assert not said.feasible
    assert said.planned is not None
    assert any(text.startswith("iron") for text in said.reasons)
    assert any("50 %" in text for text in said.changes)


def test_unknown_water_is_not_planned_for() -> None:
    proposal = propose(recipe({}, BLONDE, waters=()), Options())
    assert proposal.planned is None
    assert "--water" in proposal.reasons[0]


@pytest.mark.parametrize("seed", range(12))
def test_the_same_case_gives_the_same_plan(seed: int) -> None:
    drawn = case(5000 + seed)
    first, second = (propose(drawn.recipe(), drawn.options, drawn.request) for _ in range(2))
    assert first.doses == second.doses
    assert first.reasons == second.reasons
    assert first.changes == second.changes


@pytest.mark.parametrize("seed", range(30))
def test_a_plan_never_passes_a_safe_limit(seed: int) -> None:
    # Whatever is left outside a style's range, the limits that hold for all beers are kept:
    # neither error nor warning on an ion is left (sodium 100, chloride 200 or as the style has it,
    # magnesium 40, calcium 200 mg/L; the rows of brewing_ion_ranges).
    drawn = case(6000 + seed)
    proposal = propose(drawn.recipe(), drawn.options, drawn.request)
    if proposal.planned is None:
        return
    written = document(with_plan(drawn.body, proposal))
    findings = check_bytes(written, "drawn.json", drawn.options).findings
    assert [
        item.rule
        for item in findings
        if item.rule.endswith("-high") and item.rule.startswith("ions/")
    ] == []


def test_the_band_is_kept_in_the_window_where_the_target_is_free() -> None:
    options = Options(shelf=(*SALTS, PHOSPHORIC))
    for seed in range(40):
        drawn = case(7000 + seed)
        proposal = propose(drawn.recipe(), options)
        if not proposal.feasible or proposal.after is None or proposal.after.prediction is None:
            continue
        found = proposal.after.prediction
        if proposal.target_from == "default" and found.high - found.low < 0.36:
            assert proposal.robust, (drawn.seed, found.low, found.high)
        elif not proposal.robust:
            assert any("most likely read between" in text for text in proposal.remarks)


def test_a_target_asked_for_is_kept() -> None:
    options = Options(shelf=(*SALTS, PHOSPHORIC))
    for target in (5.3, 5.4, 5.5):
        proposal = propose(recipe(HARD, BLONDE), options, Request(target_ph=target))
        assert proposal.after is not None
        assert proposal.after.prediction is not None
        assert proposal.after.prediction.ph == pytest.approx(target, abs=0.052)
