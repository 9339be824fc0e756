"""The band around a mash pH against the balance itself, solved anew with one input moved.

The balance is checked elsewhere (hand arithmetic, test vectors, measured mashes); here it is the
reference for the linear propagation that makes the band: for a small step both must agree, in size
and in direction.
"""

from __future__ import annotations

from math import log10, sqrt

import pytest

from recipe_tools.chemistry import carbonate
from recipe_tools.chemistry.estimate import ZERO, Estimate, exactly
from recipe_tools.chemistry.mash_ph import (
    AcidCharge,
    MaltShare,
    MashInput,
    Prediction,
    ph_only,
    predict,
)

RATIO = 3.2


def known(di_ph: float, buffer: float, **changes: object) -> MashInput:
    """Build a mash of exactly known inputs with something of everything in it."""
    values: dict[str, object] = {
        "malts": (
            MaltShare("pale", 0.5, exactly(di_ph), exactly(buffer), 4.0, group="base"),
            MaltShare("wheat", 0.3, exactly(di_ph + 0.2), exactly(1.2 * buffer), 2.0, group="base"),
            MaltShare("dark", 0.2, exactly(di_ph - 0.8), exactly(1.1 * buffer), 8.0, True),
        ),
        "water_to_grist_l_kg": exactly(RATIO),
        "alkalinity_meq_l": exactly(2.0),
        "water_ph": exactly(7.8),
        "end_point_ph": 4.5,
        "calcium_meq_l": exactly(3.0),
        "magnesium_meq_l": exactly(1.2),
        "acids": (
            AcidCharge("lactic acid", exactly(3.0), (3.86,)),
            AcidCharge("sulfuric acid", exactly(0.5), (1.99,), 1),
        ),
        "bicarbonate_mmol_l": exactly(0.8),
        "hydroxide_meq_kg": exactly(0.6),
        "chalk_meq_l": exactly(1.5),
        "crush_factor": exactly(0.76),
    }
    values.update(changes)
    return MashInput(**values)  # type: ignore[arg-type]


MASHES = {
    "as brewed": known(5.7, 40.0),
    # hardly any buffer: there the free hydrogen and hydroxide ions of the water count
    "sour and weakly buffered": known(
        4.0, 0.5, acids=(AcidCharge("hydrochloric acid", exactly(16.0), (), 1),)
    ),
    "alkaline and weakly buffered": known(
        7.8,
        0.05,
        acids=(),
        calcium_meq_l=exactly(0.05),
        magnesium_meq_l=exactly(0.02),
        water_ph=exactly(8.9),
        bicarbonate_mmol_l=exactly(0.1),
        chalk_meq_l=exactly(0.1),
        alkalinity_meq_l=exactly(0.4),
        hydroxide_meq_kg=exactly(0.1),
    ),
}

STEPS = {
    "water_to_grist_l_kg": ("thickness", 0.005),
    "alkalinity_meq_l": ("alkalinity", 0.002),
    "water_ph": ("water_ph", 0.002),
    "calcium_meq_l": ("calcium", 0.002),
    "magnesium_meq_l": ("magnesium", 0.004),
    "bicarbonate_mmol_l": ("bicarbonate", 0.002),
    "hydroxide_meq_kg": ("hydroxide", 0.002),
    "crush_factor": ("crush", 0.0005),
}


def opened(value: Estimate, end: float) -> Estimate:
    """Open an exact value on one side, up to an end."""
    return Estimate(min(value.best, end), value.best, max(value.best, end))


def added(wide: Prediction, narrow: Prediction) -> tuple[float, float]:
    """Return what an open input adds below and above: the root of a difference of squares."""
    below = (wide.ph - wide.low) ** 2 - (narrow.ph - narrow.low) ** 2
    above = (wide.high - wide.ph) ** 2 - (narrow.high - narrow.ph) ** 2
    return sqrt(max(below, 0.0)), sqrt(max(above, 0.0))


