"""What brewers get wrong in a recipe, one thing at a time."""

from __future__ import annotations

import copy
from typing import Any

from recipe_tools.reference import table
from recipe_tools.rules.examples import dose, malt, quantity
from tests.planted.fault import (
    Fault,
    Planter,
    add,
    ebc,
    grain_kg,
    has,
    has_minerals,
    has_sparge,
    has_water,
    ions,
    miscs,
    parts,
    size,
    stated,
    together,
    water_is,
    waters,
    without,
)

Json = dict[str, Any]
CHLORIDE = "Calcium chloride dihydrate"
GYPSUM = "Gypsum (calcium sulfate dihydrate)"

PH = frozenset({"mash-ph/below-range", "mash-ph/above-range", "mash-ph/near-edge"})
HARD = water_is(calcium=112, magnesium=9, sodium=18, chloride=30, sulfate=55, bicarbonate=318)
"""Water of 14 German degrees alkalinity; balances to 1 %."""

EVERY_ION = frozenset(
    {"ions/total-minerals-high", "ions/outside-style", "ions/ratio-against-style"}
    | {f"ions/{name}-high" for name in ("calcium", "magnesium", "chloride", "sulfate", "sodium")}
    | {"ions/sodium-with-sulfate", "ions/calcium-low", "ions/residual-alkalinity-against-style"}
)
ACIDS = frozenset({"mash-ph/acid-overshoots", "mash-ph/lactate-taste"})
BITTER = frozenset({"recipe/bitterness-against-hops"})
SPARGE = frozenset({"sparge/alkalinity-high", "sparge/ph-high", "sparge/acid-overshoots"})


def _first_salt(change: Any) -> Planter:
    def plant(recipe: Json) -> None:
        change(next(item for item in miscs(recipe) if item["type"] == "water agent"))

    return plant


def _first_in_grams(recipe: Json) -> Json | None:
    for item in miscs(recipe):
        weighed = item["amount"]["unit"] == "g" and item["amount"]["value"] >= 0.4 * size(recipe)
        if item["type"] == "water agent" and weighed:
            return item
    return None


def _grams_as_kilograms(recipe: Json) -> None:
    item = _first_in_grams(recipe)
    assert item is not None
    item["amount"]["unit"] = "kg"


def _litres_for_millilitres(recipe: Json) -> None:
    item = dose("Lactic acid 80 %", round(2.0 * size(recipe), 1), "l", step=1)
    miscs(recipe).append(item)


def _repeat(recipe: Json) -> None:
    item = next(item for item in miscs(recipe) if item["type"] == "water agent")
    miscs(recipe).append(copy.deepcopy(item))


def _no_water(recipe: Json) -> None:
    recipe["ingredients"]["water_additions"] = []


def _all_zero(recipe: Json) -> None:
    for record in waters(recipe):
        record["name"] = "Aldermoor well"
        for ion in ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate"):
            record[ion] = quantity(0, "mg/l")


def _name_of_a_goal(recipe: Json) -> None:
    waters(recipe)[0]["name"] = "Dry stout profile"


def _ph_of_a_mash(recipe: Json) -> None:
    waters(recipe)[0]["pH"] = quantity(5.3, "pH")


def _waters_of_the_batch(recipe: Json) -> None:
    second = {**copy.deepcopy(waters(recipe)[0]), "name": "Aldermoor spring"}
    second["calcium"] = quantity(second["calcium"]["value"] + 4, "mg/l")
    second["bicarbonate"] = quantity(second["bicarbonate"]["value"] + 12, "mg/l")
    waters(recipe)[:] = [waters(recipe)[0], second]
    for record in waters(recipe):
        record["amount"] = quantity(recipe["batch_size"]["value"], "l")


def _blend_too_large(recipe: Json) -> None:
    _waters_of_the_batch(recipe)
    for record in waters(recipe):
        record["amount"] = quantity(round(1.5 * recipe["batch_size"]["value"], 1), "l")


