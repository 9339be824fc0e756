"""Clean recipes of all families, each drawn from a seed.

Style, grist, batch, thickness, water, units, language and standard vary. Salts and acid are worked
out (`salting`) so that ions and mash pH are those of the style; the rest is arithmetic of
`brewing`. Whether the linter likes a recipe plays no part in drawing it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Any

from recipe_tools.config.load import options_from_table
from recipe_tools.reference import table as reference_table
from recipe_tools.rules.examples import dose, quantity
from tests.planted.beers import BEERS, MALTS, Beer
from tests.planted.brewing import EBC_PER_SRM, extract_points, morey_srm, tinseth_ibu
from tests.planted.names import AGENT_NAMES, OTHER_ADDITIONS
from tests.planted.salting import salted
from tests.planted.waters import PURE_NAMES, TAP_NAMES, pure, record, report, tap

Json = dict[str, Any]
ABSORPTION_L_KG = 1.0
DEAD_SPACE_L = 0.5
TRIES = 40


@dataclass(frozen=True)
class Drawn:
    """A clean recipe in metric BeerJSON, how it is to be written, and its configuration."""

    recipe: Json
    standard: str
    us_units: bool
    config: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class _Brew:
    """The beer before its water: grist as (malt key or 'sugar', kilograms), litres, numbers."""

    beer: Beer
    grist: tuple[tuple[str, float], ...]
    og: float
    ibu: float
    srm: float
    efficiency: float
    batch_l: float
    boil_l: float
    mash_l: float
    sparge_l: float


def drawn(seed: int) -> Drawn:
    """Return the recipe of a seed. Raises RuntimeError where none can be brewed from it."""
    chance = Random(seed)
    for _ in range(TRIES):
        brew = _brew(chance)
        if brew is None:
            continue
        for hardness in _waters_to_try(chance, brew):
            made = _with_water(chance, brew, hardness)
            if made is not None:
                return made
    raise RuntimeError(f"no recipe for seed {seed}")


def _between(chance: Random, low: float, high: float, margin: float = 0.15) -> float:
    slack = margin * (high - low)
    return chance.uniform(low + slack, high - slack)


def _brew(chance: Random) -> _Brew | None:
    beer = chance.choice(BEERS)
    row = next(row for row in reference_table("style_codes") if row["code"] == beer.code)
    og, ibu, srm = (
        _between(chance, float(row[f"{name}_low"]), float(row[f"{name}_high"]))
        for name in ("og", "ibu", "srm")
    )
    if og > 1.095:
        og = _between(chance, float(row["og_low"]), 1.095)
    batch_l = float(chance.choice((10, 12, 15, 19, 20, 21, 23, 25, 30, 38, 45, 50, 60)))
    efficiency = float(chance.randint(60, 70) if og > 1.07 else chance.randint(65, 82))
    grist = _grist(chance, beer, og, srm, efficiency, batch_l)
    if grist is None:
        return None
    colour = morey_srm([(kg, _lovibond(name)) for name, kg in grist], batch_l)
    if not float(row["srm_low"]) <= colour <= float(row["srm_high"]):
        return None
    mashed = sum(kilograms for name, kilograms in grist if name != "sugar")
    boil_l = round(batch_l * chance.uniform(1.1, 1.2) + 1.0, 1)
    needed = boil_l + ABSORPTION_L_KG * mashed + DEAD_SPACE_L
    thickness = chance.uniform(2.3, 4.2)
    mash_l = round(thickness * mashed, 1)
    sparge_l = round(needed - mash_l, 1)
    if sparge_l < 0.15 * needed or chance.random() < 0.08:
        mash_l, sparge_l = round(needed, 1), 0.0
        if mash_l > 7.5 * mashed:
            return None
    return _Brew(
        beer, grist, round(og, 3), round(ibu), colour, efficiency, batch_l, boil_l, mash_l, sparge_l
    )


def _lovibond(name: str) -> float:
    return 1.0 if name == "sugar" else MALTS[name].lovibond


def _grist(
    chance: Random, beer: Beer, og: float, srm: float, efficiency: float, litres: float
) -> tuple[tuple[str, float], ...] | None:
    """Return kilograms that give gravity and, by the share of one malt, the colour."""
    shares = {name: chance.uniform(low, high) for name, low, high in beer.fill}
    shares = {name: share for name, share in shares.items() if share > 0.015}
    base, colouring = chance.choice(beer.base), chance.choice(beer.colour)
    if base in ("pils", "two_row", "pale") and srm < 8 and chance.random() < 0.25:
        shares["acidulated"] = chance.uniform(0.01, 0.035)
    low, high = 0.0, beer.most
    weights: tuple[tuple[str, float], ...] = ()
    for _ in range(30):
        middle = (low + high) / 2.0
        rest = 1.0 - sum(shares.values()) - middle
        if rest < 0.2:
            return None
        parts = [(base, rest), *shares.items(), (colouring, middle)]
        weights = _weights(parts, og, efficiency, litres, beer.sugar)
        got = morey_srm([(kg, _lovibond(name)) for name, kg in weights], litres)
        low, high = (middle, high) if got < srm else (low, middle)
    return tuple((name, kg) for name, kg in weights if kg >= 0.01)


def _weights(
    parts: list[tuple[str, float]], og: float, efficiency: float, litres: float, sugar: float
) -> tuple[tuple[str, float], ...]:
    points = 1000.0 * (og - 1.0)
    each = sum(
        extract_points(share, MALTS[name].extract, efficiency, litres) for name, share in parts
    )
    grain = points * (1.0 - sugar) / each
    found = [(name, round(grain * share, 3)) for name, share in parts]
    if sugar:
        kilograms = points * sugar / extract_points(1.0, 100.0, 100.0, litres)
        found.append(("sugar", round(kilograms, 3)))
    return tuple(found)


def _waters_to_try(chance: Random, brew: _Brew) -> tuple[str, ...]:
    """Return kinds of water, first what the brewer happens to have, at last reverse osmosis."""
    kinds = ["soft", "medium", "hard", "blend", "report", "pure"]
    first = chance.choice(kinds)
    return (first, "blend", "pure", "soft") if brew.srm < 12 else (first, "medium", "hard", "blend")


def _with_water(chance: Random, brew: _Brew, kind: str) -> Drawn | None:
    total = brew.mash_l + brew.sparge_l
    records, config = _waters(chance, kind, total)
    standard = chance.choice(("beerjson", "beerxml"))
    us_units = standard == "beerjson" and chance.random() < 0.4
    recipe = salted(chance, _recipe(chance, brew, records), options_from_table(dict(config)))
    if recipe is None:
        return None
    language = chance.choice(("en", "en", "en", "de", "fr", "es", "pl", "it", "formula"))
    miscs = recipe["ingredients"]["miscellaneous_additions"]
    for item in miscs:
        item["name"] = AGENT_NAMES.get(item["name"], {}).get(language) or item["name"]
    if "chlorine_mg_l" in config.get("water", {}):
        need = 1.34 * 1.15 * config["water"]["chlorine_mg_l"] * total / 1000.0
        miscs.append(dose("Sodium metabisulfite", round(max(need, 0.1), 2)))
    return Drawn(recipe, standard, us_units, config)


def _waters(chance: Random, kind: str, total: float) -> tuple[list[Json], Mapping[str, Any]]:
    name = chance.choice(TAP_NAMES)
    if kind == "pure":
        return [record(chance.choice(PURE_NAMES), pure(), total)], {}
    if kind == "blend":
        share = round(chance.uniform(0.2, 0.7), 2)
        ions = tap(chance, chance.choice(("medium", "hard")))
        return [
            record(name, ions, total * (1.0 - share)),
            record(chance.choice(PURE_NAMES), pure(), total * share),
        ], {}
    if kind == "report":
        chlorine = chance.choice((None, None, 0.3, 0.6))
        return [], report(tap(chance, chance.choice(("soft", "medium"))), chlorine)
    ph = round(chance.uniform(7.0, 8.0), 1) if chance.random() < 0.5 else None
    return [record(name, tap(chance, kind), total, ph)], {}


def _recipe(chance: Random, brew: _Brew, records: list[Json]) -> Json:
    row = next(row for row in reference_table("style_codes") if row["code"] == brew.beer.code)
    number, letter = brew.beer.code[:-1], brew.beer.code[-1]
    language = chance.randrange(8)
    points = 1000.0 * (brew.og - 1.0)
    fg = round(1.0 + points * chance.uniform(0.2, 0.26) / 1000.0, 3)
    recipe: Json = {
        "name": f"Aldermoor {row['name']} no. {chance.randint(1, 99)}",
        "type": "all grain",
        "author": "Aldermoor Brewing Circle",
        "batch_size": quantity(brew.batch_l, "l"),
        "efficiency": {"brewhouse": quantity(brew.efficiency, "%")},
        "style": {
            "name": chance.choice(brew.beer.names),
            "category": row["name"],
            "category_number": int(number),
            "style_letter": letter,
            "style_guide": "BJCP 2021",
            "type": "beer",
        },
        "ingredients": {
            "fermentable_additions": [_malt(name, kg, language) for name, kg in brew.grist],
            "hop_additions": _hops(chance, brew),
            "miscellaneous_additions": _others(chance, brew),
            "culture_additions": [
                {
                    "name": "Clean yeast",
                    "type": "ale",
                    "form": "dry",
                    "amount": quantity(11, "g"),
                    "attenuation": quantity(77, "%"),
                }
            ],
            "water_additions": records,
        },
        "mash": {
            "name": "Mash",
            "grain_temperature": quantity(20, "C"),
            "mash_steps": _steps(chance, brew),
        },
        "boil": {
            "pre_boil_size": quantity(brew.boil_l, "l"),
            "boil_time": quantity(chance.choice((60, 75, 90)), "min"),
            "boil_steps": [],
        },
        "original_gravity": quantity(brew.og, "sg"),
        "final_gravity": quantity(fg, "sg"),
        "alcohol_by_volume": quantity(round(131.25 * (brew.og - fg), 1), "%"),
        "color_estimate": quantity(round(EBC_PER_SRM * brew.srm, 1), "EBC"),
        "ibu_estimate": {"method": "Tinseth", "value": quantity(brew.ibu, "IBUs")},
    }
    notes = chance.choice(_NOTES)
    if notes:
        recipe["notes"] = notes
    return recipe


_NOTES = (
    "",
    "",
    "Mash in slowly, stir, rest an hour. Run off until the kettle is full.",
    "Einmaischen bei 67 °C, 60 Minuten Rast, bei 77 °C abläutern. Kalt reifen lassen.",
    "Brassée pour la fête du village; à boire jeune.",
    "Warzyć spokojnie, fermentacja w 18 °C.",
)


def _malt(name: str, kilograms: float, language: int) -> Json:
    if name == "sugar":
        return {
            "name": "Sugar",
            "type": "sugar",
            "yield": {"fine_grind": quantity(100, "%")},
            "color": quantity(1.0, "Lovi"),
            "amount": quantity(kilograms, "kg"),
            "timing": {"use": "add_to_boil"},
        }
    malt = MALTS[name]
    return {
        "name": malt.names[language % len(malt.names)],
        "type": "grain",
        "grain_group": malt.group,
        "yield": {"fine_grind": quantity(malt.extract, "%")},
        "color": quantity(malt.lovibond, "Lovi"),
        "amount": quantity(kilograms, "kg"),
        "timing": {"use": "add_to_mash"},
    }


def _hops(chance: Random, brew: _Brew) -> list[Json]:
    """Return a bittering and a late addition that give the bitterness together."""
    late_share = chance.uniform(0.1, 0.4)
    found = []
    boil_gravity = 1.0 + (brew.og - 1.0) * brew.batch_l / brew.boil_l
    for number, (minutes, share) in enumerate(((60, 1.0 - late_share), (15, late_share)), start=1):
        alpha = round(chance.uniform(3.5, 13.0), 1)
        grams = brew.ibu * share / tinseth_ibu(1.0, alpha, minutes, brew.batch_l, boil_gravity)
        found.append(
            {
                "name": f"Hop {number}",
                "alpha_acid": quantity(alpha, "%"),
                "amount": quantity(round(grams, 1), "g"),
                "timing": {"use": "add_to_boil", "duration": quantity(minutes, "min")},
            }
        )
    return found


def _others(chance: Random, brew: _Brew) -> list[Json]:
    """Return additions that have nothing to do with the water, and the salt of a Gose."""
    found = []
    for name, grams_l, kind, use in chance.sample(OTHER_ADDITIONS, chance.choice((0, 0, 1, 2))):
        found.append(dose(name, round(grams_l * brew.batch_l, 1), use=use, kind=kind))
    if brew.beer.salted:
        found.append(dose("Table salt", round(0.5 * brew.batch_l, 1), use="add_to_boil"))
    return found


def _steps(chance: Random, brew: _Brew) -> list[Json]:
    strike: Json = {
        "name": "Saccharification",
        "type": "infusion",
        "amount": quantity(brew.mash_l, "l"),
        "step_temperature": quantity(chance.choice((63, 65, 66, 67, 68)), "C"),
        "step_time": quantity(60, "min"),
    }
    if not brew.sparge_l:
        return [strike]
    sparge: Json = {
        "name": "Sparge",
        "type": "sparge",
        "amount": quantity(brew.sparge_l, "l"),
        "step_temperature": quantity(chance.choice((74, 75, 76, 77)), "C"),
        "step_time": quantity(60, "min"),
    }
    return [strike, sparge]
