"""Ion ranges and drinking-water limits against laws, guidelines and published analyses."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from recipe_tools.reference import (
    CityWater,
    DrinkingLimit,
    city_waters,
    drinking_limits,
    ion_range,
)
from recipe_tools.reference.tables import table

periodictable = pytest.importorskip("periodictable")

RANGED = sorted(
    {row["ion"] for row in table("brewing_ion_ranges") if row["mark"] == "derived_default"}
)


def _limit(ion: str, body: str, kind: str) -> DrinkingLimit:
    return next(item for item in drinking_limits(ion) if item.body == body and item.kind == kind)


# Council Directive 98/83/EC, Annex I parts B and C (kept by Directive (EU) 2020/2184).
@pytest.mark.parametrize(
    ("ion", "kind", "limit"),
    [
        ("nitrate", "health", 50.0),
        ("nitrite", "health", 0.5),
        ("fluoride", "health", 1.5),
        ("copper", "health", 2.0),
        ("chloride", "taste", 250.0),
        ("sulfate", "taste", 250.0),
        ("sodium", "taste", 200.0),
        ("iron", "taste", 0.2),
        ("manganese", "taste", 0.05),
        ("ammonium", "taste", 0.5),
    ],
)
def test_limits_of_the_european_directive(ion: str, kind: str, limit: float) -> None:
    assert _limit(ion, "EU", kind).high == limit


# 40 CFR 143.3, secondary maximum contaminant levels.
@pytest.mark.parametrize(
    ("ion", "limit"),
    [
        ("chloride", 250.0),
        ("sulfate", 250.0),
        ("iron", 0.3),
        ("manganese", 0.05),
        ("copper", 1.0),
        ("zinc", 5.0),
        ("fluoride", 2.0),
        ("tds", 500.0),
    ],
)
def test_secondary_levels_of_the_united_states(ion: str, limit: float) -> None:
    assert _limit(ion, "US EPA", "taste").high == limit


@pytest.mark.parametrize(
    ("ion", "formula", "as_nitrogen"), [("nitrate", "NO3", 10.0), ("nitrite", "NO2", 1.0)]
)
def test_limits_stated_as_nitrogen_are_converted(
    ion: str, formula: str, as_nitrogen: float
) -> None:
    """40 CFR 141 states nitrate and nitrite as N: 10 and 1 mg/L."""
    limit = _limit(ion, "US EPA", "health")
    assert (limit.high, limit.expressed_as) == (as_nitrogen, "N")
    factor = periodictable.formula(formula).mass / periodictable.formula("N").mass
    assert limit.high_as_ion == pytest.approx(as_nitrogen * factor, rel=1e-3)


def test_chloramine_is_compared_as_chlorine() -> None:
    """WHO sets 3 mg/L of monochloramine (NH2Cl), 40 CFR 141 4.0 mg/L as Cl2 (both from memory)."""
    who, epa = _limit("chloramine", "WHO", "health"), _limit("chloramine", "US EPA", "health")
    as_chlorine = periodictable.formula("Cl2").mass / periodictable.formula("NH2Cl").mass
    assert (who.high, who.expressed_as) == (3.0, "NH2Cl")
    assert who.high_as_ion == pytest.approx(3.0 * as_chlorine, rel=1e-3)
    assert (epa.high_as_ion, epa.expressed_as) == (4.0, "Cl2")


_BASES = {"nitrate": "NO3", "nitrite": "NO2", "chlorine": "Cl2", "chloramine": "Cl2"}


@pytest.mark.parametrize("row", table("drinking_water_limits"), ids=lambda row: row["source"][:30])
def test_every_limit_states_its_basis_and_is_converted_to_ours(row: Mapping[str, str]) -> None:
    if row["unit"] != "mg/L" or row["ion"] in ("tds", "trihalomethanes_total"):
        return
    stated = row["expressed_as"]
    assert stated, "a limit without a basis cannot be compared"
    if not row["high"]:
        return
    ours = _BASES.get(row["ion"], stated).removesuffix("-")
    factor = periodictable.formula(ours).mass / periodictable.formula(stated.removesuffix("-")).mass
    if stated == "NH2Cl":  # one Cl2 for each
        factor = periodictable.formula("Cl2").mass / periodictable.formula("NH2Cl").mass
    assert float(row["high_as_ion"]) == pytest.approx(float(row["high"]) * factor, rel=1e-3)


def test_conductivity_is_compared_at_25_degrees() -> None:
    """2500 uS/cm at 20 °C (Directive (EU) 2020/2184) times 1.116 (ISO 7888, from memory)."""
    assert _limit("conductivity", "EU", "taste").high_as_ion == pytest.approx(
        2500 * 1.116, rel=1e-3
    )


def test_health_limits_exist_only_where_who_sets_one() -> None:
    """WHO gives no health-based value for these (from memory)."""
    for ion in ("chloride", "sulfate", "sodium", "iron", "zinc"):
        assert not [item for item in drinking_limits(ion) if item.kind == "health"]
    assert drinking_limits("unobtainium") == ()


class TestIonRanges:
    @pytest.mark.parametrize("ion", RANGED)
    def test_limits_rise_in_order(self, ion: str) -> None:
        item = ion_range(ion)
        ends = [
            end
            for end in (item.soft_low, item.low, item.high, item.warn_above, item.error_above)
            if end is not None
        ]
        assert ends == sorted(ends)
        assert item.mark == "derived_default"
        assert item.rows

    def test_an_ion_without_a_range_is_a_key_error(self) -> None:
        with pytest.raises(KeyError):
            ion_range("bicarbonate")

    def test_calcium_holds_the_textbook_range(self) -> None:
        """50-150 mg/L: Fix; Briggs et al. 2004; 50 for yeast to settle: Goldammer."""
        item = ion_range("calcium")
        assert (item.low, item.high) == (50.0, 150.0)

    def test_soft_pale_lagers_are_brewed_with_hardly_any_calcium(self) -> None:
        """Plzeň has 7-10 mg/L calcium (Noonan; Wahl & Henius 1902)."""
        soft = ion_range("calcium").soft_low
        calcium = [water.ions_mg_l["calcium"] for water in city_waters() if water.city == "Plzeň"]
        assert soft is not None
        assert soft <= max(calcium)

    def test_errors_do_not_stand_below_the_drinking_limits_of_health(self) -> None:
        for ion in ("nitrate", "nitrite"):
            limit = _limit(ion, "EU", "health").high
            assert ion_range(ion).error_above == limit

    def test_sodium_is_judged_more_strictly_with_much_sulfate(self) -> None:
        item = ion_range("sodium")
        assert item.with_ion == "sulfate:200"
        assert item.warn_above_with is not None and item.warn_above is not None
        assert item.warn_above_with < item.warn_above


CATIONS = {"calcium": ("Ca", 2), "magnesium": ("Mg", 2), "sodium": ("Na", 1)}
ANIONS = {"chloride": ("Cl", 1), "sulfate": ("SO4", 2), "nitrate": ("NO3", 1)}


def _meq(amount: float, formula: str, charge: int) -> float:
    return float(amount * charge / periodictable.formula(formula).mass)


COMPLETE = [
    water
    for water in city_waters()
    if water.carbonate_as_printed is not None and len(water.ions_mg_l) >= 5
]


class TestCityWaters:
    """The carbonate column is read by electroneutrality (Standard Methods 1030E)."""

    @pytest.mark.parametrize("water", COMPLETE, ids=lambda water: f"{water.city}")
    def test_the_reading_that_balances_does_so(self, water: CityWater) -> None:
        if not water.balances_as:
            pytest.skip("no balance stated")
        cations = sum(_meq(water.ions_mg_l.get(ion, 0.0), *CATIONS[ion]) for ion in CATIONS)
        anions = sum(_meq(water.ions_mg_l.get(ion, 0.0), *ANIONS[ion]) for ion in ANIONS)
        printed = water.carbonate_as_printed or 0.0
        off = {}
        for reading, formula, charge in (("bicarbonate", "HCO3", 1), ("carbonate", "CO3", 2)):
            total = anions + _meq(printed, formula, charge)
            off[reading] = 100.0 * (cations - total) / (cations + total)
        if water.balances_as in off:
            assert abs(off[water.balances_as]) < 6.0
            assert abs(off[water.balances_as]) == min(abs(value) for value in off.values())
        elif water.balances_as == "either":
            assert max(abs(value) for value in off.values()) < 6.5
        else:
            assert min(abs(value) for value in off.values()) > 6.0

    def test_the_bicarbonate_that_balances_closes_the_sum(self) -> None:
        checked = 0
        for water in COMPLETE:
            if water.bicarbonate_that_balances is None:
                continue
            cations = sum(_meq(water.ions_mg_l.get(ion, 0.0), *CATIONS[ion]) for ion in CATIONS)
            anions = sum(_meq(water.ions_mg_l.get(ion, 0.0), *ANIONS[ion]) for ion in ANIONS)
            anions += _meq(water.bicarbonate_that_balances, "HCO3", 1)
            assert anions == pytest.approx(cations, rel=0.01), water
            checked += 1
        assert checked > 15

    def test_waters_that_do_not_balance_are_not_usable(self) -> None:
        assert any(not water.usable for water in city_waters())
        assert all(not water.usable for water in city_waters() if water.balances_as == "neither")