def assert_follows(base: MashInput, wide: MashInput, moved: MashInput, driver_id: str) -> None:
    """Compare the band of an input open on one side with the balance solved at that end."""
    shift = ph_only(moved) - ph_only(base)
    before, found = predict(base), predict(wide)
    down, up = added(found, before)
    near = 0.01 * abs(shift) + 1e-7
    assert shift != 0.0
    assert up == pytest.approx(max(shift, 0.0), abs=near)
    assert down == pytest.approx(max(-shift, 0.0), abs=near)
    width = {driver.id: driver.half_width for driver in found.drivers}[driver_id]
    width -= {driver.id: driver.half_width for driver in before.drivers}.get(driver_id, 0.0)
    assert width == pytest.approx(0.5 * abs(shift), abs=near)


@pytest.mark.parametrize("name", MASHES)
@pytest.mark.parametrize("field", STEPS)
@pytest.mark.parametrize("direction", [-1.0, 1.0])
def test_an_open_input_moves_the_end_it_would_move_the_ph_to(
    name: str, field: str, direction: float
) -> None:
    base = MASHES[name]
    driver_id, step = STEPS[field]
    value: Estimate = getattr(base, field)
    end = value.best + direction * step
    assert_follows(
        base,
        base._replace(**{field: opened(value, end)}),  # type: ignore[arg-type]
        base._replace(**{field: exactly(end)}),  # type: ignore[arg-type]
        driver_id,
    )


@pytest.mark.parametrize("name", MASHES)
def test_protons_given_are_protons_taken(name: str) -> None:
    found = predict(MASHES[name])
    assert sum(found.contributions_meq_kg.values()) == pytest.approx(0.0, abs=1e-6)
    assert sum(found.contributions_ph.values()) == pytest.approx(found.ph, abs=1e-6)
    assert "nothing in the grist buffers" not in found.warnings


@pytest.mark.parametrize("direction", [-1.0, 1.0])
@pytest.mark.parametrize("place", [0, 1])
def test_an_open_dose_of_acid_moves_it_too(place: int, direction: float) -> None:
    base = MASHES["as brewed"]

    def with_dose(value: Estimate) -> MashInput:
        acids = list(base.acids)
        acids[place] = acids[place]._replace(mmol_kg=value)
        return base._replace(acids=tuple(acids))

    dose = base.acids[place].mmol_kg
    end = dose.best + 0.01 * direction
    driver_id = f"acid:{base.acids[place].label}"
    assert_follows(base, with_dose(opened(dose, end)), with_dose(exactly(end)), driver_id)


@pytest.mark.parametrize("direction", [-1.0, 1.0])
@pytest.mark.parametrize(("field", "step"), [("di_ph", 0.001), ("buffer_meq_kg_ph", 0.01)])
@pytest.mark.parametrize(
    ("places", "group"), [((0, 1), "base"), ((2,), "dark#2")], ids=["one group", "lot"]
)
def test_malts_of_a_group_move_it_together(
    places: tuple[int, ...], group: str, field: str, step: float, direction: float
) -> None:
    base = MASHES["as brewed"]

    def with_malts(*, exact: bool) -> MashInput:
        malts = list(base.malts)
        for place in places:
            value: Estimate = getattr(malts[place], field)
            end = value.best + direction * step
            after = exactly(end) if exact else opened(value, end)
            malts[place] = malts[place]._replace(**{field: after})  # type: ignore[arg-type]
        return base._replace(malts=tuple(malts))

    kind = {"di_ph": "malt_ph", "buffer_meq_kg_ph": "malt_buffer"}[field]
    assert_follows(base, with_malts(exact=False), with_malts(exact=True), f"{kind}:{group}")


def widths(mash: MashInput) -> dict[str, float]:
    return {driver.id: driver.half_width for driver in predict(mash).drivers}


