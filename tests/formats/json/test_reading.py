"""What a BeerJSON file becomes: every field in the unit of the neutral recipe.

Unit factors: NIST Handbook 44, Appendix C (US gallon 3.785411784 L, pound 0.45359237 kg).
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from recipe_tools.checking import check_bytes
from recipe_tools.formats import beerjson
from recipe_tools.limits import Limits
from recipe_tools.recipe import Recipe
from tests.formats.json.samples import LIMITS, RECIPE, data_of, of_rule, read

GALLON_L = 3.785411784


def recipe_of(name: str) -> Recipe:
    (recipe,) = read(name).recipes
    return recipe


def document(**changes: Any) -> dict[str, Any]:
    whole: dict[str, Any] = json.loads(data_of("plain.json"))
    whole["beerjson"]["recipes"][0].update(changes)
    return whole


def read_document(whole: Any, limits: Limits = LIMITS) -> beerjson.ReadResult:
    return beerjson.read(json.dumps(whole).encode(), limits)


def test_a_plain_recipe() -> None:
    recipe = recipe_of("plain.json")
    assert (recipe.index, recipe.name, recipe.kind) == (0, "Weir Bitter", "all grain")
    assert (recipe.brewer, recipe.date) == ("Aldermoor Brewing Circle", "2024-05-17")
    assert (recipe.batch_l, recipe.boil_l, recipe.boil_min) == (21.0, 25.0, 60.0)
    assert (recipe.efficiency_percent, recipe.og, recipe.fg) == (72.0, 1.042, 1.01)
    assert (recipe.colour_ebc, recipe.ibu, recipe.abv_percent) == (20.0, None, None)
    assert recipe.style is not None
    assert (recipe.style.code, recipe.style.guide, recipe.style.kind) == (
        "11B",
        "BJCP 2021",
        "beer",
    )


def test_malts_with_what_their_record_says() -> None:
    pale, crystal = recipe_of("plain.json").fermentables
    assert (pale.amount_kg, pale.colour_ebc, pale.yield_percent) == (3.8, 6.0, 80.5)
    # di_ph and moisture stand in the record of the same name; 1 lb in 1 US gal is 8.345 L/kg.
    assert (pale.di_ph, pale.moisture_percent) == (5.74, 4.1)
    assert pale.di_water_l_kg == pytest.approx(GALLON_L / 0.45359237, abs=5e-4)
    assert (crystal.amount_kg, crystal.potential_sg, crystal.group) == (0.25, 1.034, "caramel")
    # 60 Lovibond: 1.97 (1.3546 x 60 - 0.76), see units.
    assert crystal.colour_ebc == pytest.approx(158.62, abs=0.01)
    assert (crystal.di_ph, crystal.di_water_l_kg) == (None, None)


def test_salts_and_acids() -> None:
    gypsum, acid = recipe_of("plain.json").additions
    assert (gypsum.kind, gypsum.use, gypsum.mass_g, gypsum.volume_ml) == (
        "water agent",
        "mash",
        4.0,
        None,
    )
    assert (acid.use, acid.step, acid.mass_g, acid.volume_ml) == ("mash", 2, None, 3.2)
    assert (acid.amount, acid.unit) == (3.2, "ml")


def test_water_and_mash() -> None:
    recipe = recipe_of("plain.json")
    (water,) = recipe.waters
    assert water.ions_mg_l == {
        "calcium": 61.0,
        "magnesium": 6.0,
        "sodium": 14.0,
        "chloride": 27.0,
        "sulfate": 42.0,
        "bicarbonate": 155.0,
    }
    assert water.amount_l == 30.0
    assert recipe.mash is not None
    rest, rinse = recipe.mash.steps
    assert (rest.kind, rest.water_l, rest.temperature_c, rest.time_min) == (
        "infusion",
        11.5,
        66,
        60,
    )
    # 170.6 degrees Fahrenheit are 77 degrees Celsius: (170.6 - 32) / 1.8.
    assert rinse.kind == "sparge"
    assert rinse.temperature_c == pytest.approx(77.0)
    assert recipe.mash.sparge_temperature_c == rinse.temperature_c


def test_the_one_equipment_of_the_file() -> None:
    equipment = recipe_of("plain.json").equipment
    assert equipment is not None
    assert (equipment.dead_space_l, equipment.grain_absorption_l_kg) == (0.8, 0.95)
    # 3 L/h of 25 L at the start of the boil.
    assert (equipment.trub_loss_l, equipment.boil_off_percent_h) == (1.5, 12.0)


def test_two_equipments_belong_to_no_recipe() -> None:
    whole = document()
    whole["beerjson"]["equipments"] *= 2
    assert read_document(whole).recipes[0].equipment is None


def test_every_field_knows_where_it_stands() -> None:
    recipe = recipe_of("plain.json")
    assert recipe.additions[1].origin.at("mass_g") == (
        f"{RECIPE}/ingredients/miscellaneous_additions/1/amount"
    )
    assert recipe.origin.at("boil_l") == f"{RECIPE}/boil/pre_boil_size"
    assert recipe.waters[0].origin.at("sulfate").endswith("/water_additions/0/sulfate")
    assert recipe.mash is not None
    assert recipe.mash.steps[1].origin.at("water_l") == f"{RECIPE}/mash/mash_steps/1/amount"


def test_units_a_list_does_not_hold_are_read_where_their_meaning_is_plain() -> None:
    recipe = recipe_of("unlisted-units.json")
    assert recipe.batch_l == pytest.approx(5.5 * GALLON_L)
    assert recipe.boil_min == 60.0
    assert recipe.hops[0].time_min == 3 * 24 * 60
    assert recipe.additions[0].mass_g == 4.0
    assert recipe.mash is not None
    assert [step.water_l for step in recipe.mash.steps] == [11.5, 17.0]
    # Nobody knows what a sack weighs.
    assert recipe.fermentables[0].amount_kg is None


def test_words_a_list_does_not_hold() -> None:
    recipe = recipe_of("off-list-words.json")
    assert recipe.kind == "all grain"
    assert recipe.additions[1].use == "sparge"
    assert recipe.mash is not None
    assert [step.kind for step in recipe.mash.steps] == ["infusion", "rinse"]


def test_nothing_known_is_not_zero() -> None:
    (water,) = recipe_of("null-ions.json").waters
    assert set(water.ions_mg_l) == {"calcium", "chloride", "sulfate", "bicarbonate"}
    assert recipe_of("missing-amount.json").waters[0].amount_l is None
    assert recipe_of("missing-amount.json").additions[0].mass_g is None
    assert recipe_of("missing-members.json").efficiency_percent is None
    empty = recipe_of("empty-strings.json")
    assert empty.mash is not None
    assert empty.mash.steps[1].water_l is None


def test_what_cannot_be_is_left_out() -> None:
    negative = recipe_of("negative-ion.json")
    assert "sodium" not in negative.waters[0].ions_mg_l
    assert negative.additions[0].mass_g is None
    impossible = recipe_of("impossible-values.json")
    assert impossible.efficiency_percent is None
    assert impossible.fermentables[0].di_ph is None
    assert impossible.mash is not None
    assert impossible.mash.steps[0].temperature_c is None
    assert impossible.mash.steps[0].water_l == 11.5


def test_numbers_that_are_none_are_left_out() -> None:
    result = read("not-finite.json")
    assert result.status == "checked"
    (recipe,) = result.recipes
    assert recipe.efficiency_percent is None
    assert recipe.additions[0].mass_g is None
    assert recipe.additions[1].volume_ml == 3.2
    # The value is said to be no number, and not to be missing as well.
    assert {item.rule for item in result.findings} == {"standard/not-finite"}


def test_gravities_of_other_scales() -> None:
    recipe = recipe_of("gravity-points.json")
    assert recipe.og == 1.042
    assert recipe.fermentables[1].potential_sg == 1.034
    # 2.6 degrees Plato: 1.0102 by the sucrose table (CRC Handbook, between 2 and 3 percent).
    assert recipe.fg == pytest.approx(1.0102, abs=3e-4)


def test_numbers_as_text() -> None:
    recipe = recipe_of("numbers-as-text.json")
    assert recipe.batch_l == 21.5
    assert recipe.fermentables[0].amount_kg == 3.8
    assert recipe.efficiency_percent == 72.0
    assert recipe.additions[0].mass_g is None
    assert recipe.mash is not None
    assert recipe.mash.steps[0].water_l == 11.5


def test_bare_numbers_count_where_only_one_unit_is_possible() -> None:
    recipe = recipe_of("bare-numbers.json")
    assert recipe.batch_l is None
    assert recipe.efficiency_percent == 72.0
    assert recipe.og == 1.042
    assert recipe.waters[0].ions_mg_l["calcium"] == 61.0
    assert recipe.mash is not None
    assert recipe.mash.steps[0].water_l is None


def test_a_number_and_its_unit_that_disagree_are_left_out() -> None:
    result = read_document(document(batch_size={"unit": "l", "value": "5 gal"}))
    assert result.recipes[0].batch_l is None
    assert [item.rule for item in result.findings] == ["standard/wrong-type"]


def test_the_last_of_two_members_counts() -> None:
    assert recipe_of("duplicate-members.json").batch_l == 21.0


def test_a_fraction_is_read_as_a_percentage() -> None:
    assert recipe_of("fraction-for-percent.json").efficiency_percent == 72.0


def test_half_a_character() -> None:
    recipe = recipe_of("surrogates.json")
    assert recipe.additions[0].name == "Gypsum \ufffd crystals"
    assert recipe.hops[0].name == "Mill Garden \U0001f33e"


@pytest.mark.parametrize("name", ["utf-16.json", "windows-1252.json"])
def test_letters_of_other_encodings(name: str) -> None:
    assert "Öl" in recipe_of(name).name


def test_a_raw_line_break_is_kept() -> None:
    assert recipe_of("raw-line-break.json").notes == "Mash thick.\nSparge slowly."


def test_salts_in_the_boil_and_both_times() -> None:
    gypsum = recipe_of("boil-salts.json").additions[0]
    assert gypsum.use == "boil"
    # The standard: duration is what is elsewhere called the time of an addition.
    assert gypsum.time_min == 45.0


def test_pieces_volumes_and_masses() -> None:
    recipe = recipe_of("pieces-and-volumes.json")
    tablet, spoon = recipe.additions
    assert (tablet.pieces, tablet.mass_g, tablet.volume_ml) == (0.5, None, None)
    assert spoon.volume_ml == pytest.approx(1000 * GALLON_L / 768)
    syrup = recipe.fermentables[1]
    assert syrup.amount_kg is None
    assert syrup.volume_l == pytest.approx(8 * GALLON_L / 128)


def test_fluoride_in_both_spellings() -> None:
    """The standard's own member, "flouride", counts before the other one."""
    assert recipe_of("fluoride.json").waters[0].ions_mg_l["fluoride"] == 0.3


