"""Health limits of drinking water, by three bodies."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Severity
from recipe_tools.rules.examples import well_with
from tests.rules.brew import found, one

RULE = "water/ion-above-drinking-limit"


def by(body: str) -> dict[str, object]:
    """Return a configuration that judges by the limits of a body."""
    return {"rules": {RULE: {"options": {"body": body}}}}


@pytest.mark.parametrize(
    ("body", "ion", "limit"),
    [
        # WHO Guidelines 4th ed.; Directive (EU) 2020/2184; 40 CFR 141 (nitrate 10 mg/L as N)
        ("WHO", "nitrate", 50.0),
        ("WHO", "nitrite", 3.0),
        ("WHO", "fluoride", 1.5),
        ("EU", "nitrite", 0.5),
        ("US EPA", "nitrate", 44.3),
        ("US EPA", "fluoride", 4.0),
    ],
)
def test_a_limit_holds_on_the_basis_on_which_it_is_stated(
    body: str, ion: str, limit: float
) -> None:
    name = "flouride" if ion == "fluoride" else ion  # BeerJSON 1.0 spells it so
    assert not found(RULE, well_with(**{name: 0.99 * limit}), by(body))
    item = one(RULE, well_with(**{name: 1.02 * limit}), by(body))
    assert item.severity is Severity.ERROR
    assert item.values["limit"] == pytest.approx(limit, rel=0.002)


def test_sulfate_has_no_health_limit() -> None:
    # WHO gives no guideline value; 500 mg/L is the level of which authorities want to be told
    assert not found(RULE, well_with(sulfate=700, calcium=300))


@pytest.mark.parametrize(("nitrate", "nitrite", "speaks"), [(25, 1.4, False), (25, 1.6, True)])
def test_nitrate_and_nitrite_share_one_limit(nitrate: float, nitrite: float, speaks: bool) -> None:
    # nitrate/50 + nitrite/3 must not exceed 1 (WHO; EU)
    patch = well_with(nitrate=nitrate, nitrite=nitrite)
    assert bool(found("water/nitrate-with-nitrite", patch)) is speaks