def _no_strike(recipe: Json) -> None:
    recipe["mash"]["mash_steps"][0].pop("amount")


def _thick(recipe: Json) -> None:
    litres = round(1.3 * grain_kg(recipe), 1)
    recipe["mash"]["mash_steps"][0]["amount"] = quantity(litres, "l")


def _hot_sparge(recipe: Json) -> None:
    recipe["mash"]["mash_steps"][1]["step_temperature"] = quantity(86, "C")


def _another_ph(recipe: Json) -> None:
    recipe["mash"]["mash_steps"][0]["start_ph"] = quantity(4.7, "pH")


def _acid(millilitres_kg: float, name: str = "Lactic acid 80 %") -> Planter:
    """Return a planter of acid into the mash, per kilogram of grain."""

    def plant(recipe: Json) -> None:
        amount = round(millilitres_kg * grain_kg(recipe), 1)
        miscs(recipe).append(dose(name, amount, "ml", step=1))

    return plant


def _sour_malt(recipe: Json) -> None:
    item = malt("Acidulated malt", round(0.14 * grain_kg(recipe), 2), 2, "specialty")
    recipe["ingredients"]["fermentable_additions"].append(item)


def _without_stage(recipe: Json) -> None:
    item = dose("Epsom salt", round(1.0 * size(recipe), 1))
    del item["timing"]
    miscs(recipe).append(item)


def _no_amount(recipe: Json) -> None:
    _first_salt(lambda item: item.update(amount=None))(recipe)


def _of_extract(recipe: Json) -> None:
    """Brew the recipe from dry extract; 1 kg gives about 367 point litres (yield 95 %)."""
    points = 1000.0 * (recipe["original_gravity"]["value"] - 1.0)
    item = malt("Light dry extract", points * recipe["batch_size"]["value"] / 367.0, 4.0)
    del item["grain_group"]
    item.update(type="dry extract", timing={"use": "add_to_boil"})
    item["yield"] = {"fine_grind": quantity(95, "%")}
    recipe["ingredients"]["fermentable_additions"] = [item]
    recipe["type"] = "extract"
    del recipe["mash"]


def _amount_of_nothing(recipe: Json) -> None:
    _first_salt(lambda item: item["amount"].update(value=0))(recipe)


def _a_goal_by_its_notes(recipe: Json) -> None:
    for record in waters(recipe):
        record["notes"] = "Target for dry stouts"


def _unknown_style(recipe: Json) -> None:
    recipe["style"] = {"name": "Harvest Ale of the Circle", "category": "", "type": "beer"}


def _style_of_another_beer(recipe: Json) -> None:
    strong = recipe["original_gravity"]["value"] > 1.058
    name, number, letter = ("Berliner Weisse", 23, "A") if strong else ("Doppelbock", 9, "A")
    recipe["style"].update(name=name, category=name, category_number=number, style_letter=letter)


def _batch_twice(recipe: Json) -> Json:
    return {"batch_size": quantity(2.1 * recipe["batch_size"]["value"], "l")}


def _gravity(recipe: Json) -> Json:
    og = recipe["original_gravity"]["value"]
    return {"original_gravity": quantity(round(1.0 + 1.9 * (og - 1.0), 3), "sg")}


def _colour(recipe: Json) -> Json:
    return {"color_estimate": quantity(8.0 if ebc(recipe) > 45 else 4 * ebc(recipe) + 20, "EBC")}


def _colours(recipe: Json) -> list[Json]:
    return [item["color"] for item in recipe["ingredients"]["fermentable_additions"]]


def _ebc_for_lovibond(recipe: Json) -> None:
    # EBC = 1.97 SRM, SRM = 1.3546 Lovibond - 0.76 (from memory, as in the table of units)
    for colour in _colours(recipe):
        colour["value"] = round(max(0.1, 1.97 * (1.3546 * colour["value"] - 0.76)), 1)


def _lovibond_for_ebc(recipe: Json) -> None:
    for colour in _colours(recipe):
        colour["unit"] = "EBC"


