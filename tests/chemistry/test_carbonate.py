"""The carbonate system against published constants and tables."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from recipe_tools.chemistry import carbonate
from recipe_tools.chemistry.acids import charge_and_slope

PUBLISHED = Path(__file__).parent.parent / "data" / "published"


def constant_rows() -> list[dict[str, str]]:
    with (PUBLISHED / "carbonate_constants.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", constant_rows(), ids=lambda row: f"{row['celsius']} °C")
def test_constants_of_plummer_and_busenberg(row: dict[str, str]) -> None:
    found = carbonate.constants(float(row["celsius"]))
    for name in ("pk1", "pk2", "pkw", "pk_calcite"):
        assert getattr(found, name) == pytest.approx(float(row[name]), abs=0.0001), name


def test_calcite_at_25_degrees_is_the_value_of_the_abstract() -> None:
    # Plummer and Busenberg (1982), abstract: log K of calcite at 25 °C is -8.480 +- 0.020
    assert carbonate.constants().pk_calcite == pytest.approx(8.480, abs=0.001)


def test_constants_are_refused_where_they_mean_nothing() -> None:
    for celsius in (-5.5, 110.5, 200.0, float("nan")):
        with pytest.raises(ValueError, match=r"^carbonate constants hold from 0 to 90 °C"):
            carbonate.constants(celsius)
    assert carbonate.constants(-5.0).pk1 > carbonate.constants(0.0).pk1
    assert carbonate.constants(110.0).pkw < carbonate.constants(100.0).pkw


CHARGES = {
    20.0: (0.008, 0.013, 0.062, 0.094, 0.142, 0.208, 0.293),
    25.0: (0.009, 0.014, 0.066, 0.100, 0.150, 0.219, 0.308),
    65.0: (0.010, 0.016, 0.074, 0.112, 0.167, 0.241, 0.335),
}
"""Charge per mole at the pH below, computed outside this project from the constants above."""


@pytest.mark.parametrize("celsius", CHARGES)
def test_the_part_still_bicarbonate(celsius: float) -> None:
    for ph, expected in zip((4.3, 4.5, 5.2, 5.4, 5.6, 5.8, 6.0), CHARGES[celsius], strict=True):
        assert carbonate.charge_per_mole(ph, celsius) == pytest.approx(expected, abs=0.0006)


@pytest.mark.parametrize(
    ("alkalinity", "end_point", "from_ph", "to_ph", "expected"),
    [
        (1.0, 4.5, 8.0, 5.4, 0.886),
        (1.0, 4.5, 7.5, 5.4, 0.881),
        (1.0, 4.5, 7.0, 5.5, 0.840),
        (1.0, 4.3, 8.0, 5.4, 0.865),
        (1.0, 4.3, 7.5, 5.4, 0.860),
        (1.0, 4.3, 7.0, 5.5, 0.819),
        (5.0, 4.5, 8.0, 5.4, 5 * 0.906),
        (5.0, 4.5, 7.5, 5.4, 5 * 0.901),
        (5.0, 4.5, 7.0, 5.5, 5 * 0.859),
    ],
)
def test_acid_to_a_ph_by_end_point(
    alkalinity: float, end_point: float, from_ph: float, to_ph: float, expected: float
) -> None:
    # computed outside this project from the equations of Plummer and Busenberg, 25 °C
    found = carbonate.acid_to_ph(alkalinity, from_ph, to_ph, end_point_ph=end_point)
    assert found == pytest.approx(expected, abs=0.0006 * alkalinity)


@pytest.mark.parametrize(
    ("from_ph", "shares"),
    [
        (7.0, (0.64, 0.74, 0.86, 0.92)),
        (7.5, (0.68, 0.78, 0.88, 0.93)),
        (8.0, (0.70, 0.79, 0.88, 0.94)),
    ],
)
def test_acid_for_sparge_water(from_ph: float, shares: tuple[float, ...]) -> None:
    # share of the alkalinity that acid must take, pK1 6.38 (20 °C), computed outside this project
    # for bicarbonate alone: free hydrogen ions of dilute water are left out, hence 5 mEq/L here
    for to_ph, share in zip((6.0, 5.8, 5.5, 5.2), shares, strict=True):
        found = carbonate.acid_to_ph(5.0, from_ph, to_ph, celsius=20.0) / 5.0
        assert found == pytest.approx(share, abs=0.011)


def test_nine_tenths_of_the_alkalinity_bring_water_to_mash_ph() -> None:
    # common practice, no source: acid for 90 % of the alkalinity reaches about pH 5.4
    assert carbonate.ph_after_acids(4.0, 7.8, [(3.6, (), 1)]).ph == pytest.approx(5.4, abs=0.1)


def test_davies_at_a_tenth_molar() -> None:
    # Davies (1962): a 1:1 electrolyte at 0.1 mol/L has a mean coefficient of 0.78, 2:2 about 0.37
    assert 10 ** carbonate.log_activity_coefficient(1, 0.1) == pytest.approx(0.78, abs=0.01)
    assert 10 ** carbonate.log_activity_coefficient(2, 0.1) == pytest.approx(0.37, abs=0.02)
    assert (
        carbonate.log_activity_coefficient(0, 0.1) == carbonate.log_activity_coefficient(2, 0) == 0
    )
    at_25 = carbonate.log_activity_coefficient(1, 0.1, 25.0)
    assert carbonate.log_activity_coefficient(1, 0.1) == at_25


def test_debye_hueckel_constants() -> None:
    # Robinson and Stokes, Electrolyte Solutions, at 25 °C (from memory): A 0.5115, B 0.3291
    assert carbonate.debye_hueckel(25.0) == pytest.approx((0.5115, 0.3291), abs=0.0002)


@pytest.mark.parametrize(("celsius", "dielectric"), [(0.0, 87.74), (50.0, 69.91), (100.0, 55.72)])
def test_debye_hueckel_follows_the_dielectric_constant(celsius: float, dielectric: float) -> None:
    # Malmberg and Maryott (1956), dielectric constant of water (from memory); A goes with the
    # power -3/2 of dielectric constant times temperature, B with -1/2 (78.30 at 25 °C)
    ratio = dielectric * (celsius + 273.15) / (78.30 * 298.15)
    (a, b), (a_25, b_25) = carbonate.debye_hueckel(celsius), carbonate.debye_hueckel(25.0)
    assert a / a_25 == pytest.approx(ratio**-1.5, rel=3e-4)
    assert b / b_25 == pytest.approx(ratio**-0.5, rel=1e-4)


@pytest.mark.parametrize("end_point", [4.3, 4.5, None])
@pytest.mark.parametrize(("celsius", "strength"), [(25.0, 0.0), (10.0, 0.02), (60.0, 0.005)])
def test_titrating_a_water_finds_the_alkalinity_it_was_made_with(
    end_point: float | None, celsius: float, strength: float
) -> None:
    total = carbonate.total_carbonate_mmol_l(
        3.0, 7.6, end_point_ph=end_point, celsius=celsius, ionic_strength=strength
    )
    found = carbonate.alkalinity_meq_l(
        total, 7.6, end_point_ph=end_point, celsius=celsius, ionic_strength=strength
    )
    assert found == pytest.approx(3.0, rel=1e-9)


def test_the_end_point_is_4_3_unless_it_is_said() -> None:
    # K_S4.3 of DIN 38409-7
    assert carbonate.alkalinity_meq_l(5.0, 4.3) == pytest.approx(0.0, abs=1e-12)
    assert carbonate.total_carbonate_mmol_l(3.0, 7.6) == pytest.approx(
        carbonate.total_carbonate_mmol_l(3.0, 7.6, end_point_ph=4.3)
    )


PK1, PK2, PKH, PKW = 6.3519, 10.3289, 1.4679, 13.9995
"""At 25 °C: Plummer and Busenberg (1982)."""


def test_what_the_constants_say_at_25_degrees() -> None:
    # at pH = pK1 as much CO2 as bicarbonate, at pH = pK2 as much bicarbonate as carbonate; pure
    # water is neutral at half of pKw, and at pKw - 3 holds 1 mmol/L of hydroxide
    first, second = carbonate.speciate(2.0, PK1), carbonate.speciate(2.0, PK2)
    assert first.carbon_dioxide == pytest.approx(first.bicarbonate, rel=5e-4)
    assert second.bicarbonate == pytest.approx(second.carbonate, rel=5e-4)
    for found in (first, second):
        assert found.carbon_dioxide + found.bicarbonate + found.carbonate == pytest.approx(2.0)
        assert found.total == 2.0
    assert carbonate.charge_per_mole(PK1) == pytest.approx(0.5, abs=2e-4)
    assert carbonate.charge_per_mole(PK2) == pytest.approx(1.5, abs=2e-4)
    assert carbonate.strong_charge(PKW - 3.0) == pytest.approx(1.0, rel=5e-4)
    assert carbonate.strong_charge(0.5 * PKW) == pytest.approx(0.0, abs=1e-7)
    assert carbonate.alkalinity_meq_l_between(2.0, PK2, PK1) == pytest.approx(
        2.0 + carbonate.strong_charge(PK2, 25.0), abs=1e-3
    )


def test_activities_move_the_balance_of_species() -> None:
    # at pH = pK1 HCO3-/CO2 is 10^(0.1 I)/gamma1, at pH = pK2 CO3--/HCO3- is gamma1/gamma2; Davies
    # (1962) at 0.1 mol/L and 25 °C: 0.78 and 0.37 (0.78^4)
    first = carbonate.speciate(1.0, PK1, ionic_strength=0.1)
    second = carbonate.speciate(1.0, PK2, ionic_strength=0.1)
    assert first.bicarbonate / first.carbon_dioxide == pytest.approx(1.023 / 0.78, rel=0.01)
    assert second.carbonate / second.bicarbonate == pytest.approx(0.78 / 0.37, rel=0.02)


def test_acid_is_alkalinity_lost_and_lactate_keeps_a_part() -> None:
    # hydrochloric acid takes mEq for mEq. Lactate is a base of pKa 3.86: at pH 4.3 the part
    # 1/(1 + 10^(3.86 - 4.3)) = 0.7336 of its protons is given, the rest is still alkalinity
    strong = carbonate.ph_after_acids(3.0, 7.8, [(2.0, (), 1)])
    weak = carbonate.ph_after_acids(3.0, 7.8, [(2.0, (3.86,), 0)])
    assert strong.alkalinity_meq_l == pytest.approx(1.0)
    assert weak.alkalinity_meq_l == pytest.approx(3.0 - 2.0 * 0.7336, abs=0.001)
    assert weak.ph == pytest.approx(strong.ph, abs=0.03)


def test_acid_and_ph_are_each_others_inverse() -> None:
    for target in (6.5, 5.8, 5.3):
        for end_point, celsius, strength in ((4.3, 25.0, 0.01), (4.7, 10.0, 0.0)):
            need = carbonate.acid_to_ph(
                4.0,
                7.9,
                target,
                end_point_ph=end_point,
                celsius=celsius,
                ionic_strength=strength,
            )
            # half of it as sulfuric acid, a quarter mole to half an equivalent
            given = [(0.5 * need, (), 1), (0.25 * need, (), 2)]
            found = carbonate.ph_after_acids(
                4.0,
                7.9,
                given,
                end_point_ph=end_point,
                celsius=celsius,
                ionic_strength=strength,
            )
            assert found.ph == pytest.approx(target, abs=1e-6)
            assert found.alkalinity_meq_l == pytest.approx(4.0 - need)


def test_strong_acid_alone_ends_at_its_own_concentration() -> None:
    # 0.2 mol/L of a strong acid, activity taken as concentration: pH 0.699
    assert carbonate.ph_of(-200.0, 0.0) == pytest.approx(0.699, abs=0.001)
    assert carbonate.ph_of(200.0, 0.0) == pytest.approx(PKW - 0.699, abs=0.001)


def test_the_ph_is_found_in_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    # Newton's method doubles the digits with each step near the solution; halving a bracket of 16
    # pH down to 1e-10 would take 37
    steps = 0

    def counted(h: float, constants: tuple[float, ...]) -> tuple[float, float]:
        nonlocal steps
        steps += 1
        return charge_and_slope(h, constants)

    monkeypatch.setattr(carbonate, "charge_and_slope", counted)
    for alkalinity, total in ((2.0, 2.1), (4.0, 4.4), (1.0, 1.8), (0.5, 1.0), (3.0, 2.7)):
        steps = 0
        carbonate.ph_of(alkalinity, total)
        assert steps <= 8
    # where the first step overshoots
    for alkalinity, total in ((-0.5, 3.0), (-2.0, 1.0), (-200.0, 0.0), (200.0, 0.0), (20.0, 1.0)):
        steps = 0
        carbonate.ph_of(alkalinity, total)
        assert steps <= 12
    # with an acid two calls a step, and four beside them
    for acid in (2.0, 3.5, 10.0, 30.0):
        steps = 0
        carbonate.ph_after_acids(3.0, 7.8, [(acid, (3.86,), 0)])
        assert steps <= 20


def test_a_base_raises_what_an_acid_lowers() -> None:
    lye = carbonate.ph_after_acids(2.0, 7.0, base_meq_l=0.3)
    both = carbonate.ph_after_acids(2.0, 7.0, [(0.3, (), 1)], base_meq_l=0.3)
    assert lye.ph > 7.3
    assert lye.alkalinity_meq_l == pytest.approx(2.3)
    assert both.ph == pytest.approx(7.0, abs=1e-6)


def test_water_at_its_end_point_has_no_alkalinity() -> None:
    assert carbonate.total_carbonate_mmol_l(1.0, 4.3) == 0.0
    assert carbonate.total_carbonate_mmol_l(0.0, 7.0) == 0.0
