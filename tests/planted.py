"""Faults planted into clean recipes: which of them are found, and what else is said.

Five clean recipes of different beers, each in both standards. Every fault changes one thing a
brewer gets wrong; the rule that has to name it is known beforehand. `python -m tests.planted`
prints found, missed and false alarms.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any
from xml.sax.saxutils import escape

from recipe_tools.checking import check_bytes
from recipe_tools.config import Options
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Severity
from recipe_tools.reference import table as reference_table
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    additions,
    document,
    dose,
    grist,
    malt,
    merge_patch,
    quantity,
    style,
    together,
    well_with,
)

Json = dict[str, Any]
GYPSUM = "Gypsum (calcium sulfate dihydrate)"
CHLORIDE = "Calcium chloride dihydrate"
EBC_PER_SRM = 1.97


def numbers(og: float, fg: float, ebc: float, ibu: float) -> Json:
    """Return a patch with the stated numbers of a recipe."""
    return {
        "original_gravity": quantity(og, "sg"),
        "final_gravity": quantity(fg, "sg"),
        "alcohol_by_volume": quantity(round(131.25 * (og - fg), 1), "%"),
        "color_estimate": quantity(ebc, "EBC"),
        "ibu_estimate": {"method": "Tinseth", "value": quantity(ibu, "IBUs")},
    }


def hops(*items: tuple[float, float, float]) -> Json:
    """Return a patch with hops of (grams, alpha acid in percent, minutes of boil)."""
    return {
        "ingredients": {
            "hop_additions": [
                {
                    "name": f"Hop {number}",
                    "alpha_acid": quantity(alpha, "%"),
                    "amount": quantity(grams, "g"),
                    "timing": {"use": "add_to_boil", "duration": quantity(minutes, "min")},
                }
                for number, (grams, alpha, minutes) in enumerate(items, start=1)
            ]
        }
    }


CLEAN: Mapping[str, Json] = {
    "blonde ale": {},
    "pils": together(
        style("German Pils", 5, "D"),
        well_with(calcium=12, magnesium=2, sodium=5, chloride=8, sulfate=9, bicarbonate=38),
        additions(dose(GYPSUM, 3, step=1), dose(CHLORIDE, 2, step=1), dose(GYPSUM, 3, step=2)),
        grist(malt("Pilsner malt", 4.0, 1.8), malt("Acidulated malt", 0.12, 2, "specialty")),
        hops((35, 7, 60), (25, 5, 10)),
        numbers(1.046, 1.009, 7, 36),
    ),
    "bitter": together(
        style("Best Bitter", 11, "B"),
        well_with(calcium=70, magnesium=5, sodium=20, chloride=30, sulfate=60, bicarbonate=170),
        additions(
            dose(GYPSUM, 4, step=1),
            dose("Lactic acid 80 %", 2.2, "ml", step=1),
            dose(GYPSUM, 4, step=2),
            dose("Lactic acid 80 %", 3.4, "ml", step=2),
        ),
        grist(malt("Pale ale malt", 3.6, 2.8), malt("Caramel malt", 0.3, 60, "caramel")),
        hops((35, 6, 60), (20, 5, 10)),
        numbers(1.043, 1.010, 18, 32),
    ),
    "stout": together(
        style("Irish Stout", 15, "B"),
        well_with(calcium=45, magnesium=5, sodium=20, chloride=40, sulfate=40, bicarbonate=105),
        additions(dose(CHLORIDE, 4, step=1), dose("Lactic acid 80 %", 2.0, "ml", step=2)),
        grist(
            malt("Pale ale malt", 3.2, 2.8),
            malt("Flaked barley", 0.4, 1.7, "flaked"),
            malt("Roasted barley", 0.35, 500, "roasted"),
        ),
        hops((40, 7, 60)),
        numbers(1.043, 1.010, 60, 36),
    ),
    "wheat": together(
        style("Weissbier", 10, "A"),
        additions(dose(CHLORIDE, 3, step=1)),
        grist(
            malt("Wheat malt", 2.4, 2),
            malt("Pilsner malt", 1.8, 1.8),
            malt("Acidulated malt", 0.22, 2, "specialty"),
        ),
        hops((20, 5, 60)),
        numbers(1.048, 1.011, 8, 12),
    ),
}


@dataclass(frozen=True)
class Fault:
    """A fault, the rule that has to name it, and rules that may rightly speak beside it."""

    name: str
    rule: str
    plant: Callable[[Json], None]
    beside: frozenset[str] = frozenset()
    config: Mapping[str, Any] = field(default_factory=dict)


def _miscs(recipe: Json) -> list[Json]:
    found: list[Json] = recipe["ingredients"]["miscellaneous_additions"]
    return found


def _add(*items: Json) -> Callable[[Json], None]:
    def plant(recipe: Json) -> None:
        _miscs(recipe).extend(copy.deepcopy(list(items)))

    return plant


def _first(change: Callable[[Json], None]) -> Callable[[Json], None]:
    def plant(recipe: Json) -> None:
        change(_miscs(recipe)[0])

    return plant


def _water(**mg_l: float) -> Callable[[Json], None]:
    def plant(recipe: Json) -> None:
        for ion, value in mg_l.items():
            recipe["ingredients"]["water_additions"][0][ion] = quantity(value, "mg/l")

    return plant


def _stated(patch: Json) -> Callable[[Json], None]:
    def plant(recipe: Json) -> None:
        recipe.update(copy.deepcopy(patch))

    return plant


def _grams_as_kilograms(item: Json) -> None:
    item["amount"]["unit"] = "kg"


def _no_amount(item: Json) -> None:
    item["amount"] = None


def _no_water(recipe: Json) -> None:
    recipe["ingredients"]["water_additions"] = []


def _all_zero(recipe: Json) -> None:
    record = recipe["ingredients"]["water_additions"][0]
    for ion in ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate"):
        record[ion] = quantity(0, "mg/l")


def _name_of_a_goal(recipe: Json) -> None:
    recipe["ingredients"]["water_additions"][0]["name"] = "Dry stout profile"


def _repeat(recipe: Json) -> None:
    _miscs(recipe).append(copy.deepcopy(_miscs(recipe)[0]))


def _no_strike(recipe: Json) -> None:
    recipe["mash"]["mash_steps"][0].pop("amount")


def _hot_sparge(recipe: Json) -> None:
    recipe["mash"]["mash_steps"][1]["step_temperature"] = quantity(86, "C")


def _salty_minerals(ion: str) -> frozenset[str]:
    return frozenset(
        {"ions/total-minerals-high", "ions/outside-style", "ions/ratio-against-style"}
        | {f"ions/{name}-high" for name in ("calcium", "chloride", "sulfate", "sodium")}
        | {"ions/sodium-with-sulfate", f"ions/{ion}-high"}
    )


PH = frozenset({"mash-ph/below-range", "mash-ph/above-range", "mash-ph/near-edge"})

FAULTS: tuple[Fault, ...] = (
    Fault("kilograms for grams", "addition/unit-slip", _first(_grams_as_kilograms)),
    Fault(
        "amount left out",
        "addition/amount-missing",
        _first(_no_amount),
        PH | {"ions/calcium-low", "ions/outside-style", "ions/ratio-against-style"},
    ),
    Fault("a salt entered twice", "addition/duplicate", _repeat,
          PH | _salty_minerals("sulfate")),
    Fault("an unknown agent", "addition/agent-unknown", _add(dose("Zymurgite", 4))),
    Fault("a blend of salts", "addition/blend-unknown", _add(dose("Water treatment salts", 4))),
    Fault("battery acid", "addition/not-food-grade-name",
          _add(dose("Battery acid 37 %", 0.2, "ml")),
          PH | {"addition/acid-and-base-together", "mash-ph/acid-overshoots"}),
    Fault("caustic soda", "addition/cleaner-as-agent", _add(dose("Sodium hydroxide", 0.2)),
          PH | {"addition/acid-and-base-together"}),
    Fault("acid without strength", "addition/strength-missing",
          _add(dose("Phosphoric acid", 3, "ml")), PH | {"mash-ph/acid-overshoots"}),
    Fault("four times too much acid", "mash-ph/acid-overshoots",
          _add(dose("Lactic acid 80 %", 9, "ml", step=1)), PH | {"mash-ph/lactate-taste"}),
    Fault("chalk in the sparge", "addition/will-not-dissolve", _add(dose("Chalk", 4, step=2)),
          frozenset({"sparge/base-added", "addition/acid-and-base-together"})),
    Fault("soda in the sparge", "sparge/base-added", _add(dose("Baking soda", 3, step=2)),
          frozenset({"addition/acid-and-base-together", "ions/sodium-high"})),
    Fault("soda in the boil", "addition/wrong-stage",
          _add(dose("Baking soda", 2, use="add_to_boil"))),
    Fault("acid and soda together", "addition/acid-and-base-together",
          _add(dose("Lactic acid 80 %", 2, "ml", step=1), dose("Baking soda", 2, step=1)), PH),
    Fault("milligrams on a kitchen scale", "addition/below-scale-resolution",
          _add(dose("Epsom salt", 0.02, step=1))),
    Fault("table salt for Epsom salt", "ions/sodium-high", _add(dose("Table salt", 16)),
          PH | _salty_minerals("sodium")),
    Fault("far too much Epsom salt", "ions/magnesium-high", _add(dose("Epsom salt", 20, step=1)),
          PH | _salty_minerals("magnesium")),
    Fault("far too much calcium chloride", "ions/chloride-high", _add(dose(CHLORIDE, 20, step=1)),
          PH | _salty_minerals("chloride")),
    Fault("grams of zinc sulfate", "ions/zinc-high",
          _add(dose("Zinc sulfate heptahydrate", 1.0, use="add_to_boil"))),
    Fault("water nobody describes", "water/source-unknown", _no_water, PH),
    Fault("zeros under the name of a well", "water/source-all-zero", _all_zero, PH),
    Fault("a record named like a goal", "water/looks-like-target", _name_of_a_goal),
    Fault("chlorine left in", "water/chlorine-untreated", lambda recipe: None,
          config={"water": {"chlorine_mg_l": 0.5}}),
    Fault("too little sulfite", "addition/sulfite-dose-low",
          _add(dose("Sodium metabisulfite", 0.1)),
          config={"water": {"chlorine_mg_l": 4.0}}),
    Fault("far too much sulfite", "addition/sulfite-dose-high",
          _add(dose("Sodium metabisulfite", 3)),
          _salty_minerals("sodium")),
    Fault("nitrate of a farm well", "water/ion-above-drinking-limit", _water(nitrate=90),
          frozenset({"water/charge-imbalance"})),
    Fault("iron", "ions/iron-high", _water(iron=0.8), frozenset({"water/charge-imbalance"})),
    Fault("a misplaced digit in the sodium", "water/charge-imbalance", _water(sodium=190),
          _salty_minerals("sodium")),
    Fault("no strike volume", "recipe/no-mash-water", _no_strike, PH),
    Fault("sparge far too hot", "sparge/temperature-high", _hot_sparge),
    Fault("batch twice as large", "recipe/volumes-do-not-add-up",
          _stated({"batch_size": quantity(42, "l")})),
    Fault("gravity of another beer", "recipe/gravity-against-grist",
          _stated({"original_gravity": quantity(1.090, "sg")})),
    Fault("colour of another beer", "recipe/colour-against-malts",
          _stated({"color_estimate": quantity(150, "EBC")})),
    Fault("alcohol of another beer", "recipe/abv-against-gravities",
          _stated({"alcohol_by_volume": quantity(9, "%")})),
    Fault("bitterness of another beer", "recipe/bitterness-against-hops",
          _stated({"ibu_estimate": {"method": "Other", "value": quantity(110, "IBUs")}})),
    Fault("acid only in the notes", "addition/notes-agents-not-counted",
          _stated({"notes": "Add 5 ml of phosphoric acid to the mash."})),
)  # fmt: skip

JSON_ONLY = frozenset({"nitrate of a farm well", "iron", "amount left out"})
"""BeerXML has no place for these ions and requires every amount."""


def recipe_of(name: str) -> Json:
    """Return a clean recipe in the terms of BeerJSON."""
    merged: Json = merge_patch(PLAIN_RECIPE, CLEAN[name])
    return copy.deepcopy({**merged, "name": f"Aldermoor {name}"})


def beerxml(recipe: Mapping[str, Any]) -> bytes:
    """Return the recipe as a BeerXML file: the same amounts in the units of that standard."""
    parts = recipe["ingredients"]
    steps = recipe["mash"]["mash_steps"]
    fields = {
        "NAME": recipe["name"],
        "VERSION": 1,
        "TYPE": "All Grain",
        "BREWER": recipe["author"],
        "BATCH_SIZE": recipe["batch_size"]["value"],
        "BOIL_SIZE": recipe["boil"]["pre_boil_size"]["value"],
        "BOIL_TIME": 60,
        "EFFICIENCY": 72,
        "OG": recipe["original_gravity"]["value"],
        "FG": recipe["final_gravity"]["value"],
        "ABV": f"{recipe['alcohol_by_volume']['value']} %",
        "EST_COLOR": f"{recipe['color_estimate']['value'] / EBC_PER_SRM:.2f} SRM",
        "IBU": f"{recipe['ibu_estimate']['value']['value']} IBU",
        "NOTES": recipe.get("notes", ""),
    }
    body = [_element(tag, value) for tag, value in fields.items()]
    body.append(_record("STYLE", _xml_style(recipe["style"])))
    body.append(_set("FERMENTABLES", "FERMENTABLE", map(_xml_malt, parts["fermentable_additions"])))
    body.append(_set("HOPS", "HOP", map(_xml_hop, parts["hop_additions"])))
    body.append(_set("MISCS", "MISC", map(_xml_misc, parts["miscellaneous_additions"])))
    body.append(_set("WATERS", "WATER", map(_xml_water, parts["water_additions"])))
    body.append(_set("YEASTS", "YEAST", [_XML_YEAST]))
    strike = {"NAME": "Rest", "VERSION": 1, "TYPE": "Infusion", "STEP_TEMP": 66, "STEP_TIME": 60}
    if "amount" in steps[0]:
        strike["INFUSE_AMOUNT"] = steps[0]["amount"]["value"]
    mash = {"NAME": "Mash", "VERSION": 1, "GRAIN_TEMP": 20}
    sparge = _element("SPARGE_TEMP", steps[1]["step_temperature"]["value"])
    inner = "".join(_element(tag, value) for tag, value in mash.items())
    body.append(f"<MASH>{inner}{_set('MASH_STEPS', 'MASH_STEP', [strike])}{sparge}</MASH>")
    text = "\n".join(body)
    xml = (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<RECIPES><RECIPE>\n{text}\n</RECIPE></RECIPES>\n'
    )
    return xml.encode()


_XML_YEAST = {
    "NAME": "Clean yeast",
    "VERSION": 1,
    "TYPE": "Ale",
    "FORM": "Dry",
    "AMOUNT": 0.011,
    "AMOUNT_IS_WEIGHT": "TRUE",
}


def _element(tag: str, value: object) -> str:
    return f"<{tag}>{escape(str(value))}</{tag}>"


def _record(tag: str, fields: Mapping[str, object]) -> str:
    inner = "".join(_element(name, value) for name, value in fields.items())
    return f"<{tag}>{inner}</{tag}>"


def _set(tag: str, member: str, records: Any) -> str:
    return f"<{tag}>\n" + "\n".join(_record(member, item) for item in records) + f"\n</{tag}>"


def _xml_style(item: Mapping[str, Any]) -> Json:
    code = f"{item['category_number']}{item['style_letter']}"
    row = next(row for row in reference_table("style_codes") if row["code"] == code)
    ranges = {
        f"{tag}_{end.upper()}": row[f"{column}_{'low' if end == 'min' else 'high'}"]
        for tag, column in (("OG", "og"), ("IBU", "ibu"), ("COLOR", "srm"))
        for end in ("min", "max")
    }
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "CATEGORY": item["category"],
        "CATEGORY_NUMBER": item["category_number"],
        "STYLE_LETTER": item["style_letter"],
        "STYLE_GUIDE": "BJCP 2021",
        "TYPE": "Ale",
        **ranges,
        "FG_MIN": 1.006,
        "FG_MAX": 1.016,
    }


def _xml_malt(item: Mapping[str, Any]) -> Json:
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "TYPE": "Adjunct" if item.get("grain_group") == "flaked" else "Grain",
        "AMOUNT": item["amount"]["value"],
        "YIELD": 80,
        "COLOR": item["color"]["value"],
    }


def _xml_hop(item: Mapping[str, Any]) -> Json:
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "ALPHA": item["alpha_acid"]["value"],
        "AMOUNT": item["amount"]["value"] / 1000,
        "USE": "Boil",
        "TIME": item["timing"]["duration"]["value"],
    }


_USES = {"add_to_mash": "Mash", "add_to_boil": "Boil", "add_to_fermentation": "Primary"}
_TO_XML = {"g": 0.001, "kg": 1.0, "ml": 0.001, "l": 1.0}


def _xml_misc(item: Mapping[str, Any]) -> Json:
    timing, amount = item["timing"], item["amount"]
    use = "Sparge" if timing.get("step") == 2 else _USES[timing["use"]]
    return {
        "NAME": item["name"],
        "VERSION": 1,
        "TYPE": "Water Agent",
        "USE": use,
        "TIME": 60,
        "AMOUNT": f"{amount['value'] * _TO_XML[amount['unit']]:.9f}".rstrip("0"),
        "AMOUNT_IS_WEIGHT": "TRUE" if amount["unit"] in ("g", "kg") else "FALSE",
    }


def _xml_water(item: Mapping[str, Any]) -> Json:
    record: Json = {"NAME": item["name"], "VERSION": 1, "AMOUNT": 20}
    for ion in ("calcium", "bicarbonate", "sulfate", "chloride", "sodium", "magnesium"):
        record[ion.upper()] = item[ion]["value"]
    return record


@dataclass(frozen=True)
class Outcome:
    """What was said of one recipe with one fault (or none: rule empty)."""

    recipe: str
    standard: str
    fault: str
    rule: str
    found: bool
    alarms: tuple[str, ...]


def spoken(recipe: Json, standard: str, config: Mapping[str, Any]) -> set[tuple[str, Severity]]:
    """Return rules and severities on a recipe written in a standard; safety notes left out."""
    data = document(recipe) if standard == "beerjson" else beerxml(recipe)
    options = options_from_table(dict(config)) if config else Options()
    file = check_bytes(data, f"planted.{standard}", options)
    return {(item.rule, item.severity or Severity.ERROR) for item in file.findings}


def outcome(name: str, standard: str, fault: Fault | None) -> Outcome:
    """Plant a fault and check. An alarm is a warning or error that nobody expects."""
    recipe = recipe_of(name)
    if fault is not None:
        fault.plant(recipe)
    said = spoken(recipe, standard, fault.config if fault is not None else {})
    expected = {fault.rule} | fault.beside if fault is not None else set()
    alarms = tuple(
        sorted(rule for rule, level in said if level > Severity.NOTE and rule not in expected)
    )
    rule = fault.rule if fault is not None else ""
    found = fault is None or any(rule == name for name, _ in said)
    return Outcome(name, standard, fault.name if fault else "", rule, found, alarms)


def outcomes() -> list[Outcome]:
    """Return the outcome of every fault in every recipe and standard, clean ones first."""
    rows = []
    for name in CLEAN:
        for standard in ("beerjson", "beerxml"):
            rows.append(outcome(name, standard, None))
            for fault in FAULTS:
                if standard == "beerxml" and fault.name in JSON_ONLY:
                    continue
                rows.append(outcome(name, standard, fault))
    return rows


def table(rows: list[Outcome]) -> str:
    """Return how many of each fault were found and what else was said."""
    lines = [f"{'fault':34} {'rule':34} found   false alarms"]
    for fault in FAULTS:
        mine = [row for row in rows if row.fault == fault.name]
        alarms = sorted({alarm for row in mine for alarm in row.alarms})
        hit = f"{sum(row.found for row in mine)}/{len(mine)}"
        lines.append(f"{fault.name:34} {fault.rule:34} {hit:7} {', '.join(alarms)}")
    clean = [row for row in rows if not row.fault]
    lines.append(f"clean recipes: {len(clean)}, alarms: {sum(bool(row.alarms) for row in clean)}")
    planted = [row for row in rows if row.fault]
    lines.append(
        f"planted: {len(planted)}, found: {sum(row.found for row in planted)}, "
        f"with false alarms: {sum(bool(row.alarms) for row in planted)}"
    )
    return "\n".join(lines)


if __name__ == "__main__":
    print(table(outcomes()))