def test_what_no_schema_looks_at_is_not_dropped_in_silence() -> None:
    whole = document()
    ingredients = whole["beerjson"]["recipes"][0]["ingredients"]
    ingredients["water_additions"][0] |= {"fluoride": "a little", "pH": 7.4}
    ingredients["fermentable_additions"][1] |= {"di_ph": "sour", "moisture": 4}
    result = read_document(whole)
    recipe = result.recipes[0]
    assert recipe.waters[0].ph == 7.4
    assert recipe.fermentables[1].moisture_percent == 4.0
    assert recipe.fermentables[1].di_ph is None
    assert [item.pointer.rpartition("/")[2] for item in of_rule(result, "standard/wrong-type")] == [
        "di_ph",
        "fluoride",
    ]


@pytest.mark.parametrize(
    ("unit", "field", "value"),
    [
        ("mg", "mass_g", 0.25),
        ("g", "mass_g", 250.0),
        ("kg", "mass_g", 250_000.0),
        ("oz", "mass_g", 250 * 28.349523125),
        ("ml", "volume_ml", 250.0),
        ("l", "volume_ml", 250_000.0),
        ("pkg", "pieces", 250.0),
        ("1", "pieces", 250.0),
    ],
)
def test_each_kind_of_amount(unit: str, field: str, value: float) -> None:
    salt = {"name": "Epsom salt", "type": "water agent", "amount": {"unit": unit, "value": 250}}
    ingredients = {"fermentable_additions": [], "miscellaneous_additions": [salt]}
    (addition,) = read_document(document(ingredients=ingredients)).recipes[0].additions
    kinds = {name: getattr(addition, name) for name in ("mass_g", "volume_ml", "pieces")}
    assert kinds.pop(field) == pytest.approx(value)
    assert set(kinds.values()) == {None}