def _alcohol(recipe: Json) -> Json:
    return {"alcohol_by_volume": quantity(recipe["alcohol_by_volume"]["value"] + 4.3, "%")}


def _bitterness(recipe: Json) -> Json:
    ibu = recipe["ibu_estimate"]["value"]["value"]
    return {"ibu_estimate": {"method": "Other", "value": quantity(3 * ibu + 30, "IBUs")}}


def _first_hop(**changes: Any) -> Planter:
    def plant(recipe: Json) -> None:
        hop = recipe["ingredients"]["hop_additions"][0]
        for member, value in changes.items():
            hop["timing" if member == "duration" else member] = (
                {"use": "add_to_boil", "duration": value} if member == "duration" else value
            )

    return plant


def _yeast_in_kilograms(recipe: Json) -> None:
    recipe["ingredients"]["culture_additions"][0]["amount"] = quantity(
        11_000 * max(1.0, size(recipe)), "g"
    )


def _hops_in_kilograms(recipe: Json) -> None:
    _first_hop(amount=quantity(30_000 * max(1.0, size(recipe)), "g"))(recipe)


def _dry_hops_alone(recipe: Json) -> None:
    for item in recipe["ingredients"]["hop_additions"]:
        item["timing"] = {"use": "add_to_fermentation", "duration": quantity(4, "day")}


_US = {"l": 1 / 3.785411784, "kg": 1 / 0.45359237}


def _us_numbers(value: Any, units: tuple[str, ...]) -> None:
    """Put gallons, pounds or degrees Fahrenheit in place of metric numbers; the units stay."""
    if isinstance(value, list):
        for item in value:
            _us_numbers(item, units)
    elif isinstance(value, dict) and set(value) == {"value", "unit"}:
        unit = value["unit"]
        if unit == "C" and unit in units:
            value["value"] = round(1.8 * value["value"] + 32, 1)
        elif unit in units and unit in _US:
            value["value"] = round(_US[unit] * value["value"], 3)
    elif isinstance(value, dict):
        for name, item in value.items():
            if name != "miscellaneous_additions":
                _us_numbers(item, units)


def _in_us(*units: str) -> Planter:
    return lambda recipe: _us_numbers(recipe, units)


def _not_salted(recipe: Json) -> bool:
    return recipe["style"].get("category") != "Gose" and recipe["style"]["name"] != "Gose"


def _sour(recipe: Json) -> bool:
    style = recipe["style"]
    code = f"{style.get('category_number', '')}{style.get('style_letter', '')}"
    return any(row["code"] == code and row["family"] == "sour" for row in table("style_codes"))


def _pale(recipe: Json) -> bool:
    kinds = {item.get("grain_group") for item in recipe["ingredients"]["fermentable_additions"]}
    names = {item["name"] for item in recipe["ingredients"]["fermentable_additions"]}
    sour = names & {"Acidulated malt", "Sauermalz", "Sour malt"}
    return ebc(recipe) < 16 and not kinds & {"roasted", "caramel"} and not sour


def _listed(*words: str) -> Any:
    """Return a test that no addition or note of the recipe names any of these words."""

    def fits(recipe: Json) -> bool:
        text = " ".join(item["name"].casefold() for item in miscs(recipe))
        return not any(word in text for word in words)

    return fits


SULFITE = parts("sulfite")
MASH = parts("mash doses")


def _reported(**rows: Any) -> Json:
    """Return the configuration of a sound water report with some rows changed; None drops one."""
    sound = {
        "name": "Aldermoor tap water", "kind": "sample", "calcium": "62 mg/L",
        "magnesium": "9.5 mg/L", "sodium": "21 mg/L", "chloride": "34 mg/L", "sulfate": "52 mg/L",
        "bicarbonate": "162 mg/L", "ph": 7.5, "chlorine": "n.d.",
    }  # fmt: skip
    table = {key: row for key, row in {**sound, **rows}.items() if row is not None}
    return {"water": {"report": table}}


