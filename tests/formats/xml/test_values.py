"""What a recipe holds after reading: units converted, meanings kept, nothing guessed.

Expected values: US gallon 3.785411784 L and pound 0.45359237 kg (NIST Handbook 44, Appendix C);
SRM = 1.3546 L - 0.76 and EBC = 1.97 SRM (from memory, as BeerXML 1.0 states no conversion); 11.6
and 2.4 degrees Plato against the sucrose table of the ASBC (1.0467 and 1.0094, from memory).
"""

from __future__ import annotations

import pytest

from recipe_tools.formats import beerxml
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.recipe import Addition, Recipe
from tests.formats.xml.files import recipe, result


def read(*changes: tuple[str, str]) -> Recipe:
    text = PLAIN_TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return beerxml.read(text.encode()).recipes[0]


def salt(*changes: tuple[str, str]) -> Addition:
    return read(*changes).additions[0]


def test_the_plain_recipe_is_read_field_by_field() -> None:
    plain = recipe("plain")
    assert (plain.index, plain.name, plain.kind) == (0, "Weir Bitter", "all grain")
    assert plain.brewer == "Aldermoor Brewing Circle"
    assert (plain.batch_l, plain.boil_l, plain.boil_min) == (20.0, 25.0, 60.0)
    assert (plain.efficiency_percent, plain.og, plain.fg) == (72.0, None, None)
    style = plain.style
    assert style is not None
    assert (style.name, style.code, style.guide, style.kind) == (
        "Ordinary Bitter",
        "11A",
        "BJCP 2021",
        "ale",
    )
    assert (style.og, style.ibu) == ((1.030, 1.039), (25.0, 35.0))
    assert style.colour_ebc == pytest.approx((8 * 1.97, 14 * 1.97))
    (hop,) = plain.hops
    assert (hop.name, hop.amount_kg, hop.alpha_percent) == ("Mill Garden", 0.040, 5.5)
    assert (hop.use, hop.time_min) == ("boil", 60.0)
    (malt,) = plain.fermentables
    assert (malt.name, malt.kind, malt.amount_kg) == ("Pale ale malt", "grain", 3.6)
    assert malt.yield_percent == 80.0
    assert malt.colour_ebc == pytest.approx((1.3546 * 3.0 - 0.76) * 1.97)
    (water,) = plain.waters
    assert (water.name, water.amount_l, water.ph) == ("Aldermoor mains", 28.0, None)
    assert water.ions_mg_l == {
        "calcium": 61.0,
        "magnesium": 6.0,
        "sodium": 14.0,
        "chloride": 27.0,
        "sulfate": 42.0,
        "bicarbonate": 155.0,
    }
    (culture,) = plain.cultures
    assert (culture.name, culture.kind) == ("Circle house yeast", "ale")
    mash = plain.mash
    assert mash is not None
    assert (mash.name, mash.grain_temperature_c, mash.ph) == ("One rest", 18.0, None)
    (step,) = mash.steps
    assert (step.name, step.kind, step.water_l) == ("Rest", "infusion", 10.8)
    assert (step.temperature_c, step.time_min) == (66.0, 60.0)


def test_a_salt_by_weight_is_grams() -> None:
    addition = recipe("plain").additions[0]
    assert addition.name == "Gypsum (calcium sulfate dihydrate)"
    assert (addition.kind, addition.use) == ("water agent", "mash")
    assert (addition.amount, addition.unit, addition.is_weight) == (0.004, "kg", True)
    assert addition.mass_g == pytest.approx(4.0)
    assert addition.volume_ml is None


def test_an_acid_by_volume_is_millilitres() -> None:
    addition = recipe("lactic-acid-volume").additions[0]
    assert (addition.unit, addition.is_weight, addition.mass_g) == ("L", False, None)
    assert addition.volume_ml == pytest.approx(2.8)


def test_without_the_flag_neither_mass_nor_volume_is_claimed() -> None:
    addition = recipe("solid-without-flag").additions[0]
    assert (addition.amount, addition.unit, addition.is_weight) == (0.004, "", None)
    assert addition.mass_g is None
    assert addition.volume_ml is None


def test_a_unit_behind_the_amount_settles_the_missing_flag() -> None:
    addition = salt(
        ("<AMOUNT>0.004", "<AMOUNT>4 g"),
        ("\n    <AMOUNT_IS_WEIGHT>TRUE</AMOUNT_IS_WEIGHT>", ""),
    )
    assert addition.mass_g == pytest.approx(4.0)
    assert (addition.unit, addition.is_weight) == ("kg", None)