@pytest.mark.parametrize(
    ("word", "use"),
    [
        ("add_to_mash", "mash"),
        ("add_to_boil", "boil"),
        ("add_to_fermentation", "primary"),
        ("add_to_package", "bottling"),
        ("Sparge", "sparge"),
    ],
)
def test_each_use(word: str, use: str) -> None:
    salt = {
        "name": "Epsom salt",
        "type": "water agent",
        "amount": {"unit": "g", "value": 1},
        "timing": {"use": word},
    }
    malt = {"name": "Oat husks", "type": "other", "timing": {"use": word}}
    ingredients = {"fermentable_additions": [malt], "miscellaneous_additions": [salt]}
    recipe = read_document(document(ingredients=ingredients)).recipes[0]
    assert recipe.additions[0].use == use
    stages = {"primary": "fermentation", "bottling": "package"}
    assert recipe.fermentables[0].stage == stages.get(use, use)


def test_profiles_beside_the_recipes_are_waters_of_the_file() -> None:
    whole = document()
    whole["beerjson"]["profiles"] = [
        {"name": "Upper spring", "calcium": {"unit": "ppb", "value": 9000}, "pH": 7.6}
    ]
    (water,) = read_document(whole).waters
    assert (water.name, water.ions_mg_l, water.ph) == ("Upper spring", {"calcium": 9.0}, 7.6)
    assert water.origin.path == "/beerjson/profiles/0"


