"""Free ions of a water where the answer is known without a program to compare with."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from recipe_tools.chemistry import saturation
from recipe_tools.chemistry.saturation import dissolve, gypsum_pk, ph_of_dissolved


def test_solubility_product_of_gypsum() -> None:
    # Nordstrom et al. (1990): log K = -4.58 at 25 °C
    assert gypsum_pk(25.0) == pytest.approx(4.58, abs=0.005)
    # 60 °C by hand: 68.2401 - 3221.51 / 333.15 - 25.0627 x 2.522640 = -4.6540
    assert gypsum_pk(60.0) == pytest.approx(4.6540, abs=0.0005)


def test_both_forms_of_a_constant_agree_at_25_degrees() -> None:
    # the compilation gives log K with an enthalpy and, where it was measured, an equation as well
    for pair in saturation._PAIRS:
        found = saturation._at_temperature(pair, 298.15)
        assert found == pytest.approx(pair.log_k, abs=0.006), pair
        if pair.terms is None:
            assert found == pytest.approx(pair.log_k, abs=1e-9)


@pytest.mark.parametrize("anion", [{}, {"chloride": 35.45}, {"nitrate": 62.004}])
def test_a_salt_of_sodium_has_the_strength_of_its_molarity(anion: dict[str, float]) -> None:
    # Lewis and Randall: 1:1 electrolytes add their molarities; 1 mmol/L of NaHCO3, of which 1 % is
    # carbonate at pH 8.3, and 1 mmol/L of another salt
    sodium = {"sodium": 22.990 * (1 + len(anion))}
    found = dissolve({**sodium, **anion}, 1.0, 8.3)
    assert found.ionic_strength == pytest.approx(0.001 * (1 + len(anion)), rel=0.012)
    for name in anion:
        assert found.free_mmol_l[name] == pytest.approx(1.0)
    assert found.calcite == found.gypsum == float("-inf")


def test_free_acid_leaves_no_bicarbonate() -> None:
    # 1 mmol/L of hydrochloric acid
    found = dissolve({"chloride": 35.45}, -1.0, 3.02)
    assert found.total_carbonate_mmol_l == 0.0
    # as many hydrogen ions as chloride at pH 3.0148: coefficient 0.9665 (Debye and Hueckel, 9 A)
    assert dissolve({"chloride": 35.45}, -1.0, 3.0148).free_mmol_l["hydrogen"] == (
        pytest.approx(1.0, abs=0.001)
    )
    assert found.free_mmol_l["bicarbonate"] == found.free_mmol_l["carbonate"] == 0.0
    assert found.ionic_strength == pytest.approx(0.001, rel=0.02)
    assert found.calcite == float("-inf")


def test_the_search_for_a_ph_ends_at_3_and_12() -> None:
    salt = {"sodium": 22.990, "chloride": 35.45}
    assert ph_of_dissolved(salt, -5.0, 1.0) == pytest.approx(3.0, abs=1e-5)
    assert ph_of_dissolved(salt, 30.0, 1.0) == pytest.approx(12.0, abs=1e-5)


def test_everything_is_at_25_degrees_unless_it_is_said() -> None:
    ions = {"calcium": 80.0, "sulfate": 100.0, "sodium": 20.0}
    assert dissolve(ions, 3.0, 7.5) == dissolve(ions, 3.0, 7.5, 25.0)
    assert ph_of_dissolved(ions, 3.0, 3.2) == ph_of_dissolved(ions, 3.0, 3.2, 25.0)


def test_the_ions_settle_long_before_the_last_round(monkeypatch: pytest.MonkeyPatch) -> None:
    # each round takes back seven tenths of what is off: nine digits need about 9 / -log10(0.3) = 17
    rounds = 0
    whole = saturation._pairs

    def counted(
        free: Mapping[str, float],
        gamma: Mapping[str, float],
        constants_of: Mapping[tuple[str, str], float],
    ) -> dict[tuple[str, str], float]:
        nonlocal rounds
        rounds += 1
        return whole(free, gamma, constants_of)

    monkeypatch.setattr(saturation, "_pairs", counted)
    dissolve({"calcium": 110.0, "magnesium": 18.0, "sulfate": 150.0}, 5.0, 7.3)
    assert 12 <= rounds <= 25