def test_a_unit_against_the_flag_is_believed() -> None:
    addition = recipe("flag-against-unit").additions[0]
    assert addition.volume_ml == pytest.approx(4.0)
    assert addition.mass_g is None


def test_small_amounts_are_not_rounded() -> None:
    assert salt(("<AMOUNT>0.004", "<AMOUNT>0.000005")).mass_g == pytest.approx(0.005)
    numbers = recipe("numbers")
    assert numbers.additions[0].mass_g == pytest.approx(0.005)
    assert numbers.additions[0].time_min == 0.5
    assert (numbers.boil_min, numbers.batch_l) == (60.0, 20.0)


def test_what_is_shown_and_said_about_an_addition_is_kept() -> None:
    addition = recipe("pieces-as-litres").additions[0]
    assert (addition.display_amount, addition.pieces) == ("0.41 Items", 0.41)
    assert (addition.volume_ml, addition.mass_g, addition.unit) == (None, None, "piece")
    assert "CaCl₂" in recipe("prose-notes").notes


def test_one_agent_twice_is_two_doses() -> None:
    twice = recipe("same-agent-twice")
    assert [item.mass_g for item in twice.additions] == [pytest.approx(4.0)] * 2
    assert twice.additions[1].origin.at("amount") == "/RECIPES/RECIPE[1]/MISCS/MISC[2]/AMOUNT"


@pytest.mark.parametrize(
    ("word", "use"),
    [
        ("Boil", "boil"),
        ("Mash", "mash"),
        ("Primary", "primary"),
        ("Secondary", "secondary"),
        ("Bottling", "bottling"),
        ("Sparge", "sparge"),
        ("Flameout", "flameout"),
    ],
)
def test_the_use_of_an_addition_is_a_lower_case_word(word: str, use: str) -> None:
    assert salt(("<USE>Mash</USE>", f"<USE>{word}</USE>")).use == use


@pytest.mark.parametrize(
    ("word", "use"),
    [("Dry Hop", "dry hop"), ("First Wort", "first wort"), ("Aroma", "aroma"), ("Mash", "mash")],
)
def test_the_use_of_a_hop_is_a_lower_case_word(word: str, use: str) -> None:
    assert read(("<USE>Boil</USE>", f"<USE>{word}</USE>")).hops[0].use == use


def test_liquid_extract_has_its_colour_in_srm() -> None:
    extract = read(("<TYPE>Grain</TYPE>", "<TYPE>Extract</TYPE>")).fermentables[0]
    assert extract.kind == "extract"
    assert extract.colour_ebc == pytest.approx(3.0 * 1.97)
    dry = read(("<TYPE>Grain</TYPE>", "<TYPE>Dry Extract</TYPE>")).fermentables[0]
    assert dry.colour_ebc == pytest.approx((1.3546 * 3.0 - 0.76) * 1.97)


def test_colourless_sugar_has_no_negative_colour() -> None:
    sugar = read(("<COLOR>3.0", "<COLOR>0.0"), ("<TYPE>Grain", "<TYPE>Sugar")).fermentables[0]
    assert sugar.colour_ebc == 0.0


def test_late_additions_and_mash_advice_are_kept() -> None:
    malt = read(
        (
            "<YIELD>",
            "<ADD_AFTER_BOIL>TRUE</ADD_AFTER_BOIL><RECOMMEND_MASH>TRUE</RECOMMEND_MASH><YIELD>",
        )
    ).fermentables[0]
    assert (malt.stage, malt.recommend_mash) == ("fermentation", True)
    assert recipe("plain").fermentables[0].recommend_mash is None


def test_us_units_are_converted() -> None:
    other = recipe("unit-in-core-other")
    assert other.batch_l == pytest.approx(5.5 * 3.785411784)
    assert other.fermentables[0].amount_kg == pytest.approx(8 * 0.45359237)
    assert other.additions[0].mass_g == pytest.approx(4.0)
    assert other.mash is not None
    assert other.mash.steps[0].temperature_c == pytest.approx((151 - 32) / 1.8)


@pytest.mark.parametrize(
    ("written", "minutes"),
    [("1 hour", 60.0), ("1.5 h", 90.0), ("3 days", 4320.0), ("90 min", 90.0)],
)
def test_times_with_a_unit(written: str, minutes: float) -> None:
    assert read(("<TIME>60.0", f"<TIME>{written}")).hops[0].time_min == minutes


def test_gravities_in_plato_and_points() -> None:
    plato, points = recipe("gravity-plato"), recipe("gravity-points")
    assert plato.og == pytest.approx(1.0467, abs=1e-4)
    assert plato.fg == pytest.approx(1.0094, abs=1e-4)
    assert (points.og, points.fg) == (1.053, 1.012)
    assert recipe("final-gravity-plato").fg == pytest.approx(1.0047, abs=1e-4)
    assert recipe("gravity-zero").og is None


