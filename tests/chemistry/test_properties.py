"""What must hold for every water and every mash."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.chemistry import carbonate, treatment
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import CHARGE, meq_l
from recipe_tools.chemistry.mash_ph import AcidCharge, MaltShare, MashInput, ph_only, predict
from recipe_tools.chemistry.treatment import Water

SETTINGS = settings(max_examples=80, deadline=None, derandomize=True)
ION_NAMES = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")


def amounts(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_subnormal=False)


waters = st.builds(
    Water,
    st.fixed_dictionaries({ion: amounts(0.0, 300.0) for ion in ION_NAMES}),
    amounts(0.0, 8.0),
    amounts(5.0, 9.0),
)


@st.composite
def estimates(draw: st.DrawFn, low: float, high: float) -> Estimate:
    first, second, third = sorted(draw(st.lists(amounts(low, high), min_size=3, max_size=3)))
    return Estimate(first, second, third)


@st.composite
def mashes(draw: st.DrawFn) -> MashInput:
    weights = draw(st.lists(amounts(0.05, 1.0), min_size=1, max_size=5))
    malts = tuple(
        MaltShare(
            f"malt {place}",
            weight / sum(weights),
            draw(estimates(4.4, 6.2)),
            draw(estimates(10.0, 80.0)),
            draw(st.sampled_from([4.0, 8.0])),
            draw(st.booleans()),
            draw(st.sampled_from(["", "a", "b"])),
        )
        for place, weight in enumerate(weights)
    )
    return MashInput(
        malts=malts,
        water_to_grist_l_kg=draw(estimates(1.5, 8.0)),
        alkalinity_meq_l=draw(estimates(0.0, 8.0)),
        water_ph=draw(estimates(6.0, 9.0)),
        end_point_ph=draw(st.sampled_from([4.3, 4.5])),
        calcium_meq_l=draw(estimates(0.0, 15.0)),
        magnesium_meq_l=draw(estimates(0.0, 8.0)),
        acids=(
            AcidCharge("lactic acid", draw(estimates(0.0, 20.0)), (3.86,)),
            AcidCharge("phosphoric acid", draw(estimates(0.0, 10.0)), (2.148, 7.198, 12.35)),
        ),
        bicarbonate_mmol_l=draw(estimates(0.0, 4.0)),
        hydroxide_meq_kg=draw(estimates(0.0, 6.0)),
        chalk_meq_l=draw(estimates(0.0, 6.0)),
        crush_factor=draw(estimates(0.5, 1.0)),
    )


def charge(water: Water) -> float:
    total = sum(
        meq_l(ion, value) * (1 if CHARGE[ion] > 0 else -1) for ion, value in water.ions_mg_l.items()
    )
    return total - water.alkalinity_meq_l


@SETTINGS
@given(st.lists(st.tuples(waters, amounts(0.1, 100.0)), min_size=1, max_size=4))
def test_a_blend_keeps_mass_and_charge(parts: list[tuple[Water, float]]) -> None:
    mixed = treatment.blend(parts)
    litres = sum(amount for _, amount in parts)
    for ion in ION_NAMES:
        before = sum(water.ions_mg_l[ion] * amount for water, amount in parts)
        assert mixed.ions_mg_l[ion] * litres == pytest.approx(before, rel=1e-9, abs=1e-9)
    assert charge(mixed) * litres == pytest.approx(
        sum(charge(water) * amount for water, amount in parts), rel=1e-9, abs=1e-6
    )


@SETTINGS
@given(waters, amounts(0.1, 50.0), amounts(0.1, 50.0))
def test_blending_a_water_with_itself_changes_nothing(water: Water, one: float, two: float) -> None:
    mixed = treatment.blend([(water, one), (water, two)])
    assert mixed.alkalinity_meq_l == pytest.approx(water.alkalinity_meq_l)
    assert dict(mixed.ions_mg_l) == pytest.approx(dict(water.ions_mg_l))
    if water.alkalinity_meq_l > 0.2 and water.ph is not None:
        assert mixed.ph == pytest.approx(water.ph, abs=1e-6)


@SETTINGS
@given(st.lists(st.tuples(waters, amounts(0.1, 100.0)), min_size=2, max_size=3), amounts(0.1, 50.0))
def test_the_size_of_the_batch_changes_no_concentration(
    parts: list[tuple[Water, float]], factor: float
) -> None:
    small = treatment.blend(parts)
    large = treatment.blend([(water, factor * amount) for water, amount in parts])
    assert dict(large.ions_mg_l) == pytest.approx(dict(small.ions_mg_l))
    assert large.ph == pytest.approx(small.ph, abs=1e-6)


@SETTINGS
@given(waters)
def test_softening_keeps_the_charge(water: Water) -> None:
    for after in (treatment.boil(water), treatment.lime_soften(water).water):
        assert charge(after) == pytest.approx(charge(water), abs=1e-6)
        assert all(amount >= 0.0 for amount in after.ions_mg_l.values())
        assert after.alkalinity_meq_l <= water.alkalinity_meq_l + 1e-12


@SETTINGS
@given(
    amounts(0.0, 10.0),
    amounts(0.0, 8.0),
    st.booleans(),
    st.sampled_from(["sodium_metabisulfite", "potassium_metabisulfite"]),
)
def test_dechlorination_keeps_chlorine_and_charge(
    dose: float, chlorine: float, chloramine: bool, agent: treatment.Dechlorinator
) -> None:
    found = treatment.dechlorinate(agent, dose, chlorine, chloramine=chloramine)
    # free chlorine and chloramine are neutral; one chlorine atom for each Cl2 stated
    removed = (chlorine - found.chlorine_left_mg_l) / 70.90
    assert meq_l("chloride", found.chloride_mg_l) == pytest.approx(removed, abs=1e-9)
    given_charge = (
        meq_l("sodium", found.sodium_mg_l)
        + meq_l("potassium", found.potassium_mg_l)
        + meq_l("ammonium", found.ammonium_mg_l)
        + found.alkalinity_used_meq_l
    )
    taken_charge = (
        meq_l("sulfate", found.sulfate_mg_l)
        + meq_l("chloride", found.chloride_mg_l)
        + found.sulfur_dioxide_mg_l / 64.058
    )
    assert given_charge == pytest.approx(taken_charge, abs=1e-9)


@SETTINGS
@given(amounts(0.0, 8.0), amounts(5.0, 9.0), amounts(0.0, 10.0), amounts(0.0, 5.0))
def test_more_acid_never_raises_the_ph_of_water(
    alkalinity: float, ph: float, acid: float, more: float
) -> None:
    first = carbonate.ph_after_acids(alkalinity, ph, [(acid, (3.86,), 0)])
    second = carbonate.ph_after_acids(alkalinity, ph, [(acid + more, (3.86,), 0)])
    assert second.ph <= first.ph + 1e-9
    assert second.alkalinity_meq_l <= first.alkalinity_meq_l + 1e-12


@SETTINGS
@given(mashes(), amounts(0.0, 10.0))
def test_more_acid_never_raises_the_ph_of_a_mash(mash: MashInput, more: float) -> None:
    acid = mash.acids[0]
    soured = acid._replace(mmol_kg=exactly(acid.mmol_kg.best + more))
    assert ph_only(mash._replace(acids=(soured, mash.acids[1]))) <= ph_only(mash) + 1e-8


@SETTINGS
@given(mashes(), amounts(0.0, 5.0))
def test_more_alkalinity_never_lowers_it(mash: MashInput, more: float) -> None:
    for field in ("alkalinity_meq_l", "bicarbonate_mmol_l", "hydroxide_meq_kg"):
        raised = exactly(getattr(mash, field).best + more)
        assert ph_only(mash._replace(**{field: raised})) >= ph_only(mash) - 1e-8


@SETTINGS
@given(mashes(), amounts(0.0, 5.0))
def test_more_calcium_and_magnesium_never_raise_it(mash: MashInput, more: float) -> None:
    for field in ("calcium_meq_l", "magnesium_meq_l"):
        raised = exactly(getattr(mash, field).best + more)
        assert ph_only(mash._replace(**{field: raised})) <= ph_only(mash) + 1e-8


@SETTINGS
@given(mashes())
def test_the_band_holds_the_best_value_and_the_shares_add_up(mash: MashInput) -> None:
    found = predict(mash)
    assert found.low <= found.ph <= found.high
    assert found.ph == pytest.approx(ph_only(mash))
    assert sum(found.contributions_ph.values()) == pytest.approx(found.ph, abs=1e-7)
    if 2.6 < found.ph < 8.9:
        scale = max(abs(value) for value in found.contributions_meq_kg.values())
        assert sum(found.contributions_meq_kg.values()) == pytest.approx(
            0.0, abs=1e-6 * (1 + scale)
        )


@SETTINGS
@given(mashes())
def test_knowing_more_never_widens_the_band(mash: MashInput) -> None:
    known = mash._replace(alkalinity_meq_l=exactly(mash.alkalinity_meq_l.best))
    wide, narrow = predict(mash), predict(known)
    assert narrow.high - narrow.low <= wide.high - wide.low + 1e-9


@SETTINGS
@given(mashes())
def test_splitting_a_malt_in_two_changes_nothing(mash: MashInput) -> None:
    first = mash.malts[0]
    half = first._replace(share=0.5 * first.share)
    split = mash._replace(malts=(half, half, *mash.malts[1:]))
    assert ph_only(split) == pytest.approx(ph_only(mash), abs=1e-7)