def test_thinning_acts_on_every_malt_from_the_thickness_of_its_own_test() -> None:
    # k from 0.20 to 0.40 around 0.30: the pH of each malt moves by 0.1 log10(R/R_i) either way
    base = MASHES["as brewed"]

    def thinned(by: float) -> float:
        malts = tuple(
            malt._replace(di_ph=exactly(malt.di_ph.best + by * log10(RATIO / malt.di_water_l_kg)))
            for malt in base.malts
        )
        return ph_only(base._replace(malts=malts))

    expected = 0.5 * abs(thinned(0.1) - thinned(-0.1))
    assert widths(base)["dilution"] == pytest.approx(expected, rel=0.01)


def test_a_thickness_may_lower_the_ph_at_both_ends() -> None:
    # thinning raises the pH by 40 x 0.30 log10(R/3), calcium lowers it by 6.08/3.5 (R - 3) mEq/kg:
    # both balance at R = 3, on either side of it the pH is lower, so nothing is added above
    hard = MashInput(
        (MaltShare("pale", 1.0, exactly(5.7), exactly(40.0), 4.0, True),),
        exactly(3.0),
        water_ph=exactly(7.0),
        calcium_meq_l=exactly(6.08),
    )
    thick, thin = (ph_only(hard._replace(water_to_grist_l_kg=exactly(r))) for r in (1.5, 6.0))
    assert max(thick, thin) < ph_only(hard) - 0.02
    down, up = added(
        predict(hard._replace(water_to_grist_l_kg=Estimate(1.5, 3.0, 6.0))), predict(hard)
    )
    assert up == 0.0
    assert down == pytest.approx(ph_only(hard) - min(thick, thin), rel=0.02)


def test_calcium_and_magnesium_act_by_four_fifths_to_five_fourths() -> None:
    # 0.8 to 1.25 times the effect is as if there were as much more or less of both
    base = known(5.7, 40.0, chalk_meq_l=ZERO)

    def acting(factor: float) -> float:
        return ph_only(
            base._replace(
                calcium_meq_l=exactly(3.0 * factor), magnesium_meq_l=exactly(1.2 * factor)
            )
        )

    expected = 0.5 * (acting(0.8) - acting(1.25))
    assert widths(base)["calcium_magnesium"] == pytest.approx(expected, rel=0.01)


def test_carbon_dioxide_that_leaves_takes_the_charge_it_would_have_had() -> None:
    # a mole of CO2 gone is a mole less to carry the charge q, so it acts as q of lye; up to 30 %
    # of all carbonate: that of the water, of the baking soda and of the chalk that reacts (half)
    base = MASHES["as brewed"]
    found = predict(base)
    total = carbonate.total_carbonate_mmol_l(2.0, 7.8, end_point_ph=4.5) + 0.8 + 0.5 * 1.5
    lye = 0.3 * RATIO * total * carbonate.charge_per_mole(found.ph)
    raised = ph_only(base._replace(hydroxide_meq_kg=exactly(0.6 + lye)))
    width = widths(base)["carbon_dioxide"]
    assert width == pytest.approx(0.5 * (raised - found.ph), rel=0.02)
    # it can only raise the pH: with nothing but it and the model's own error open
    plain = MashInput(
        (MaltShare("pale", 1.0, exactly(5.7), exactly(40.0), 4.0),),
        exactly(4.0),
        exactly(3.0),
        exactly(8.0),
    )
    found = predict(plain)
    assert found.ph - found.low == pytest.approx(0.06, abs=1e-9)
    assert found.high - found.ph > 0.0605


def test_calcium_above_100_mg_per_litre_may_do_nothing_more() -> None:
    # 100 mg/L are 4.990 mEq/L (20.039 mg/mEq); the band reaches where calcium stops there
    limit = 100.0 / 20.039
    base = known(5.7, 40.0, calcium_meq_l=exactly(limit + 0.05))
    stopped = ph_only(base._replace(calcium_meq_l=exactly(limit)))
    width = widths(base)["calcium_above_linear"]
    assert width == pytest.approx(0.5 * (stopped - ph_only(base)), rel=0.01)
    assert "calcium_above_linear" not in widths(base._replace(calcium_meq_l=exactly(limit)))


