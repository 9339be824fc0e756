"""What each finding must hand over on the failing example of its rule, worked out beforehand.

Numbers follow from molar masses and from the sources named beside them, not from the rules.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import periodictable

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.findings import Confidence, Severity

NOTE, WARNING, ERROR = Severity.NOTE, Severity.WARNING, Severity.ERROR
CERTAIN, LIKELY = Confidence.CERTAIN, Confidence.LIKELY

MASH_L, SPARGE_L, BATCH_L, GRIST_KG = 13.0, 15.5, 20.0, 4.2
ALL_L = MASH_L + SPARGE_L
CACO3_MG_MEQ = periodictable.formula("CaCO3").mass / 2
HCO3_MG_MEQ = periodictable.formula("HCO3").mass
LACTIC_MMOL_ML = 1.19 * 0.80 * 1000 / periodictable.formula("C3H6O3").mass
"""Lactic acid of 80 %: density 1.19 kg/L (handbook, from memory)."""
LACTIC_MEQ_ML = LACTIC_MMOL_ML / (1 + 10 ** (3.86 - 5.4))
"""What it gives off at pH 5.4 (pKa 3.86, handbook)."""


@dataclass(frozen=True)
class Shown:
    """Equal to a number that lies this close and has no more than so many decimals."""

    value: float
    digits: int = 0

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, int | float) or isinstance(other, bool):
            return False
        step = 10.0**-self.digits
        exact = math.isclose(other / step, round(other / step), abs_tol=1e-6)
        return exact and abs(other - self.value) <= 0.7 * step

    __hash__ = None  # type: ignore[assignment]


def brought(grams: float, compound: str, element: str, count: int = 1) -> float:
    """Return mg/L of an element (or of count atoms of it) that a salt brings to all water."""
    atoms = count * periodictable.formula(element).mass
    return float(1000 * grams * atoms / periodictable.formula(compound).mass / ALL_L)


GYPSUM, CALCIUM_CHLORIDE = "CaSO4(H2O)2", "CaCl2(H2O)2"
PLAIN_CALCIUM = 25 + brought(2, GYPSUM, "Ca") + brought(2, CALCIUM_CHLORIDE, "Ca")
PLAIN_CHLORIDE = 22 + brought(2, CALCIUM_CHLORIDE, "Cl", 2)
PLAIN_SULFATE = 30 + brought(2, GYPSUM, "SO4")


def ion(
    name: str, value: Shown, limit: float, side: str = "above", water: str | None = None
) -> dict[str, Any]:
    """Return the values of a finding on an ion that is exactly known."""
    return {
        "ion": name,
        "water": water or "all brewing water together",
        "side": side,
        "value": value,
        "low": value,
        "high": value,
        "limit": limit,
        "unit": "mg/L",
    }


def at_least(name: str, value: Shown, limit: float) -> dict[str, Any]:
    """Return the values of a finding on an ion of which the source may hold any amount more."""
    return {**ion(name, value, limit), "high": None}


def tap(name: str, value: Shown, limit: float) -> dict[str, Any]:
    """Return the values of a finding on a trace of the source water."""
    return ion(name, value, limit, water="the source water")


def ends(estimate: Estimate, digits: int, unit: str, limit: object) -> dict[str, Any]:
    """Return the values of a finding on an estimate with its band."""
    return {
        "value": Shown(estimate.best, digits),
        "low": Shown(estimate.low, digits),
        "high": Shown(estimate.high, digits),
        "limit": limit,
        "unit": unit,
    }


MISCS, WATERS = "ingredients/miscellaneous_additions", "ingredients/water_additions"
INTO_MASH = (("mash/mash_steps/0", "goes into the mash water"),)
HYDRATES = ["calcium_chloride_dihydrate", "calcium_chloride_anhydrous"]
CAMPDEN = "Campden tablet (sodium metabisulfite)"
GYPSUM_NAME = "Gypsum (calcium sulfate dihydrate)"
SO2_PER_SULFITE = 2 * periodictable.formula("SO2").mass / periodictable.formula("Na2S2O5").mass
SO2_PER_CL2 = periodictable.formula("SO2").mass / periodictable.formula("Cl2").mass

Expected = tuple[Severity, Confidence, Mapping[str, Any], tuple[tuple[str, str], ...]]

EXPECTED: dict[str, Expected] = {
    "addition/acid-and-base-together": (
        WARNING,
        CERTAIN,
        {
            "value": "mash",
            "acid": Shown(3 * LACTIC_MEQ_ML, 1),
            "base": Shown(2000 / periodictable.formula("NaHCO3").mass, 1),
            "unit": "mEq",
        },
        ((f"{MISCS}/2", "the acid"),),
    ),
    "addition/amount-missing": (WARNING, CERTAIN, {"value": "Epsom salt"}, ()),
    "addition/below-scale-resolution": (
        NOTE,
        CERTAIN,
        {"value": 0.03, "limit": 0.1, "unit": "g"},
        (),
    ),
    "addition/blend-unknown": (WARNING, CERTAIN, {"value": "Water treatment salts"}, ()),
    "addition/cleaner-as-agent": (ERROR, CERTAIN, {"value": "sodium_hydroxide"}, ()),
    "addition/duplicate": (
        NOTE,
        LIKELY,
        {"value": GYPSUM_NAME},
        ((f"{MISCS}/0", "first entry"),),
    ),
    "addition/hydrate-ambiguous": (
        NOTE,
        LIKELY,
        {"value": "Calcium chloride", "candidates": HYDRATES},
        INTO_MASH,
    ),
    "addition/mass-flag-contradiction": (
        WARNING,
        LIKELY,
        {"value": GYPSUM_NAME},
        (("MASH/MASH_STEPS/MASH_STEP[1]", "goes into the mash water"),),
    ),
    "addition/not-food-grade-name": (
        ERROR,
        LIKELY,
        {"value": "Battery acid 37 %", "caution": "battery acid"},
        (),
    ),
    "addition/notes-agents-not-counted": (
        NOTE,
        LIKELY,
        {"value": "lactic acid", "agents": ["lactic acid"]},
        (),
    ),
    "addition/pieces-as-litres": (NOTE, LIKELY, {"value": CAMPDEN, "amount": 1.0}, ()),
    "addition/sparge-line-unclear": (
        WARNING,
        CERTAIN,
        {"value": "Into the sparge water of 15.5 L: a little Lactic acid 80 %.", "number": 1},
        (),
    ),
    "addition/solution-or-solid": (
        WARNING,
        LIKELY,
        {"value": "Calcium chloride (CaCl2) 33 %"},
        INTO_MASH,
    ),
    "addition/stage-unknown": (NOTE, LIKELY, {"value": "Epsom salt"}, ()),
    "addition/strength-missing": (
        WARNING,
        CERTAIN,
        {"value": "Phosphoric acid", "low": 10.0, "high": 85.0, "unit": "%"},
        INTO_MASH,
    ),
    "addition/sulfite-dose-high": (
        WARNING,
        CERTAIN,
        {
            # the supply may hold 5 mg/L of chlorine (WHO guideline value) and use up as much
            "value": Shown(2000 * SO2_PER_SULFITE / ALL_L - 5 * SO2_PER_CL2, 1),
            "low": Shown(2000 * SO2_PER_SULFITE / ALL_L - 5 * SO2_PER_CL2, 1),
            "high": Shown(2000 * SO2_PER_SULFITE / ALL_L, 1),
            "limit": 10,
            "unit": "mg/L as SO2",
        },
        (),
    ),
    "addition/sulfite-dose-low": (
        WARNING,
        LIKELY,
        {
            "value": Shown(10 * SO2_PER_SULFITE / ALL_L / SO2_PER_CL2, 2),
            "limit": 1.0,
            "unit": "mg/L as Cl2",
        },
        (),
    ),
    "addition/unit-slip": (
        ERROR,
        CERTAIN,
        {"value": GYPSUM_NAME, "amount": 2.0, "unit": "kg"},
        INTO_MASH,
    ),
    "addition/will-not-dissolve": (
        NOTE,
        LIKELY,
        {
            "value": Shown(5 / MASH_L, 3),
            "limit": 0.014,
            "unit": "g/L",
            "stage": "the mash water",
        },
        INTO_MASH,
    ),
    "addition/wrong-stage": (WARNING, CERTAIN, {"value": "Baking soda", "stage": "boil"}, ()),
    "ions/calcium-high": (
        WARNING,
        CERTAIN,
        ion("calcium", Shown(PLAIN_CALCIUM + brought(20, CALCIUM_CHLORIDE, "Ca"), 1), 200),
        (),
    ),
    "ions/calcium-low": (WARNING, CERTAIN, ion("calcium", Shown(11, 1), 40, "below"), ()),
    "ions/chloride-high": (
        ERROR,
        CERTAIN,
        ion(
            "chloride",
            Shown(
                PLAIN_CHLORIDE
                + brought(12, CALCIUM_CHLORIDE, "Cl", 2)
                + brought(4, "MgCl2(H2O)6", "Cl", 2),
                1,
            ),
            300,
        ),
        (
            (f"{MISCS}/3/amount", "Magnesium chloride hexahydrate 4.0 g also brings chloride"),
            (f"{MISCS}/1/amount", "Calcium chloride dihydrate 2.0 g also brings chloride"),
        ),
    ),
    "ions/copper-high": (WARNING, CERTAIN, tap("copper", Shown(0.5, 3), 0.1), ()),
    "ions/iron-high": (WARNING, CERTAIN, tap("iron", Shown(0.25, 3), 0.1), ()),
    "ions/magnesium-high": (
        WARNING,
        CERTAIN,
        ion("magnesium", Shown(4 + brought(15, "MgSO4(H2O)7", "Mg"), 1), 40),
        (),
    ),
    "ions/manganese-high": (WARNING, CERTAIN, tap("manganese", Shown(0.07, 4), 0.05), ()),
    "ions/nitrate-high": (WARNING, CERTAIN, tap("nitrate", Shown(38, 1), 25), ()),
    "ions/nitrite-high": (WARNING, CERTAIN, tap("nitrite", Shown(0.25, 3), 0.1), ()),
    "ions/outside-style": (
        NOTE,
        CERTAIN,
        ion("sulfate", Shown(PLAIN_SULFATE + brought(6, GYPSUM, "SO4"), 1), 150),
        (
            (f"{MISCS}/0/amount", f"{GYPSUM_NAME} 2.0 g also brings sulfate"),
            (f"{WATERS}/0/sulfate", "the source water also brings sulfate"),
        ),
    ),
    "ions/potassium-high": (
        NOTE,
        CERTAIN,
        at_least("potassium", Shown(brought(5, "KCl", "K"), 1), 50),
        (),
    ),
    "ions/ratio-against-style": (
        NOTE,
        CERTAIN,
        {
            "value": Shown(45 / (24 + brought(3.6, CALCIUM_CHLORIDE, "Cl", 2)), 2),
            "low": 0.7,
            "high": 2.0,
            "sulfate": 45.0,
            "chloride": Shown(24 + brought(3.6, CALCIUM_CHLORIDE, "Cl", 2), 1),
            "unit": "by mass",
        },
        (),
    ),
    "ions/sodium-high": (
        ERROR,
        CERTAIN,
        ion("sodium", Shown(12 + brought(15, "NaCl", "Na"), 1), 200),
        (),
    ),
    "ions/sodium-with-sulfate": (WARNING, CERTAIN, ion("sodium", Shown(85, 1), 70), ()),
    "ions/sulfate-high": (
        NOTE,
        CERTAIN,
        ion("sulfate", Shown(PLAIN_SULFATE + brought(14, GYPSUM, "SO4"), 1), 250),
        ((f"{MISCS}/0/amount", f"{GYPSUM_NAME} 2.0 g also brings sulfate"),),
    ),
    "ions/zinc-high": (
        WARNING,
        CERTAIN,
        at_least("zinc", Shown(brought(0.5, "ZnSO4(H2O)7", "Zn"), 2), 0.5),
        (),
    ),
    "mash-ph/acidulated-share-high": (
        WARNING,
        CERTAIN,
        {"value": 12.5, "limit": 10, "unit": "%"},
        (),
    ),
    "mash-ph/lactate-taste": (
        NOTE,
        LIKELY,
        {
            # acidulated malt: 336 mEq/kg, mean of 315 and 358 (Troester 2009); ends on tens
            "value": Shown(
                (12 * LACTIC_MMOL_ML + 0.1 * 336) * periodictable.formula("C3H5O3").mass / BATCH_L,
                -1,
            ),
            "limit": 400,
            "unit": "mg/L",
        },
        (),
    ),
    "mash-ph/not-predictable": (
        NOTE,
        CERTAIN,
        {"missing": ["no mashed grain with an amount", "no mash water volume"]},
        (),
    ),
    "mash-ph/thickness-outside-model": (
        NOTE,
        LIKELY,
        {
            "outside": ["6.9 L/kg: mashes of 2 to 5 L/kg were measured"],
            "value": Shown(29 / GRIST_KG, 1),
            "unit": "L/kg",
        },
        (),
    ),
    "recipe/no-mash-water": (WARNING, CERTAIN, {"value": GRIST_KG, "unit": "kg"}, ()),
    "recipe/style-unknown": (NOTE, CERTAIN, {"value": ""}, ()),
    "recipe/unlikely-value": (
        NOTE,
        LIKELY,
        {"value": 40, "limit": 25, "unit": "%"},
        (),
    ),
    "recipe/thickness-unusual": (
        WARNING,
        CERTAIN,
        {"value": Shown(5 / GRIST_KG, 2), "limit": 1.8, "unit": "L/kg"},
        (),
    ),
    "recipe/volumes-do-not-add-up": (
        WARNING,
        LIKELY,
        {
            # grain keeps at least 0.8 L/kg (common practice, from memory)
            "value": Shown(ALL_L - 0.8 * GRIST_KG, 1),
            "batch": 40.0,
            "unit": "L",
        },
        (),
    ),
    "recipe/abv-against-gravities": (
        NOTE,
        LIKELY,
        {
            "value": 7.0,
            # Hall 1995: 76.08 (OG - FG) / (1.775 - OG) percent by weight, times FG / 0.794
            "computed": Shown(76.08 * 0.036 / (1.775 - 1.046) * 1.010 / 0.794, 2),
            "unit": "% by volume",
        },
        (),
    ),
    "recipe/colour-against-malts": (
        NOTE,
        LIKELY,
        {
            "quantity": "colour",
            "value": 30.0,
            # Morey: SRM = 1.4922 MCU^0.6859, MCU in degrees Lovibond times lb per US gallon
            "computed": Shown(
                1.97
                * 1.4922
                * ((3.9 * 2.8 + 0.2 * 12 + 0.1 * 2) / 0.45359237 / (BATCH_L / 3.785411784))
                ** 0.6859,
                1,
            ),
            "unit": "EBC",
        },
        (),
    ),
    "sparge/base-added": (
        WARNING,
        CERTAIN,
        {
            "value": "Baking soda",
            "milliequivalents": Shown(3000 / periodictable.formula("NaHCO3").mass, 1),
        },
        (),
    ),
    "sparge/temperature-high": (
        WARNING,
        CERTAIN,
        {"value": 85.0, "limit": 78, "unit": "°C"},
        (),
    ),
    "water/alkalinity-unknown": (WARNING, CERTAIN, {"value": "alkalinity-missing"}, ()),
    "water/carbonate-at-low-ph": (WARNING, CERTAIN, {"value": "carbonate-below-8.3"}, ()),
    "water/chlorine-not-stated": (NOTE, CERTAIN, {"value": "water report"}, ()),
    "water/conductivity": (NOTE, LIKELY, {"value": 600, "unit": "µS/cm"}, ()),
    "water/dissolved-solids": (
        NOTE,
        LIKELY,
        # 25 + 4 + 12 + 22 + 30 mg/L, and 0.6 of the alkalinity as CaCO3 (Standard Methods 1030 E)
        {
            "value": 400,
            "computed": Shown(93 + 0.6 * 52 / HCO3_MG_MEQ * CACO3_MG_MEQ),
            "unit": "mg/L",
        },
        (),
    ),
    "water/hardness-only": (WARNING, CERTAIN, {"value": "hardness-only"}, ()),
    "water/ion-impossible": (
        ERROR,
        CERTAIN,
        {"ion": "sodium", "value": 12000.0, "limit": 5000, "unit": "mg/L"},
        (),
    ),
    "water/limit-of-another-body": (
        WARNING,
        CERTAIN,
        {"ion": "lead", "value": 0.007, "limit": 0.005, "body": "EU", "unit": "mg/L"},
        (),
    ),
    "water/report-contradiction": (WARNING, CERTAIN, {"value": "alkalinity-contradiction"}, ()),
    "water/taste-limit": (
        NOTE,
        CERTAIN,
        {"ion": "ammonium", "value": 0.8, "limit": 0.5, "body": "EU", "unit": "mg/L"},
        (),
    ),
    "water/bottled-water-as-addition": (
        WARNING,
        CERTAIN,
        {"value": "Bottled spring water", "litres": 12.0},
        (),
    ),
    "water/chloramine-treatment": (WARNING, LIKELY, {"value": "Ascorbic acid"}, ()),
    "water/chlorine-untreated": (
        WARNING,
        CERTAIN,
        {"ion": "chlorine", "value": 0.6, "limit": 0.05, "unit": "mg/L as Cl2"},
        (),
    ),
    "water/hardness-softened": (
        WARNING,
        LIKELY,
        {
            "value": 105.0,
            "calcium": 4.0,
            "alkalinity": Shown(200 / HCO3_MG_MEQ * CACO3_MG_MEQ),
            "unit": "mg/L",
        },
        (),
    ),
    "water/ion-above-drinking-limit": (
        ERROR,
        CERTAIN,
        {"ion": "nitrate", "value": 70.0, "limit": 50.0, "body": "WHO", "unit": "mg/L"},
        (),
    ),
    "water/calls-itself-target": (WARNING, LIKELY, {"value": "Hill water", "word": "Target"}, ()),
    "water/looks-like-target": (NOTE, LIKELY, {"value": "Hoppy pale ale profile"}, ()),
    "water/nitrate-with-nitrite": (
        ERROR,
        CERTAIN,
        {"value": Shown(40 / 50 + 1 / 3, 2), "limit": 1.0, "unit": "share of the limit"},
        (),
    ),
    "water/ph-implausible": (WARNING, CERTAIN, {"value": 5.2, "limit": 6.5, "unit": "pH"}, ()),
    "water/source-all-zero": (WARNING, CERTAIN, {"value": "Aldermoor well"}, ()),
    "water/source-unknown": (WARNING, CERTAIN, {"value": ""}, ()),
    "water/volume-is-batch-size": (
        NOTE,
        CERTAIN,
        {"value": 20.0, "unit": "L"},
        ((f"{WATERS}/1/amount", "'Aldermoor spring' too"),),
    ),
    "water/volume-mismatch": (
        NOTE,
        LIKELY,
        {"value": 50.0, "needed": ALL_L, "unit": "L"},
        ((f"{WATERS}/1/amount", "'Aldermoor spring'"),),
    ),
}

POINTERS = {
    "addition/acid-and-base-together": f"{MISCS}/3",
    "addition/agent-unknown": f"{MISCS}/2/name",
    "addition/amount-missing": f"{MISCS}/2",
    "addition/below-scale-resolution": f"{MISCS}/2/amount",
    "addition/blend-unknown": f"{MISCS}/2/name",
    "addition/cleaner-as-agent": f"{MISCS}/2/name",
    "addition/duplicate": f"{MISCS}/2",
    "addition/hydrate-ambiguous": f"{MISCS}/1/name",
    "addition/mass-flag-contradiction": "MISCS/MISC[3]/AMOUNT_IS_WEIGHT",
    "addition/not-food-grade-name": f"{MISCS}/2/name",
    "addition/notes-agents-not-counted": "notes",
    "addition/pieces-as-litres": "MISCS/MISC[3]/AMOUNT",
    "addition/sparge-line-unclear": "notes",
    "addition/solution-or-solid": f"{MISCS}/1/name",
    "addition/stage-unknown": f"{MISCS}/2",
    "addition/strength-missing": f"{MISCS}/2/name",
    "addition/sulfite-dose-high": f"{MISCS}/2/amount",
    "addition/sulfite-dose-low": f"{MISCS}/2/amount",
    "addition/unit-slip": f"{MISCS}/2/amount",
    "addition/will-not-dissolve": f"{MISCS}/2/amount",
    "addition/wrong-stage": f"{MISCS}/2/timing/use",
    "ions/calcium-high": f"{MISCS}/2/amount",
    "ions/calcium-low": f"{WATERS}/0/calcium",
    "ions/chloride-high": f"{MISCS}/2/amount",
    "ions/copper-high": "name",
    "ions/iron-high": f"{WATERS}/0/iron",
    "ions/magnesium-high": f"{MISCS}/2/amount",
    "ions/manganese-high": "name",
    "ions/nitrate-high": f"{WATERS}/0/nitrate",
    "ions/nitrite-high": f"{WATERS}/0/nitrite",
    "ions/outside-style": f"{MISCS}/2/amount",
    "ions/potassium-high": f"{MISCS}/2/amount",
    "ions/ratio-against-style": f"{WATERS}/0/sulfate",
    "ions/residual-alkalinity-against-style": f"{WATERS}/0/bicarbonate",
    "ions/sodium-high": f"{MISCS}/2/amount",
    "ions/sodium-with-sulfate": f"{WATERS}/0/sodium",
    "ions/sulfate-high": f"{MISCS}/2/amount",
    "ions/total-minerals-high": f"{WATERS}/0",
    "ions/zinc-high": f"{MISCS}/2/amount",
    "mash-ph/above-range": "mash/name",
    "mash-ph/acid-overshoots": f"{MISCS}/0/amount",
    "mash-ph/acidulated-share-high": "ingredients/fermentable_additions/1/amount",
    "mash-ph/below-range": "mash/name",
    "mash-ph/lactate-taste": f"{MISCS}/2/amount",
    "mash-ph/near-edge": "mash/name",
    "mash-ph/soured": "mash/name",
    "mash-ph/not-predictable": "mash/name",
    "mash-ph/stated-target-differs": "mash/mash_steps/0/end_ph",
    "mash-ph/thickness-outside-model": "mash/name",
    "recipe/abv-against-gravities": "alcohol_by_volume",
    "recipe/bitterness-against-hops": "ibu_estimate/value",
    "recipe/colour-against-malts": "color_estimate",
    "recipe/colour-or-gravity-outside-style": "original_gravity",
    "recipe/gravity-against-grist": "original_gravity",
    "recipe/malt-colour-scale": "ingredients/fermentable_additions/2/color",
    "recipe/no-mash-water": "mash/name",
    "recipe/style-unknown": "name",
    "recipe/thickness-unusual": "mash/mash_steps/0/amount",
    "recipe/unlikely-value": "ingredients/hop_additions/0/alpha_acid",
    "recipe/us-units": "mash/mash_steps/0/amount",
    "recipe/volumes-do-not-add-up": "batch_size",
    "safety/lime-handling": f"{MISCS}/2",
    "safety/local-rules": f"{MISCS}/2",
    "safety/strong-acid-handling": f"{MISCS}/2",
    "safety/sulfite-allergen": f"{MISCS}/2",
    "sparge/acid-overshoots": f"{MISCS}/2/amount",
    "sparge/alkalinity-high": "mash/mash_steps/1",
    "sparge/base-added": f"{MISCS}/2",
    "sparge/ph-high": f"{MISCS}/2/amount",
    "sparge/temperature-high": "mash/mash_steps/1/step_temperature",
    "water/alkalinity-unknown": "name",
    "water/bottled-water-as-addition": f"{MISCS}/2",
    "water/calls-itself-target": f"{WATERS}/0/notes",
    "water/carbonate-at-low-ph": "name",
    "water/chlorine-not-stated": "name",
    "water/conductivity": "name",
    "water/dissolved-solids": "name",
    "water/hardness-only": "name",
    "water/ion-impossible": f"{WATERS}/0/sodium",
    "water/limit-of-another-body": "name",
    "water/report-contradiction": "name",
    "water/taste-limit": "name",
    "water/charge-imbalance": f"{WATERS}/0",
    "water/chloramine-treatment": f"{MISCS}/2",
    "water/chlorine-untreated": f"{WATERS}/0",
    "water/hardness-softened": f"{WATERS}/0/sodium",
    "water/ion-above-drinking-limit": f"{WATERS}/0/nitrate",
    "water/looks-like-target": f"{WATERS}/0/name",
    "water/nitrate-with-nitrite": f"{WATERS}/0/nitrite",
    "water/ph-implausible": "WATERS/WATER[1]/PH",
    "water/source-all-zero": f"{WATERS}/0",
    "water/source-unknown": "name",
    "water/volume-is-batch-size": f"{WATERS}/0/amount",
    "water/volume-mismatch": f"{WATERS}/0/amount",
}
"""Where each finding stands, below the recipe: the value to change, not only its record."""
