"""The balance of a mash: its carbonate against that of water, and how it is solved."""

from __future__ import annotations

import pytest

from recipe_tools.chemistry import carbonate, mash_balance
from recipe_tools.chemistry.estimate import exactly
from recipe_tools.chemistry.mash_ph import AcidCharge, MaltShare, MashInput, ph_only
from recipe_tools.reference.tables import table


@pytest.mark.parametrize("ph", [2.5, 4.3, 5.4, 6.35, 8.3, 9.5, 10.33, 11.5])
def test_carbonate_of_a_mash_is_that_of_water(ph: float) -> None:
    # `carbonate` is compared with PHREEQC and with the published constants; here at 25 °C without
    # activities. The rise is compared with the difference over a hundredth of a pH
    charge, rise = mash_balance.carbonate_charge(10.0**-ph)
    assert charge == pytest.approx(carbonate.charge_per_mole(ph), rel=1e-9)
    above, below = (carbonate.charge_per_mole(ph + step) for step in (0.005, -0.005))
    assert rise == pytest.approx(100.0 * (above - below), rel=1e-3)


@pytest.mark.parametrize("end_point", [4.3, 4.5])
@pytest.mark.parametrize(
    ("alkalinity", "ph"), [(0.1, 5.0), (0.3, 6.0), (3.0, 7.5), (0.8, 9.6), (2.0, 10.2), (0.1, 8.5)]
)
def test_what_is_dissolved_in_the_mash_liquor(
    alkalinity: float, ph: float, end_point: float
) -> None:
    total, charge, strong = mash_balance.dissolved(alkalinity, ph, end_point)
    assert total == pytest.approx(
        carbonate.total_carbonate_mmol_l(alkalinity, ph, end_point_ph=end_point), rel=1e-9
    )
    assert total > 0.0
    assert charge == pytest.approx(carbonate.charge_per_mole(ph), rel=1e-9)
    assert strong == pytest.approx(carbonate.strong_charge(ph), rel=1e-9)


def test_water_at_its_end_point_brings_no_carbonate() -> None:
    assert mash_balance.dissolved(1.0, 4.3, 4.3)[0] == 0.0
    assert mash_balance.dissolved(0.0, 7.0, 4.3)[0] == 0.0


def mash(ratio: float, di_ph: float, buffer: float, acid: float, alkalinity: float) -> MashInput:
    return MashInput(
        (MaltShare("malt", 1.0, exactly(di_ph), exactly(buffer), 4.0),),
        exactly(ratio),
        exactly(alkalinity),
        acids=(AcidCharge("lactic acid", exactly(acid), (3.86,)),),
    )


def test_what_nobody_states_of_a_mash() -> None:
    # pH of the water: the span in which tap water usually lies (table of defaults); titrated to
    # 4.3 as K_S4.3 of DIN 38409-7; pulverised; nothing added
    left_out = MashInput((), exactly(3.0))
    row = next(row for row in table("brewday_defaults") if row["name"] == "unknown_water_ph")
    assert left_out.water_ph == tuple(float(row[end]) for end in ("low", "best", "high"))
    assert left_out.end_point_ph == 4.3
    assert left_out.crush_factor == exactly(1.0)
    assert left_out.acids == ()
    for added in ("alkalinity_meq_l", "calcium_meq_l", "magnesium_meq_l", "bicarbonate_mmol_l"):
        assert getattr(left_out, added) == exactly(0.0)
    assert left_out.hydroxide_meq_kg == left_out.chalk_meq_l == exactly(0.0)
    assert not MaltShare("malt", 1.0, exactly(5.7), exactly(40.0), 4.0).lot_known
    assert AcidCharge("acid", exactly(1.0)).strong_protons == 0


def test_a_mash_of_less_water_than_grist() -> None:
    # k = 0.30: 5.70 + 0.30 log10(0.8/4) = 5.4903 in distilled water
    thick = mash(0.8, 5.7, 40.0, 0.0, 0.0)._replace(water_ph=exactly(7.0))
    assert ph_only(thick) == pytest.approx(5.4903, abs=0.0005)
    with pytest.raises(ValueError, match=r"^water_to_grist_l_kg must be above 0"):
        ph_only(thick._replace(water_to_grist_l_kg=exactly(-1.0)))


def test_the_balance_is_solved_in_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    # Newton's method doubles the digits with each step near the solution; halving the bracket of
    # 6.5 pH down to 1e-9 would take 33
    steps = 0
    whole = mash_balance.protons

    def counted(balance: mash_balance.Balance, ph: float) -> tuple[float, float]:
        nonlocal steps
        steps += 1
        return whole(balance, ph)

    monkeypatch.setattr(mash_balance, "protons", counted)
    for ratio in (2.5, 3.5, 6.0):
        for di_ph, buffer in ((5.7, 35.0), (5.2, 45.0), (6.0, 0.9)):
            for acid, alkalinity in ((0.0, 0.0), (0.0, 5.0), (8.0, 3.0), (20.0, 1.0)):
                steps = 0
                found = ph_only(mash(ratio, di_ph, buffer, acid, alkalinity))
                assert steps <= (5 if buffer > 1.0 else 7)
                assert 2.5 < found < 9.0