def test_half_or_all_of_the_suspended_chalk_may_react() -> None:
    # Troester (2009): half of small amounts acts as alkalinity, half of its calcium with it; the
    # band of this project goes from half to twice that, the latter being all of it
    base = MashInput(
        (MaltShare("pale", 1.0, exactly(5.7), exactly(40.0), 4.0, True),),
        exactly(4.0),
        water_ph=exactly(7.0),
        chalk_meq_l=exactly(0.2),
    )
    found = predict(base)
    half, twice = (
        ph_only(base._replace(chalk_meq_l=exactly(amount))) - found.ph for amount in (0.1, 0.4)
    )
    # CO2 is the only other thing open and acts upwards alone: its width is half of what it adds
    upwards = 2.0 * widths(base)["carbon_dioxide"]
    down = sqrt((found.ph - found.low) ** 2 - 0.06**2)
    up = sqrt((found.high - found.ph) ** 2 - 0.06**2 - upwards**2)
    assert down == pytest.approx(-half, rel=0.02)
    assert up == pytest.approx(twice, rel=0.02)
    assert widths(base)["chalk"] == pytest.approx(0.5 * (twice - half), rel=0.02)


def test_a_mash_of_exact_inputs_keeps_the_error_of_the_model() -> None:
    # model card: ±0.06 pH; at the thickness of the malt's test and without carbonate and calcium
    # nothing else is open. Read at 25 °C: the measured mashes were read at 24 to 26 °C
    base = MashInput(
        (MaltShare("pale", 1.0, exactly(5.7), exactly(40.0), 4.0, True),),
        exactly(4.0),
        water_ph=exactly(7.0),
    )
    found = predict(base)
    assert [driver.id for driver in found.drivers] == ["model"]
    assert found.drivers[0].half_width == pytest.approx(0.06)
    assert found.high - found.ph == pytest.approx(0.06)
    assert found.ph - found.low == pytest.approx(0.06)
    assert found.at_celsius == 25.0


def test_every_driver_says_what_it_is() -> None:
    value = Estimate(0.5, 1.0, 2.0)
    acid = AcidCharge("lactic acid", value, (3.86,))
    malt = MaltShare("pale", 1.0, Estimate(5.5, 5.7, 5.9), Estimate(30.0, 40.0, 50.0), 8.0)
    found = predict(
        MashInput(
            (malt,),
            Estimate(2.8, 3.0, 3.2),
            value,
            calcium_meq_l=Estimate(5.0, 6.0, 7.0),
            magnesium_meq_l=value,
            acids=(acid,),
            bicarbonate_mmol_l=value,
            hydroxide_meq_kg=value,
            chalk_meq_l=value,
            crush_factor=Estimate(0.7, 0.76, 0.8),
        )
    )
    words = {
        "acid:lactic acid": "lactic acid",
        "alkalinity": "alkalinity",
        "bicarbonate": "bicarbonate",
        "calcium": "calcium",
        "calcium_above_linear": "100 mg/L",
        "calcium_magnesium": "calcium and magnesium",
        "carbon_dioxide": "carbon dioxide",
        "chalk": "chalk",
        "crush": "crush",
        "dilution": "thinning",
        "hydroxide": "lime or lye",
        "magnesium": "magnesium",
        "malt_buffer:pale#0": "buffer of pale",
        "malt_ph:pale#0": "pH of pale",
        "model": "the model",
        "thickness": "water to grist",
        "water_ph": "pH of the water",
    }
    assert {driver.id for driver in found.drivers} == set(words)
    for driver in found.drivers:
        assert words[driver.id] in driver.label
