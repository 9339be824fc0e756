"""Waters as brewers have them: taps that balance, reverse osmosis, blends, a report."""

from __future__ import annotations

from random import Random
from typing import Any

from recipe_tools.rules.examples import quantity

Json = dict[str, Any]

MG_PER_MEQ = {
    "calcium": 20.039,
    "magnesium": 12.1525,
    "sodium": 22.990,
    "chloride": 35.453,
    "sulfate": 48.03,
    "bicarbonate": 61.016,
}
"""Molar mass over charge, IUPAC."""

TAP_NAMES = (
    "Aldermoor tap water",
    "Aldermoor well",
    "Millrace spring",
    "Reedbank waterworks",
    "Leitungswasser Aldermoor",
    "Eau du robinet, Aldermoor",
    "Agua de grifo Aldermoor",
    "Woda z kranu Aldermoor",
)
PURE_NAMES = (
    "Reverse osmosis water",
    "RO water",
    "Distilled water",
    "Osmosewasser",
    "Eau osmosée",
    "Agua de ósmosis inversa",
    "Woda demineralizowana",
)
HARDNESS = {"soft": (6.0, 25.0), "medium": (30.0, 70.0), "hard": (75.0, 125.0)}
"""Calcium in mg/L of a tap."""


def tap(chance: Random, kind: str) -> dict[str, float]:
    """Return ions in mg/L whose bicarbonate closes the balance to within 2 %."""
    while True:
        calcium = chance.uniform(*HARDNESS[kind])
        ions = {
            "calcium": calcium,
            "magnesium": calcium * chance.uniform(0.04, 0.2),
            "sodium": chance.uniform(3.0, 10.0 + 0.25 * calcium),
            "chloride": chance.uniform(4.0, 10.0 + 0.4 * calcium),
            "sulfate": chance.uniform(4.0, 12.0 + 0.6 * calcium),
        }
        meq = {ion: amount / MG_PER_MEQ[ion] for ion, amount in ions.items()}
        left = meq["calcium"] + meq["magnesium"] + meq["sodium"] - meq["chloride"] - meq["sulfate"]
        if left < 0.35 * meq["calcium"]:
            continue
        ions["bicarbonate"] = left * MG_PER_MEQ["bicarbonate"] * chance.uniform(0.98, 1.02)
        return {ion: round(amount, 1 if amount < 10 else 0) for ion, amount in ions.items()}


def pure() -> dict[str, float]:
    """Return water without ions."""
    return dict.fromkeys(MG_PER_MEQ, 0.0)


def record(name: str, ions: dict[str, float], litres: float, ph: float | None = None) -> Json:
    """Return a BeerJSON water addition."""
    found: Json = {"name": name}
    found.update({ion: quantity(amount, "mg/l") for ion, amount in ions.items()})
    if ph is not None:
        found["pH"] = quantity(ph, "pH")
    found["amount"] = quantity(round(litres, 2), "l")
    return found


def report(ions: dict[str, float], chlorine: float | None) -> Json:
    """Return the configuration that states the tap, in units as waterworks print them."""
    table = {ion: f"{amount:g} mg/L" for ion, amount in ions.items()}
    table["name"] = "Aldermoor tap water"
    if chlorine is None:
        table["chlorine"] = "< 0.05 mg/L"
    config: Json = {"water": {"report": table}}
    if chlorine is not None:
        config["water"]["chlorine_mg_l"] = chlorine
    return config