def test_several_recipes_keep_their_place() -> None:
    whole = document()
    whole["beerjson"]["recipes"] *= 3
    whole["beerjson"]["recipes"][2] = {**whole["beerjson"]["recipes"][2], "batch_size": 20}
    result = read_document(whole)
    assert [recipe.index for recipe in result.recipes] == [0, 1, 2]
    assert [item.recipe for item in result.findings] == [2]


def test_ranges_of_a_style_from_the_guide_in_the_file() -> None:
    whole = document()
    whole["beerjson"]["styles"] = [
        {
            "name": "Best Bitter",
            "original_gravity": {
                "minimum": {"unit": "sg", "value": 1.04},
                "maximum": {"unit": "sg", "value": 1.048},
            },
            "color": {
                "minimum": {"unit": "SRM", "value": 8},
                "maximum": {"unit": "SRM", "value": 16},
            },
        }
    ]
    style = read_document(whole).recipes[0].style
    assert style is not None
    assert style.og == (1.04, 1.048)
    assert style.colour_ebc == (pytest.approx(15.76), pytest.approx(31.52))


@pytest.mark.parametrize("name", ["recipes", "additions"])
def test_a_limit_is_never_a_silent_cut(name: str) -> None:
    whole = document()
    if name == "recipes":
        whole["beerjson"]["recipes"] *= 3
        result = read_document(whole, Limits(max_recipes=2))
        assert len(result.recipes) == 2
    else:
        result = read_document(whole, Limits(max_additions=1))
        assert len(result.recipes[0].additions) == 1
    assert result.status == "not_checked"
    assert of_rule(result, "file/too-many-records")


def test_recipes_that_are_no_objects_are_not_passed_over() -> None:
    whole = document()
    whole["beerjson"]["recipes"].append("Weir Stout")
    result = read_document(whole)
    assert result.status == "not_checked"
    assert [item.rule for item in result.findings] == ["standard/wrong-type"]


@pytest.mark.parametrize("odd", [None, True, 7, "x", [], [[]], {}, {"unit": []}, {"value": {}}])
def test_no_value_anywhere_brings_the_reader_down(odd: Any) -> None:
    plain = json.loads(data_of("plain.json"))
    places = list(_places(plain))
    assert len(places) > 150
    for place in places:
        whole = json.loads(data_of("plain.json"))
        holder = whole
        for part in place[:-1]:
            holder = holder[part]
        holder[place[-1]] = odd
        result = read_document(whole)
        emptied = place == ("beerjson", "recipes") and odd == []  # it still holds equipment
        assert result.recipes or result.findings or emptied, place


def _places(value: Any, above: tuple[Any, ...] = ()) -> Any:
    members = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in members:
        yield (*above, key)
        if isinstance(inner, (dict, list)):
            yield from _places(inner, (*above, key))


def test_the_numbers_arrive_in_the_brew_day() -> None:
    day = check_bytes(data_of("plain.json"), "plain.json").recipes[0].day
    assert day is not None
    assert day.mash is not None
    assert day.sparge is not None
    assert (day.mash.volume_l.best, day.sparge.volume_l.best) == (11.5, 17.0)
    # 4 g of CaSO4.2H2O (172.164 g/mol) with 40.078 g/mol of calcium in 11.5 L, on 61 mg/L.
    expected = 61.0 + 4000.0 * 40.078 / 172.164 / 11.5
    assert day.mash.ions_mg_l["calcium"].best == pytest.approx(expected, rel=1e-3)
    assert day.water_to_grist_l_kg == pytest.approx(11.5 / 4.05)


def test_defaults_of_absent_lists() -> None:
    bare = {"recipes": [{"name": "Empty", "ingredients": {"fermentable_additions": []}}]}
    recipe = read_document({"beerjson": bare}).recipes[0]
    assert recipe.additions == ()
    assert recipe.waters == ()
    assert recipe.mash is None
    assert recipe.style is None
