"""Invented brew days in all sorts of water: what the dosing is tried on, drawn from a seed."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Any

from recipe_tools.config import Options, ShelfItem
from recipe_tools.dosing import Proposal, Request
from recipe_tools.dosing.records import Split
from recipe_tools.formats import beerjson
from recipe_tools.limits import Limits
from recipe_tools.recipe import Recipe
from recipe_tools.rules.examples import document, malt, quantity, step

STYLES = (
    ("German Pils", "5D"),
    ("Czech Premium Pale Lager", "3B"),
    ("Munich Helles", "4A"),
    ("Munich Dunkel", "8A"),
    ("Weissbier", "10A"),
    ("Ordinary Bitter", "11A"),
    ("Dark Mild", "13A"),
    ("Irish Stout", "15B"),
    ("Oatmeal Stout", "16B"),
    ("American Porter", "20A"),
    ("American Pale Ale", "18B"),
    ("American IPA", "21A"),
    ("Hazy IPA", "21C"),
    ("Blonde Ale", "18A"),
    ("Altbier", "7B"),
    ("Imperial Stout", "20C"),
    ("Gose", "23G"),
    ("Saison", "25B"),
    ("Belgian Tripel", "26C"),
    ("German Helles Exportbier", "5C"),
)

SHELVES = (
    (),
    (
        ShelfItem("gypsum"),
        ShelfItem("calcium_chloride_dihydrate"),
        ShelfItem("phosphoric_acid", strength_percent=10.0),
        ShelfItem("pure_water"),
        ShelfItem("campden_tablet_potassium"),
    ),
    (
        ShelfItem("gypsum"),
        ShelfItem("calcium_chloride_solution", strength_percent=33.0),
        ShelfItem("lactic_acid", strength_percent=88.0),
        ShelfItem("slaked_lime"),
        ShelfItem("pure_water"),
    ),
    (
        ShelfItem("gypsum", scale_g=0.5),
        ShelfItem("sodium_metabisulfite", scale_g=0.01),
        ShelfItem("calcium_chloride_anhydrous", purity_percent=94.0),
        ShelfItem("epsom_salt"),
        ShelfItem("table_salt"),
        ShelfItem("baking_soda"),
        ShelfItem("hydrochloric_acid", strength_percent=10.0),
        ShelfItem("pure_water"),
    ),
    (
        ShelfItem("gypsum"),
        ShelfItem("potassium_chloride"),
        ShelfItem("magnesium_chloride_hexahydrate"),
        ShelfItem("citric_acid_monohydrate"),
        ShelfItem("lactic_acid", strength_percent=80.0),
        ShelfItem("potassium_bicarbonate"),
        ShelfItem("pure_water"),
    ),
    (
        ShelfItem("gypsum"),
        ShelfItem("calcium_chloride_dihydrate"),
        ShelfItem("acidulated_malt"),
        ShelfItem("sulfuric_acid", strength_percent=10.0),
    ),
    (ShelfItem("calcium_chloride_dihydrate"), ShelfItem("lactic_acid", strength_percent=80.0)),
    (ShelfItem("gypsum"), ShelfItem("pure_water")),
)


@dataclass(frozen=True, slots=True)
class Case:
    """A recipe as a BeerJSON object, with its options and what is asked for."""

    seed: int
    body: dict[str, Any]
    options: Options
    request: Request

    def recipe(self) -> Recipe:
        """Return the recipe as the reader finds it."""
        return read_recipe(self.body)


def read_recipe(body: dict[str, Any]) -> Recipe:
    """Return a recipe through its serialised file."""
    return beerjson.read(document(body), Limits()).recipes[0]


def case(seed: int) -> Case:
    """Return the case of a seed."""
    draw = random.Random(seed)
    shelf = draw.choice(SHELVES)
    chlorine = draw.choice((None, None, 0.3, 1.2))
    options = Options(shelf=shelf, chlorine_mg_l=chlorine, chloramine=draw.random() < 0.3)
    body = _body(draw)
    # A recipe that states its own mash pH is not asked for another one.
    states_ph = "end_ph" in body["mash"]["mash_steps"][0]
    target = None if states_ph else draw.choice((None, None, None, 5.3, 5.45))
    split: Split = draw.choice(("by_volume", "mash"))
    request = Request(target_ph=target, replace=draw.random() < 0.3, split=split)
    return Case(seed, body, options, request)


def _body(draw: random.Random) -> dict[str, Any]:
    name, code = draw.choice(STYLES)
    dark = name.split()[-1] in ("Stout", "Porter", "Mild", "Dunkel", "Altbier")
    grist = _grist(draw, dark)
    kilograms = sum(item["amount"]["value"] for item in grist)
    litres = round(draw.uniform(2.2, 4.5) * kilograms, 1)
    steps = [step("Saccharification", "infusion", litres, 66)]
    if draw.random() < 0.8:
        steps.append(step("Sparge", "sparge", round(draw.uniform(5.0, 16.0), 1), 75))
    if draw.random() < 0.1:
        steps[0]["end_ph"] = quantity(draw.choice((5.3, 5.4, 5.5)), "pH")
    return {
        "name": f"Fen beer {name}",
        "type": "all grain",
        "author": "Aldermoor Brewing Circle",
        "batch_size": quantity(draw.choice((10.0, 20.0, 25.0)), "l"),
        "efficiency": {"brewhouse": quantity(72, "%")},
        "style": {
            "name": name,
            "category_number": int(code[:-1]),
            "style_letter": code[-1],
            "style_guide": "BJCP 2021",
            "type": "beer",
        },
        "ingredients": {
            "fermentable_additions": grist,
            "miscellaneous_additions": _own_additions(draw),
            "water_additions": [_water(draw)],
        },
        "mash": {"name": "Mash", "grain_temperature": quantity(20, "C"), "mash_steps": steps},
    }


def _grist(draw: random.Random, dark: bool) -> list[dict[str, Any]]:
    base = draw.choice((("Pilsner malt", 1.8), ("Pale ale malt", 2.8), ("Munich malt", 8.0)))
    grist = [malt(base[0], round(draw.uniform(2.0, 6.0), 2), base[1])]
    if draw.random() < 0.5:
        grist.append(malt("Wheat malt", round(draw.uniform(0.2, 2.0), 2), 2.0))
    if draw.random() < 0.5:
        colour = draw.choice((10.0, 40.0, 80.0))
        grist.append(malt("Caramel malt", round(draw.uniform(0.1, 0.6), 2), colour, "caramel"))
    if dark:
        grist.append(malt("Roasted barley", round(draw.uniform(0.1, 0.5), 2), 500.0, "roasted"))
    return grist


def _water(draw: random.Random) -> dict[str, Any]:
    """Return a water record whose charges balance, from next to nothing to very hard."""
    size = draw.choice((0.02, 0.3, 0.6, 1.0, 1.6, 2.4))
    calcium, magnesium = size * draw.uniform(20, 70), size * draw.uniform(1, 15)
    sodium = size * draw.choice((5.0, 15.0, 30.0, 60.0))
    charge = calcium / 20.039 + magnesium / 12.1525 + sodium / 22.990
    parts = [draw.uniform(0.2, 1.0), draw.uniform(0.05, 0.5), draw.uniform(0.05, 0.6)]
    bicarbonate, chloride, sulfate = (charge * part / sum(parts) for part in parts)
    record: dict[str, Any] = {"name": "Aldermoor tap", "amount": quantity(30.0, "l")}
    amounts = {
        "calcium": calcium,
        "magnesium": magnesium,
        "sodium": sodium,
        "chloride": 35.45 * chloride,
        "sulfate": 48.028 * sulfate,
        "bicarbonate": 61.016 * bicarbonate,
    }
    for ion, amount in amounts.items():
        record[ion] = quantity(round(amount, 1), "mg/l")
    if draw.random() < 0.5:
        record["pH"] = round(draw.uniform(6.5, 8.2), 1)
    return record


def _own_additions(draw: random.Random) -> list[dict[str, Any]]:
    """Return what the recipe adds by itself: mostly nothing."""
    found: list[dict[str, Any]] = []
    if draw.random() < 0.75:
        return found
    choices = (
        ("Gypsum (calcium sulfate dihydrate)", "g", "add_to_mash"),
        ("Calcium chloride dihydrate", "g", "add_to_mash"),
        ("Epsom salt", "g", "add_to_boil"),
        ("Lactic acid 80 %", "ml", "add_to_mash"),
        ("Potassium metabisulfite", "g", "add_to_mash"),
        ("Baking soda", "g", "add_to_mash"),
    )
    for name, unit, use in draw.sample(choices, draw.choice((1, 2))):
        amount = 0.1 if "sulfite" in name else round(draw.uniform(0.5, 4.0), 1)
        found.append(
            {
                "name": name,
                "type": "water agent",
                "amount": quantity(amount, unit),
                "timing": {"use": use},
            }
        )
    return found


def with_plan(body: dict[str, Any], proposal: Proposal) -> dict[str, Any]:
    """Return the body as a brewer would write it with a plan in it."""
    assert proposal.planned is not None
    places = {item.origin.path for item in proposal.planned.additions if item.origin.path}
    prefix = "/beerjson/recipes/0/ingredients/miscellaneous_additions/"
    ingredients = dict(body["ingredients"])
    additions = [
        item
        for place, item in enumerate(ingredients["miscellaneous_additions"])
        if f"{prefix}{place}" in places
    ]
    sparge = [
        place
        for place, item in enumerate(body["mash"]["mash_steps"], start=1)
        if item["type"] == "sparge"
    ]
    for item in proposal.planned.additions:
        if item.origin.path:
            continue
        timing: dict[str, Any] = {"use": "add_to_mash"}
        if item.use == "sparge":
            timing["step"] = sparge[0]
        amount = quantity(item.amount or 0.0, {"g": "g", "ml": "ml", "L": "l"}[item.unit])
        kind = "other" if item.kind == "other" else "water agent"
        additions.append({"name": item.name, "type": kind, "amount": amount, "timing": timing})
    ingredients["miscellaneous_additions"] = additions
    if proposal.swap is not None:
        grist = [dict(item) for item in ingredients["fermentable_additions"]]
        largest = max(grist, key=lambda item: item["amount"]["value"])
        left = round(largest["amount"]["value"] - proposal.swap.kilograms, 6)
        largest["amount"] = quantity(left, "kg")
        grist.append(malt("Acidulated malt", proposal.swap.kilograms, 2.5, "specialty"))
        ingredients["fermentable_additions"] = grist
    return {**body, "ingredients": ingredients}