def test_fractions_become_percent() -> None:
    fractions = recipe("fractions")
    assert fractions.efficiency_percent == pytest.approx(72.0)
    assert fractions.fermentables[0].yield_percent == pytest.approx(80.0)
    assert fractions.cultures[0].attenuation_percent == pytest.approx(75.0)


def test_values_left_out_are_unknown_not_zero() -> None:
    impossible, empty = recipe("impossible"), recipe("empty-numbers")
    assert impossible.additions[0].amount is None
    assert impossible.additions[0].mass_g is None
    assert impossible.waters[0].ph is None
    assert empty.mash is not None
    assert empty.mash.grain_temperature_c is None
    assert empty.mash.steps[0].water_l is None
    assert recipe("not-numbers").waters[0].ions_mg_l == {"bicarbonate": 155.0}
    assert recipe("mixed-separators").batch_l is None


def test_zero_is_a_value() -> None:
    assert set(recipe("water-all-zero").waters[0].ions_mg_l.values()) == {0.0}
    assert len(recipe("water-all-zero").waters[0].ions_mg_l) == 6


def test_absent_sets_are_empty() -> None:
    bare = recipe("sets-missing")
    assert (bare.hops, bare.additions, bare.cultures) == ((), (), ())
    assert recipe("waters-missing").waters == recipe("waters-empty").waters == ()
    assert recipe("style-missing").style is None
    steps_empty = recipe("mash-steps-empty").mash
    assert steps_empty is not None
    assert steps_empty.steps == ()


def test_the_mash_keeps_its_doubtful_ph_and_its_sparge_temperature() -> None:
    mash = recipe("mash-ph").mash
    assert mash is not None
    assert (mash.ph, mash.sparge_temperature_c) == (5.2, 76.0)


def test_steps_keep_the_order_of_the_file_and_what_they_say() -> None:
    mash = recipe("decoction-with-infusion").mash
    assert mash is not None
    assert [step.kind for step in mash.steps] == ["infusion", "decoction"]
    assert [step.water_l for step in mash.steps] == [10.8, 4.2]
    shown = recipe("extensions-on-wrong-step").mash
    assert shown is not None
    assert shown.steps[0].water_to_grist_l_kg == pytest.approx(1.44 * 0.946352946 / 0.45359237)
    assert shown.steps[0].infuse_temperature_c == pytest.approx((163.5 - 32) / 1.8)


def test_equipment_losses() -> None:
    kettle = recipe("equipment-formula").equipment
    assert kettle is not None
    assert (kettle.top_up_kettle_l, kettle.top_up_fermenter_l) == (1.5, 0.0)
    assert (kettle.trub_loss_l, kettle.dead_space_l, kettle.boil_off_percent_h) == (0.95, 0.8, 9.0)
    infinite = recipe("not-finite-optional").equipment
    assert infinite is not None
    assert infinite.boil_off_percent_h is None


def test_extension_fields_may_carry_units() -> None:
    shown = recipe("unit-in-extension")
    assert (shown.og, shown.ibu, shown.abv_percent) == (1.036, 27.0, 3.6)
    assert shown.colour_ebc == pytest.approx(12.3 * 1.97)
    assert shown.origin.at("og").endswith("/OG")


def test_an_estimate_stands_in_where_nothing_was_measured_and_says_so() -> None:
    estimated = read(("  <BREWER>", "  <EST_OG>1.054 SG</EST_OG>\n  <BREWER>"))
    assert estimated.og == 1.054
    assert estimated.origin.at("og") == "/RECIPES/RECIPE[1]/EST_OG"
    assert estimated.origin.at("fg") == "/RECIPES/RECIPE[1]/FG"


def test_text_keeps_what_it_says() -> None:
    assert recipe("character-references").name == "Weir Bitter (2)"
    assert recipe("character-references").batch_l == 20.0
    assert recipe("character-references").notes == "Line one.\r\nLine two."
    assert recipe("cdata-in-notes").notes == "Add 2 g of <gypsum> & stir."
    assert recipe("html-in-notes").notes == "Mash thick.\nSparge slowly.\nRest.\n"
    assert recipe("date-as-text").date == "3 Jan 04"
    style = recipe("style-letter-digit").style
    assert style is not None
    assert style.code == "112"


def test_comments_and_instructions_do_not_hide_a_value() -> None:
    commented = recipe("comments")
    assert commented.additions[0].mass_g == pytest.approx(4.0)


