"""A mash that was read: the dose from there, by hand and anew; what is left uncertain."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_tools.chemistry.acids import protons_per_mole
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.mash_input import AcidCharge
from recipe_tools.chemistry.mash_ph import MaltShare, MashInput, ph_only, predict
from recipe_tools.chemistry.measured_mash import (
    anchored,
    band_after,
    buffer_shares,
    protons_to,
)
from tests.readings.simulated import RECIPES

ONE_MALT = MashInput(
    malts=(MaltShare("pale", 1.0, exactly(5.7), exactly(35.0), 3.0, lot_known=True),),
    water_to_grist_l_kg=exactly(3.0),
)


def test_a_titration_by_hand() -> None:
    """35 mEq/(kg pH) x 4 kg x 0.4 = 56 mEq; lactic acid 88 % is 11.8 mEq/mL at full dissociation,
    97 % of it at pH 5.4 (pKa 3.86): 4.9 mL. Worked by hand; water without alkalinity takes no more.
    """
    meq = 4.0 * protons_to(anchored(ONE_MALT, 5.80), 5.40)
    assert meq == pytest.approx(56.0, abs=0.2)
    millilitres = meq / (11.8 * protons_per_mole((3.86,), 5.4))
    assert millilitres == pytest.approx(4.9, abs=0.05)


def test_the_dose_hangs_on_the_buffer_and_not_on_the_ph_of_the_malt() -> None:
    """The widest input of a prediction has no part in what a reading asks for."""
    for di_ph in (5.3, 5.7, 6.1):
        malt = ONE_MALT.malts[0]._replace(di_ph=exactly(di_ph))
        dose = protons_to(anchored(ONE_MALT._replace(malts=(malt,)), 5.8), 5.4)
        assert dose == pytest.approx(protons_to(anchored(ONE_MALT, 5.8), 5.4))


@pytest.mark.parametrize("mash", RECIPES[:12])
def test_a_mash_that_reads_as_predicted_takes_what_the_prediction_says(mash: MashInput) -> None:
    """The dose is the acid with which the whole balance, solved anew, gives the target."""
    start = ph_only(mash)
    target = start - 0.25
    acid = AcidCharge("strong acid", exactly(protons_to(mash, target)), (), 1)
    assert ph_only(mash._replace(acids=(acid,))) == pytest.approx(target, abs=1e-6)


@given(st.sampled_from(RECIPES), st.floats(4.9, 6.2), st.floats(4.6, 6.4))
def test_a_mash_reads_what_it_read_and_then_what_was_aimed_at(
    mash: MashInput, ph: float, target: float
) -> None:
    """Found by the solver of the whole balance, not by the difference the dose comes from."""
    read = anchored(mash, ph)
    assert ph_only(read) == pytest.approx(ph, abs=1e-6)
    meq = protons_to(read, target)
    after = read._replace(hydroxide_meq_kg=exactly(-meq))
    assert ph_only(after) == pytest.approx(target, abs=1e-6)
    assert (meq > 0.0) == (target < ph) or abs(target - ph) < 1e-6


def test_one_deviation_of_a_buffer_scales_the_dose_by_its_share() -> None:
    """Against the balance made anew with the buffer one standard deviation stronger."""
    low, best, high = 25.0, 35.0, 45.0
    malt = ONE_MALT.malts[0]._replace(
        buffer_meq_kg_ph=Estimate(low, best, high), group="pale", lot_known=False
    )
    mash = ONE_MALT._replace(malts=(malt,), crush_factor=Estimate(0.7, 0.8, 0.9))
    shares = buffer_shares(mash, 5.7)
    assert {item.id for item in predict(mash).drivers} >= {"crush"}
    stronger = malt._replace(buffer_meq_kg_ph=exactly(best + (high - low) / (2 * 1.96)))
    crushed = mash._replace(crush_factor=exactly(0.8 + 0.2 / (2 * 1.96)))
    plain = protons_to(anchored(mash, 5.7), 5.69)
    for key, changed in (
        ("malt_buffer:pale", mash._replace(malts=(stronger,))),
        ("crush", crushed),
    ):
        wider = protons_to(anchored(changed, 5.7), 5.69)
        assert wider / plain - 1.0 == pytest.approx(shares[key], rel=0.01)


def test_the_band_after_a_dose_adds_as_squares() -> None:
    # 0.05 of the reading, 10 % of a shift of 0.3, 4 % of it: sqrt(0.05^2 + 0.03^2 + 0.012^2)
    band = band_after(5.4, -0.3, 0.05, 0.10, 0.04)
    assert band.best == 5.4
    assert band.high - band.best == pytest.approx(0.0595, abs=2e-4)