WATER = parts("water")
SPARGE_DOSES = parts("sparge doses")
BATCH = parts("batch")
DOSES = MASH | SPARGE_DOSES | parts("first salt", "sodium", "chloride", "sulfate")
HIDDEN_BY_UNITS = (
    "recipe/thickness",
    "recipe/volumes",
    "recipe/gravity",
    "recipe/bitterness",
    "recipe/colour-against",
    "recipe/malt-colour",
    "mash-ph/",
)
EVERYTHING = frozenset().union(
    *(
        parts(name)
        for name in (
            "mash doses",
            "water",
            "sparge doses",
            "batch",
            "first salt",
            "sodium",
            "chloride",
            "sulfate",
            "grist",
            "strike",
            "og",
            "colour",
            "ibu",
            "style",
            "sulfite",
        )
    )
)
BESIDE_US_UNITS = (
    PH
    | ACIDS
    | EVERY_ION
    | SPARGE
    | frozenset(
        {
            "addition/will-not-dissolve",
            "recipe/volumes-do-not-add-up",
            "recipe/thickness-unusual",
            "sparge/base-added",
            "water/volume-mismatch",
            "ions/potassium-high",
            "addition/sulfite-dose-high",
            "addition/acid-and-base-together",
        }
    )
)
HIDDEN_BY_UNKNOWN_WATER = ("ions/", "water/", "mash-ph/", "sparge/", "addition/", "suppression/")
HIDDEN_BY_AN_IMPOSSIBLE_ION = ("ions/", "water/charge", "water/hardness-softened")
ANY_WATER = PH | EVERY_ION | ACIDS | SPARGE
"""What may rightly speak where another water takes the place of that a recipe was made for."""
ANY_REPORT = WATER | DOSES | MASH
HIDDEN_BY_NO_VOLUME = (*HIDDEN_BY_UNKNOWN_WATER, "recipe/thickness", "recipe/volumes")