def test_words_not_listed_are_kept() -> None:
    kept = recipe("words-not-listed")
    assert kept.additions[0].use == "sparge"
    assert kept.hops[0].use == "whirlpool"
    assert kept.mash is not None
    assert kept.mash.steps[0].kind == "strike"
    assert recipe("words-spelt-otherwise").kind == "all grain"


def test_booleans_in_any_case() -> None:
    spelt = recipe("booleans")
    assert spelt.additions[0].is_weight is True
    assert spelt.additions[0].mass_g == pytest.approx(4.0)
    assert spelt.fermentables[0].stage is None
    assert spelt.fermentables[0].recommend_mash is None


def test_records_outside_their_set_are_read() -> None:
    stray = recipe("record-outside-set")
    assert [item.mass_g for item in stray.additions] == [pytest.approx(4.0)]
    assert stray.additions[0].origin.path == "/RECIPES/RECIPE[1]/MISC[1]"


def test_a_style_inside_its_set_is_read() -> None:
    text = PLAIN_TEXT.replace("<STYLE>", "<STYLES><STYLE>").replace("</STYLE>", "</STYLE></STYLES>")
    wrapped = beerxml.read(text.encode()).recipes[0].style
    assert wrapped is not None
    assert wrapped.origin.path == "/RECIPES/RECIPE[1]/STYLES/STYLE[1]"


def test_tags_in_another_case_are_read() -> None:
    assert recipe("tags-wrong-case").batch_l == 20.0
    assert len(recipe("tags-wrong-case").additions) == 1
    lower = beerxml.read(PLAIN_TEXT.lower().encode()).recipes[0]
    assert len(lower.additions) == 1
    assert lower.mash is not None


def test_the_first_of_two_values_counts() -> None:
    assert recipe("duplicates").additions[0].mass_g == pytest.approx(4.0)
    assert len(recipe("duplicate-sets").additions) == 1


def test_several_recipes_are_numbered_from_zero() -> None:
    both = result("several-recipes").recipes
    assert [(item.index, item.name) for item in both] == [(0, "Weir Bitter"), (1, "Barn Mild")]
    assert both[1].origin.path == "/RECIPES/RECIPE[2]"
    roots = result("two-roots").recipes
    assert [item.name for item in roots] == ["Weir Bitter", "Barn Mild"]
    assert roots[1].origin.path == "/RECIPES[2]/RECIPE[1]"


def test_findings_name_their_recipe() -> None:
    second = PLAIN_TEXT.replace("</RECIPES>", "").rstrip()
    recipes = second + PLAIN_TEXT.partition("<RECIPES>")[2].replace("0.004", "0,004")
    (found,) = beerxml.read(recipes.encode()).findings
    assert (found.recipe, found.pointer) == (1, "/RECIPES/RECIPE[2]/MISCS/MISC[1]/AMOUNT")


def test_recipes_are_found_below_other_roots() -> None:
    assert recipe("recipe-as-root").origin.path == "/RECIPE[1]"
    assert recipe("foreign-root").origin.path == "/EXPORT/RECIPES/RECIPE[1]"


def test_a_file_of_water_profiles_has_waters_and_no_recipe() -> None:
    read_waters = result("waters-as-root")
    assert (read_waters.format, read_waters.status) == ("beerxml", "checked")
    assert read_waters.recipes == ()
    assert [water.name for water in read_waters.waters] == ["Aldermoor mains"]
    assert read_waters.waters[0].origin.at("calcium") == "/WATERS/WATER[1]/CALCIUM"


def test_files_of_another_kind_are_skipped() -> None:
    assert (result("not-beerxml").format, result("not-beerxml").status) == (None, "skipped")


@pytest.mark.parametrize(
    "own",
    [
        "<CARBONATE>0.0</CARBONATE>",
        "<POTASSIUM>2.0</POTASSIUM>",
        "<SULPHATE>42.0</SULPHATE>",
        "<AB_ALKALINITY>127</AB_ALKALINITY>",
    ],
)
def test_a_tag_beside_the_one_it_resembles_is_a_programs_own(own: str) -> None:
    text = PLAIN_TEXT.replace("<CALCIUM>", f"{own}\n    <CALCIUM>")
    assert beerxml.read(text.encode()).findings == ()


@pytest.mark.parametrize("own", ["PRIMARY_TIME", "EST_IBU", "DISPLAY_NAME", "BREW_DATE"])
def test_tags_made_of_words_of_the_trade_are_no_slips(own: str) -> None:
    text = PLAIN_TEXT.replace("  <BREWER>", f"  <{own}>1</{own}>\n  <BREWER>")
    assert beerxml.read(text.encode()).findings == ()