FAULTS: tuple[Fault, ...] = (
    Fault("kilograms for grams", "addition/unit-slip", _grams_as_kilograms,
          fits=lambda recipe: _first_in_grams(recipe) is not None, touches=parts("first salt")),
    Fault("litres for millilitres", "addition/unit-slip", _litres_for_millilitres,
          PH | ACIDS | {"addition/acid-and-base-together"}, touches=MASH),
    Fault("amount left out", "addition/amount-missing", _no_amount,
          PH | EVERY_ION | SPARGE, only="beerjson",
          fits=lambda recipe: has("salt")(recipe) or has("acid")(recipe),
          touches=parts("first salt") | MASH),
    Fault("amount of nothing", "addition/amount-missing", _amount_of_nothing,
          PH | EVERY_ION | SPARGE,
          fits=lambda recipe: has("salt")(recipe) or has("acid")(recipe),
          touches=parts("first salt") | MASH),
    Fault("a salt entered twice", "addition/duplicate", _repeat,
          PH | EVERY_ION | ACIDS, fits=has("salt"), touches=parts("first salt") | MASH),
    Fault("an unknown agent", "addition/agent-unknown", add(dose("Zymurgite", 4)),
          touches=parts("first salt")),
    Fault("a blend of salts", "addition/blend-unknown", add(dose("Water treatment salts", 4)),
          touches=parts("first salt")),
    Fault("battery acid", "addition/not-food-grade-name",
          add(dose("Battery acid 37 %", 0.2, "ml")),
          PH | ACIDS | {"addition/acid-and-base-together"}, touches=MASH),
    Fault("caustic soda", "addition/cleaner-as-agent", add(dose("Sodium hydroxide", 0.2)),
          PH | {"addition/acid-and-base-together"}, touches=MASH),
    Fault("acid without strength", "addition/strength-missing",
          _acid(2.2, name="Phosphoric acid"),
          PH | ACIDS | {"addition/acid-and-base-together"}, touches=MASH),
    Fault("four times too much acid", "mash-ph/acid-overshoots", _acid(3.2),
          PH | ACIDS | {"addition/acid-and-base-together"}, touches=MASH,
          fits=lambda recipe: not has("base")(recipe) and not _sour(recipe)),
    Fault("a seventh of sour malt", "mash-ph/acidulated-share-high", _sour_malt,
          PH | {"recipe/volumes-do-not-add-up"}, touches=MASH | parts("grist", "style"),
          fits=lambda recipe: not _sour(recipe) and _listed("soda")(recipe)),
    Fault("chalk in the sparge", "addition/will-not-dissolve", add(dose("Chalk", 4, step=2)),
          frozenset({"sparge/base-added", "addition/acid-and-base-together"}) | SPARGE,
          fits=has_sparge, touches=SPARGE_DOSES),
    Fault("soda in the sparge", "sparge/base-added", add(dose("Baking soda", 3, step=2)),
          frozenset({"addition/acid-and-base-together", "ions/sodium-high"}) | SPARGE,
          fits=has_sparge, touches=SPARGE_DOSES),
    Fault("soda in the boil", "addition/wrong-stage",
          add(dose("Baking soda", 2, use="add_to_boil"))),
    Fault("acid and soda together", "addition/acid-and-base-together",
          add(dose("Lactic acid 80 %", 2, "ml", step=1), dose("Baking soda", 2, step=1)),
          PH | ACIDS | EVERY_ION, touches=MASH),
    Fault("milligrams on a kitchen scale", "addition/below-scale-resolution",
          add(dose("Epsom salt", 0.02, step=1))),
    Fault("a salt nobody places", "addition/stage-unknown", _without_stage, only="beerjson"),
    Fault("table salt for Epsom salt", "ions/sodium-high", add(dose("Table salt", 16)),
          PH | EVERY_ION, fits=_not_salted, touches=parts("sodium", "chloride")),
    Fault("far too much Epsom salt", "ions/magnesium-high", add(dose("Epsom salt", 20, step=1)),
          PH | ACIDS | EVERY_ION, touches=MASH | parts("sulfate")),
    Fault("far too much calcium chloride", "ions/chloride-high",
          add(dose(CHLORIDE, 22, step=1)), PH | EVERY_ION | ACIDS,
          fits=_not_salted, touches=MASH | parts("chloride")),
    Fault("far too much gypsum", "ions/sulfate-high", add(dose(GYPSUM, 26, step=1)),
          PH | EVERY_ION | ACIDS | {"addition/will-not-dissolve"},
          touches=MASH | parts("sulfate")),
    Fault("potassium for sodium", "ions/potassium-high", add(dose("Potassium chloride", 6)),
          EVERY_ION, fits=_not_salted, touches=parts("chloride")),
    Fault("grams of zinc sulfate", "ions/zinc-high",
          add(dose("Zinc sulfate heptahydrate", 1.0, use="add_to_boil"))),
    Fault("pure water and no salts", "ions/calcium-low",
          together(water_is(calcium=1, magnesium=0, sodium=1, chloride=1, sulfate=1,
                            bicarbonate=3), without("salt", "acid", "base")),
          PH | EVERY_ION | {"water/charge-imbalance"}, fits=has_water,
          touches=WATER | DOSES),
    Fault("extract in soft water without salts", "ions/calcium-low",
          together(water_is(calcium=5, magnesium=1, sodium=3, chloride=4, sulfate=5,
                            bicarbonate=14), without("salt", "acid", "base"), _of_extract),
          frozenset({"recipe/colour-against-malts", "recipe/gravity-against-grist",
                     "recipe/colour-or-gravity-outside-style"}), fits=has_water,
          touches=WATER | DOSES | parts("strike", "grist", "colour", "og", "batch"),
          hides=("mash-ph/", "sparge/", "recipe/", "addition/")),
    Fault("water nobody describes", "water/source-unknown", _no_water, PH,
          fits=has_water, touches=WATER, hides=HIDDEN_BY_UNKNOWN_WATER),
    Fault("salt into water nobody describes", "ions/sodium-high",
          together(_no_water, add(dose("Table salt", 16))),
          PH | EVERY_ION | {"water/source-unknown"},
          fits=lambda recipe: has_water(recipe) and _not_salted(recipe),
          touches=WATER | parts("sodium", "chloride"), hides=HIDDEN_BY_UNKNOWN_WATER),
    Fault("zeros under the name of a well", "water/source-all-zero", _all_zero, PH,
          fits=has_water, touches=WATER, hides=HIDDEN_BY_UNKNOWN_WATER),
    Fault("a record named like a goal", "water/looks-like-target", _name_of_a_goal,
          fits=lambda recipe: has_minerals(recipe) and has("salt")(recipe), touches=WATER),
    Fault("a goal by its notes", "water/calls-itself-target", _a_goal_by_its_notes,
          fits=has_water, touches=WATER),
    Fault("chlorine left in", "water/chlorine-untreated",
          config={"water": {"chlorine_mg_l": 0.5}}, fits=_listed("sulfit"), touches=SULFITE),
    Fault("chloramine met with vitamin C", "water/chloramine-treatment",
          add(dose("Ascorbic acid", 0.6)), PH,
          config={"water": {"chlorine_mg_l": 1.5, "chloramine": True}}, fits=_listed("sulfit"),
          touches=SULFITE | MASH),
    Fault("too little sulfite", "addition/sulfite-dose-low",
          add(dose("Sodium metabisulfite", 0.1)),
          config={"water": {"chlorine_mg_l": 4.0}}, fits=_listed("sulfit"), touches=SULFITE),
    Fault("far too much sulfite", "addition/sulfite-dose-high",
          add(dose("Sodium metabisulfite", 3)), EVERY_ION,
          fits=_listed("sulfit"), touches=SULFITE),
    Fault("sulfite in the bottles", "addition/sulfite-dose-high",
          add(dose("Potassium metabisulfite", 3, use="add_to_package")), touches=SULFITE),
    Fault("sulfite in the fermenter", "addition/sulfite-dose-high",
          add(dose("Campden tablets (sodium metabisulfite)", 2, use="add_to_fermentation")),
          touches=SULFITE),
    Fault("nitrate of a farm well", "water/ion-above-drinking-limit", ions(nitrate=190),
          frozenset({"water/charge-imbalance"}), only="beerjson", fits=has_minerals,
          touches=WATER),
    Fault("iron", "ions/iron-high", ions(iron=1.6), frozenset({"water/charge-imbalance"}),
          only="beerjson", fits=has_minerals, touches=WATER),
    Fault("a misplaced digit in the sodium", "water/charge-imbalance", ions(sodium=190),
          EVERY_ION, fits=has_minerals, touches=WATER),
    Fault("nitrate with nitrite", "water/nitrate-with-nitrite", ions(nitrate=40, nitrite=1.0),
          frozenset({"water/charge-imbalance"}), only="beerjson",
          fits=lambda recipe: has_minerals(recipe) and len(waters(recipe)) == 1, touches=WATER),
    Fault("a trace of nitrite", "ions/nitrite-high", ions(nitrite=0.3), only="beerjson",
          fits=lambda recipe: has_minerals(recipe) and len(waters(recipe)) == 1, touches=WATER),
    Fault("strong acid in the sparge", "sparge/acid-overshoots",
          add(dose("Phosphoric acid 85 %", 6, "ml", step=2)), SPARGE,
          fits=has_sparge, touches=SPARGE_DOSES),
    Fault("strong acid in a line for the sparge", "sparge/acid-overshoots",
          stated(lambda recipe: {
              "notes": f"Into the sparge water: {6 * size(recipe):.1f} mL Phosphoric acid 85 %."
          }),
          SPARGE, fits=has_sparge, touches=SPARGE_DOSES | parts("notes")),
    Fault("a line for the sparge without amount", "addition/sparge-line-unclear",
          stated(lambda recipe: {"notes": "Into the sparge water: a dash of Lactic acid 80 %."}),
          touches=parts("notes")),
    Fault("grams of sodium for milligrams", "water/ion-impossible", ions(sodium=21000),
          fits=has_minerals, touches=WATER, hides=HIDDEN_BY_AN_IMPOSSIBLE_ION),
    Fault("hardness copied as alkalinity", "water/charge-imbalance", beside=ANY_WATER,
          config=_reported(bicarbonate=None, alkalinity="194 mg/L as CaCO3"), touches=ANY_REPORT),
    Fault("a report without alkalinity", "water/alkalinity-unknown", beside=ANY_WATER,
          config=_reported(bicarbonate=None, sodium="n.b."), touches=ANY_REPORT,
          hides=HIDDEN_BY_UNKNOWN_WATER),
    Fault("a report with two alkalinities", "water/report-contradiction", beside=ANY_WATER,
          config=_reported(TAC="30 °f"), touches=ANY_REPORT),
    Fault("a report at the pH of a mash", "water/ph-implausible", beside=ANY_WATER,
          config=_reported(ph=5.2), touches=ANY_REPORT),
    Fault("carbonate in place of bicarbonate", "water/carbonate-at-low-ph", beside=ANY_WATER,
          config=_reported(bicarbonate=None, carbonate="162 mg/dm3"), touches=ANY_REPORT),
    Fault("chlorine above the limit of health", "water/ion-above-drinking-limit",
          beside=ANY_WATER, config=_reported(chlorine="6 mg/L"), fits=_listed("sulfit"),
          touches=ANY_REPORT | SULFITE),
    Fault("water from the softener", "water/hardness-softened",
          water_is(calcium=4, magnesium=1, sodium=105, chloride=30, sulfate=25, bicarbonate=200),
          PH | EVERY_ION | SPARGE, fits=has_water, touches=WATER),
    Fault("spring water among the additions", "water/bottled-water-as-addition",
          add(dose("Bottled spring water", 5, "l", kind="other"))),
    Fault("all the water in bottles, and no label", "water/bottled-water-as-addition",
          together(_no_water, add(dose("Bottled spring water", 28.5, "l", kind="other"))), PH,
          fits=lambda recipe: has_water(recipe) and has_sparge(recipe), touches=WATER,
          hides=HIDDEN_BY_UNKNOWN_WATER),
    Fault("a mash pH in the water record", "water/ph-implausible", _ph_of_a_mash,
          PH | ACIDS | SPARGE,
          fits=lambda recipe: has_minerals(recipe)
          and waters(recipe)[0]["bicarbonate"]["value"] > 25, touches=WATER),
    Fault("two waters of the batch size", "water/volume-is-batch-size", _waters_of_the_batch,
          PH | SPARGE | EVERY_ION,
          fits=lambda recipe: has_minerals(recipe) and len(waters(recipe)) == 1,
          touches=WATER | BATCH),
    Fault("a blend that overflows", "water/volume-mismatch", _blend_too_large,
          PH | SPARGE | EVERY_ION,
          fits=lambda recipe: has_minerals(recipe) and len(waters(recipe)) == 1,
          touches=WATER | BATCH),
    Fault("hard water and no acid", "mash-ph/above-range", together(HARD, without("acid")),
          PH | SPARGE | EVERY_ION, fits=lambda recipe: has_water(recipe) and _pale(recipe),
          touches=WATER | DOSES),
    Fault("hard water in the sparge", "sparge/alkalinity-high", together(HARD, without("acid")),
          PH | SPARGE | EVERY_ION,
          fits=lambda recipe: has_water(recipe) and has_sparge(recipe),
          touches=WATER | DOSES),
    Fault("no strike volume", "recipe/no-mash-water", _no_strike, PH | SPARGE | EVERY_ION,
          touches=parts("strike"), hides=HIDDEN_BY_NO_VOLUME),
    Fault("a mash like cement", "recipe/thickness-unusual", _thick,
          PH | ACIDS | SPARGE | EVERY_ION
          | {"recipe/volumes-do-not-add-up", "addition/will-not-dissolve"},
          touches=parts("strike", "ibu", "og") | BATCH | MASH | SPARGE_DOSES),
    Fault("another pH in mind", "mash-ph/stated-target-differs", _another_ph,
          touches=parts("strike") | MASH | WATER, fits=lambda recipe: not _sour(recipe)),
    Fault("sparge far too hot", "sparge/temperature-high", _hot_sparge, fits=has_sparge),
    Fault("batch twice as large", "recipe/volumes-do-not-add-up", stated(_batch_twice),
          touches=parts("batch", "og", "colour", "ibu") | MASH),
    Fault("gravity of another beer", "recipe/gravity-against-grist", stated(_gravity),
          touches=parts("og", "batch", "grist", "style")),
    Fault("colour of another beer", "recipe/colour-against-malts", stated(_colour),
          EVERY_ION, touches=parts("colour", "batch", "grist", "style")),
    Fault("malt colours in EBC for Lovibond", "recipe/malt-colour-scale", _ebc_for_lovibond,
          PH | ACIDS | EVERY_ION, fits=lambda recipe: 14 <= ebc(recipe) <= 75,
          touches=parts("colour", "batch", "grist", "style") | MASH, hides=("mash-ph/",)),
    Fault("malt colours in Lovibond for EBC", "recipe/malt-colour-scale", _lovibond_for_ebc,
          PH | ACIDS | EVERY_ION, fits=lambda recipe: ebc(recipe) >= 45, only="beerjson",
          touches=parts("colour", "batch", "grist", "style") | MASH, hides=("mash-ph/",)),
    Fault("alcohol of another beer", "recipe/abv-against-gravities", stated(_alcohol),
          touches=parts("og")),
    Fault("bitterness of another beer", "recipe/bitterness-against-hops", stated(_bitterness),
          touches=parts("ibu", "batch", "og", "style")),
    Fault("bitterness from dry hops alone", "recipe/bitterness-against-hops", _dry_hops_alone,
          fits=lambda recipe: recipe["ibu_estimate"]["value"]["value"] >= 12,
          touches=parts("ibu", "batch", "og", "style")),
    Fault("alpha acid of forty percent", "recipe/unlikely-value",
          _first_hop(alpha_acid=quantity(40, "%")), BITTER, touches=parts("ibu")),
    Fault("thirty kilograms of hops", "recipe/unlikely-value", _hops_in_kilograms, BITTER,
          touches=parts("ibu", "batch")),
    Fault("a hop that boils longer than the boil", "recipe/unlikely-value",
          _first_hop(duration=quantity(240, "min")), BITTER, touches=parts("ibu", "boil time")),
    Fault("eleven kilograms of yeast", "recipe/unlikely-value", _yeast_in_kilograms,
          touches=parts("batch")),
    Fault("carbonation of twelve volumes", "recipe/unlikely-value",
          lambda recipe: recipe.update(carbonation=12)),
    Fault("gallons, pounds and Fahrenheit", "recipe/us-units", _in_us("l", "kg", "C"),
          BESIDE_US_UNITS | {"standard/impossible-value"}, touches=EVERYTHING,
          hides=HIDDEN_BY_UNITS),
    Fault("gallons for litres", "recipe/us-units", _in_us("l"), BESIDE_US_UNITS,
          touches=EVERYTHING, hides=HIDDEN_BY_UNITS),
    Fault("pounds for kilograms", "recipe/us-units", _in_us("kg"), BESIDE_US_UNITS,
          touches=EVERYTHING, hides=HIDDEN_BY_UNITS),
    Fault("a style nobody knows", "recipe/style-unknown", _unknown_style, EVERY_ION,
          touches=parts("style")),
    Fault("style of another beer", "recipe/colour-or-gravity-outside-style",
          _style_of_another_beer, EVERY_ION, touches=parts("style", "og", "colour", "ibu")),
    Fault("acid only in the notes", "addition/notes-agents-not-counted",
          stated(lambda recipe: {"notes": "Add 5 ml of tartaric acid to the mash."}),
          touches=parts("notes")),
)  # fmt: skip
