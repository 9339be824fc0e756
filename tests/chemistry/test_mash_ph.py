"""The mash pH model against test vectors, hand arithmetic and common sense."""

from __future__ import annotations

import random

import pytest

from recipe_tools.chemistry.estimate import ZERO, Estimate, exactly
from recipe_tools.chemistry.mash_ph import AcidCharge, MaltShare, MashInput, ph_only, predict

Malt = tuple[float, float, float, float]


def mash(
    malts: list[Malt],
    ratio: float,
    alkalinity: float = 0.0,
    calcium: float = 0.0,
    magnesium: float = 0.0,
    acid_meq_kg: float = 0.0,
    water_ph: float = 7.0,
    bicarbonate: float = 0.0,
) -> MashInput:
    """Build a mash of exactly known inputs; malts are (share, DI pH, buffer, L/kg of DI test)."""
    return MashInput(
        malts=tuple(
            MaltShare(f"malt {place}", share, exactly(ph), exactly(buffer), litres)
            for place, (share, ph, buffer, litres) in enumerate(malts)
        ),
        water_to_grist_l_kg=exactly(ratio),
        alkalinity_meq_l=exactly(alkalinity),
        water_ph=exactly(water_ph),
        calcium_meq_l=exactly(calcium),
        magnesium_meq_l=exactly(magnesium),
        acids=(AcidCharge("strong acid", exactly(acid_meq_kg), (), 1),) if acid_meq_kg else (),
        bicarbonate_mmol_l=exactly(bicarbonate),
    )


PALE: Malt = (1.0, 5.72, 38.0, 4.0)

VECTORS = {
    "pale malt alone, 4 L/kg": (mash([PALE], 4.0), 5.720),
    "thicker": (mash([PALE], 3.0), 5.683),
    "alkaline water": (mash([PALE], 4.0, 3.0, water_ph=8.0), 5.944),
    "and hard": (mash([PALE], 4.0, 3.0, 4.0, 1.0, water_ph=8.0), 5.825),
    "and acidified": (mash([PALE], 3.0, 3.0, 4.0, 1.0, 6.0, water_ph=8.0), 5.621),
    "with caramel and roasted malt": (
        mash([(0.8, 5.72, 38, 4), (0.15, 4.92, 40, 8), (0.05, 4.71, 42, 8)], 3.0, 0.0, 2.5),
        5.428,
    ),
    "with acidulated malt": (
        mash([(0.97, 5.72, 38, 4), (0.03, 3.43, 148, 8)], 3.0, 0.0, 2.5),
        5.375,
    ),
    "half wheat": (
        mash([(0.5, 6.05, 45, 4), (0.5, 5.72, 38, 4)], 3.5, 1.0, 2.0, 0.5, water_ph=7.5),
        5.886,
    ),
}
"""Vectors computed outside this project from the published equations (deLange 2015, Kolbach 1953,
Plummer and Busenberg 1982), k = 0.30, titration to pH 4.3. They check arithmetic, not nature."""


@pytest.mark.parametrize("name", VECTORS)
def test_the_balance_reproduces_the_test_vectors(name: str) -> None:
    given, expected = VECTORS[name]
    assert ph_only(given) == pytest.approx(expected, abs=0.002)


def test_a_mash_worked_by_hand() -> None:
    # 90 % pale malt (5.72, 40 mEq/(kg pH), tested at 4 L/kg) and 10 % caramel malt (4.92, 40, at
    # 8 L/kg) in 4 L/kg of distilled water with 3.5 mEq/L calcium, 1 mmol/L baking soda and
    # 2 mEq/kg of hydrochloric acid.
    #   caramel malt at 4 L/kg: 4.92 + 0.30 x log10(4/8) = 4.92 - 0.0903 = 4.8297
    #   grist in distilled water: 0.9 x 5.72 + 0.1 x 4.8297 = 5.6310, buffer 40
    #   calcium: 4 x 3.5/3.5 = 4 mEq/kg -> -4/40 = -0.100
    #   acid:    2 mEq/kg -> -2/40 = -0.050
    #   baking soda takes 4 x (1 - q): at pH 5.567 q = 1/(1 + 10^(6.352 - 5.567)) = 0.1409,
    #            4 x 0.8591 = 3.436 mEq/kg -> +3.436/40 = +0.0859
    #   free acid of the water at 5.567: 4 x 0.0027 = 0.011 mEq/kg -> +0.0003
    #   5.6310 - 0.100 - 0.050 + 0.0859 + 0.0003 = 5.5672
    given = mash(
        [(0.9, 5.72, 40, 4), (0.1, 4.92, 40, 8)],
        4.0,
        calcium=3.5,
        acid_meq_kg=2.0,
        bicarbonate=1.0,
    )
    found = predict(given)
    assert found.ph == pytest.approx(5.5672, abs=0.0005)
    assert found.contributions_meq_kg["calcium_magnesium"] == pytest.approx(4.0)
    assert found.contributions_meq_kg["acid"] == pytest.approx(2.0)
    assert found.contributions_meq_kg["base"] == pytest.approx(-3.436, abs=0.002)
    assert found.contributions_ph["malt"] == pytest.approx(5.6310, abs=0.0001)
    assert found.contributions_ph["acid"] == pytest.approx(-0.050, abs=0.0001)


def uncertain_mash(**changes: object) -> MashInput:
    """Build a mash in which everything is open."""
    values: dict[str, object] = {
        "malts": (
            MaltShare("pale", 0.9, Estimate(5.5, 5.72, 5.94), Estimate(30, 41, 53), 4.0, group="p"),
            MaltShare("dark", 0.1, Estimate(4.7, 4.9, 5.1), Estimate(32, 40, 54), 8.0, group="d"),
        ),
        "water_to_grist_l_kg": Estimate(2.8, 3.0, 3.2),
        "alkalinity_meq_l": Estimate(2.0, 3.0, 4.0),
        "water_ph": Estimate(7.0, 8.0, 8.4),
        "calcium_meq_l": Estimate(2.0, 3.0, 4.0),
        "magnesium_meq_l": Estimate(0.5, 1.0, 1.5),
        "acids": (AcidCharge("lactic", Estimate(3.0, 4.0, 5.0), (3.86,)),),
        "crush_factor": Estimate(0.65, 0.76, 0.85),
    }
    values.update(changes)
    return MashInput(**values)  # type: ignore[arg-type]


def test_contributions_add_up_to_zero_and_to_the_ph() -> None:
    found = predict(
        uncertain_mash(
            bicarbonate_mmol_l=exactly(1.0), hydroxide_meq_kg=exactly(1.0), chalk_meq_l=exactly(2.0)
        )
    )
    assert set(found.contributions_meq_kg) == set(found.contributions_ph)
    assert sum(found.contributions_meq_kg.values()) == pytest.approx(0.0, abs=1e-6)
    assert sum(found.contributions_ph.values()) == pytest.approx(found.ph, abs=1e-8)
    assert found.contributions_meq_kg["carbonate"] < 0 < found.contributions_meq_kg["acid"]


def test_each_end_of_the_band_is_where_the_balance_itself_puts_it() -> None:
    # one input open at a time: the linear band must follow the solved balance closely
    for field, value in (
        ("alkalinity_meq_l", Estimate(2.5, 3.0, 3.5)),
        ("calcium_meq_l", Estimate(2.0, 3.0, 4.0)),
        ("water_ph", Estimate(7.5, 8.0, 8.3)),
        ("water_to_grist_l_kg", Estimate(2.8, 3.0, 3.2)),
        ("crush_factor", Estimate(0.70, 0.76, 0.82)),
        ("bicarbonate_mmol_l", Estimate(0.5, 1.0, 1.5)),
        ("hydroxide_meq_kg", Estimate(0.5, 1.0, 1.5)),
    ):
        fixed = {
            "malts": (MaltShare("pale", 1.0, exactly(5.72), exactly(41.0), 4.0),),
            "water_to_grist_l_kg": exactly(3.0),
            "alkalinity_meq_l": exactly(3.0),
            "water_ph": exactly(8.0),
            "calcium_meq_l": exactly(3.0),
            "magnesium_meq_l": ZERO,
            "acids": (),
            "crush_factor": exactly(0.76),
        }
        driver_id = {
            "water_to_grist_l_kg": "thickness",
            "alkalinity_meq_l": "alkalinity",
            "calcium_meq_l": "calcium",
            "crush_factor": "crush",
            "bicarbonate_mmol_l": "bicarbonate",
            "hydroxide_meq_kg": "hydroxide",
        }.get(field, field)
        solved = [
            ph_only(uncertain_mash(**{**fixed, field: exactly(end)}))
            for end in (value.low, value.high)
        ]
        found = predict(uncertain_mash(**{**fixed, field: value}))
        driver = next(item for item in found.drivers if item.id == driver_id)
        assert driver.half_width == pytest.approx(abs(solved[1] - solved[0]) / 2, rel=0.05), field


def test_the_band_is_that_of_a_thousand_brew_days() -> None:
    # every open input drawn from a normal distribution whose 95 % lie between its ends; what the
    # model adds of its own (thinning, calcium, CO2, model error) is left out of both sides
    dice = random.Random(5)
    given = uncertain_mash()
    own = {"model", "dilution", "calcium_magnesium", "carbon_dioxide"}
    found = predict(given)
    expected = sum(d.half_width**2 for d in found.drivers if d.id not in own) ** 0.5

    def drawn(value: Estimate) -> Estimate:
        end = dice.gauss(0.0, 1.0 / 1.96)
        span = value.high - value.best if end > 0.0 else value.best - value.low
        return exactly(value.best + end * span)

    def brew_day() -> float:
        fields = ("water_to_grist_l_kg", "alkalinity_meq_l", "water_ph", "calcium_meq_l")
        more = ("magnesium_meq_l", "crush_factor")
        changes: dict[str, object] = {
            name: drawn(getattr(given, name)) for name in (*fields, *more)
        }
        changes["malts"] = tuple(
            m._replace(di_ph=drawn(m.di_ph), buffer_meq_kg_ph=drawn(m.buffer_meq_kg_ph))
            for m in given.malts
        )
        changes["acids"] = tuple(a._replace(mmol_kg=drawn(a.mmol_kg)) for a in given.acids)
        return ph_only(uncertain_mash(**changes))

    days = sorted(brew_day() for _ in range(1000))
    assert 0.5 * (days[974] - days[24]) == pytest.approx(expected, rel=0.08)


def test_malts_of_one_group_are_off_together() -> None:
    def malts(first: str, second: str) -> tuple[MaltShare, ...]:
        open_ph, buffer = Estimate(5.5, 5.7, 5.9), exactly(40.0)
        return (
            MaltShare("one", 0.5, open_ph, buffer, 4.0, group=first),
            MaltShare("two", 0.5, open_ph, buffer, 4.0, group=second),
        )

    def half_width(first: str, second: str) -> float:
        found = predict(MashInput(malts(first, second), exactly(4.0), water_ph=exactly(7.0)))
        return sum(d.half_width**2 for d in found.drivers if d.id.startswith("malt_ph")) ** 0.5

    assert half_width("a", "a") == pytest.approx(0.2, rel=1e-3)
    assert half_width("a", "b") == pytest.approx(0.2 / 2**0.5, rel=1e-3)


def test_the_first_driver_is_what_is_worth_measuring() -> None:
    found = predict(uncertain_mash(alkalinity_meq_l=exactly(3.0)))
    assert found.drivers[0].id == "malt_ph:p"
    widths = [driver.half_width for driver in found.drivers]
    assert widths == sorted(widths, reverse=True)
    known = uncertain_mash().malts[1], MaltShare("pale", 0.9, exactly(5.72), exactly(41), 4.0)
    better = predict(uncertain_mash(alkalinity_meq_l=exactly(3.0), malts=known))
    assert better.high - better.low < 0.6 * (found.high - found.low)


def test_the_crush_factor_leaves_a_measured_buffer_alone() -> None:
    def with_crush(lot_known: bool, crush: float) -> float:
        malt = MaltShare("pale", 1.0, exactly(5.72), exactly(40.0), 4.0, lot_known)
        return ph_only(uncertain_mash(malts=(malt,), acids=(), crush_factor=exactly(crush)))

    assert with_crush(True, 0.76) == with_crush(True, 1.0)
    assert with_crush(False, 0.76) > with_crush(False, 1.0)


def test_calcium_beyond_what_was_measured_widens_the_band_upwards() -> None:
    # Taylor's series (Briggs et al. 2004) flattens above 100 mg/L
    found = predict(uncertain_mash(calcium_meq_l=exactly(9.0)))
    assert any(driver.id == "calcium_above_linear" for driver in found.drivers)
    assert any("calcium" in text for text in found.warnings)
    assert found.high - found.ph > found.ph - found.low


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [
        ("water_to_grist_l_kg", exactly(8.0), "L/kg"),
        ("alkalinity_meq_l", exactly(9.0), "alkalinity"),
        ("magnesium_meq_l", exactly(10.0), "magnesium"),
        ("chalk_meq_l", exactly(2.0), "chalk"),
        ("acids", (AcidCharge("lactic", exactly(60.0), (3.86,)),), "pH"),
    ],
)
def test_what_lies_outside_the_model_is_said(field: str, value: object, word: str) -> None:
    assert any(word in text for text in predict(uncertain_mash(**{field: value})).warnings)
    assert not any("no balance" in text for text in predict(uncertain_mash()).warnings)


def test_no_water_is_an_error_and_sugar_alone_is_not() -> None:
    with pytest.raises(ValueError, match="water_to_grist"):
        ph_only(uncertain_mash(water_to_grist_l_kg=exactly(0.0)))
    sugar = MaltShare("sugar", 1.0, exactly(7.0), ZERO, 4.0)
    found = predict(uncertain_mash(malts=(sugar,), acids=()))
    assert 6.0 < found.ph < 8.5
    assert "nothing in the grist buffers" in found.warnings


def test_acidulated_malt_lowers_the_ph_by_a_tenth_per_percent() -> None:
    # Oxford Companion to Beer: one percent of the grist lowers the mash pH by 0.1
    def with_share(share: float) -> float:
        return ph_only(
            mash([(1.0 - share, 5.72, 38.0 * 0.9, 4.0), (share, 3.43, 148.0, 8.0)], 3.0, 0.0, 2.5)
        )

    assert with_share(0.0) - with_share(0.01) == pytest.approx(0.1, abs=0.025)


def test_suspended_chalk_counts_half_with_half_its_calcium() -> None:
    # Troester (2009): up to 3-4 mEq/L suspended chalk acts as RA = A/2 - Ca/7, so like half as much
    # baking soda with half the calcium
    chalk = ph_only(uncertain_mash(acids=(), chalk_meq_l=exactly(3.0)))
    same = ph_only(
        uncertain_mash(acids=(), bicarbonate_mmol_l=exactly(1.5), calcium_meq_l=exactly(4.5))
    )
    assert chalk == pytest.approx(same, abs=1e-6)


def test_more_chalk_than_450_mg_per_litre_changes_nothing() -> None:
    # Troester (2009): no further rise above 400-500 mg/L (8 to 10 mEq/L)
    at_9, at_20 = (ph_only(uncertain_mash(chalk_meq_l=exactly(amount))) for amount in (9.0, 20.0))
    assert at_20 == at_9 > ph_only(uncertain_mash())


def held(ph: float, **changes: object) -> MashInput:
    """Build a mash that its malt holds at a pH whatever else is in it."""
    malt = MaltShare("pale", 1.0, exactly(ph), exactly(1e6), 4.0)
    return mash([], 4.0)._replace(malts=(malt,), **changes)  # type: ignore[arg-type]


MEASURED = {
    # model card: "2 to 5 L/kg, up to 5.5 mEq/L alkalinity, up to 150 mg/L calcium and pH 4.4 to 6.4
    # were measured"; calcium 20.039 and magnesium 12.1525 mg/mEq
    "thick": ("water_to_grist_l_kg", 2.0, 1.9, "1.9 L/kg: mashes of 2 to 5 L/kg"),
    "thin": ("water_to_grist_l_kg", 5.0, 5.1, "5.1 L/kg: mashes of 2 to 5 L/kg"),
    "calcium": ("calcium_meq_l", 149.9 / 20.039, 150.8 / 20.039, "151 mg/L calcium"),
    "magnesium": ("magnesium_meq_l", 8.0, 8.2, "100 mg/L magnesium"),
    "alkalinity": ("alkalinity_meq_l", 5.5, 5.6, "5.6 mEq/L alkalinity"),
    "baking soda": ("bicarbonate_mmol_l", 5.5, 5.6, "5.6 mEq/L alkalinity"),
    "free acid": ("alkalinity_meq_l", 0.0, -0.1, "water with free acid"),
    "chalk": ("chalk_meq_l", 0.0, 0.1, "suspended chalk reacts only in part"),
}


@pytest.mark.parametrize("name", MEASURED)
def test_a_warning_begins_where_the_measurements_end(name: str) -> None:
    field, inside, outside, text = MEASURED[name]
    assert predict(held(5.5, **{field: exactly(inside)})).warnings == ()
    (found,) = predict(held(5.5, **{field: exactly(outside)})).warnings
    assert found.startswith(text)


def test_chalk_counts_as_alkalinity_with_the_rest() -> None:
    found = predict(held(5.5, alkalinity_meq_l=exactly(3.0), chalk_meq_l=exactly(2.6))).warnings
    assert any(text.startswith("5.6 mEq/L alkalinity") for text in found)


@pytest.mark.parametrize(
    ("ph", "text"),
    [
        (2.6, "pH 2.6: the buffers of malt"),
        (4.3, "pH 4.3: the buffers of malt"),
        (4.5, None),
        (6.3, None),
        (6.5, "pH 6.5: the buffers of malt"),
        (8.9, "pH 8.9: the buffers of malt"),
    ],
)
def test_a_ph_at_which_malt_was_not_titrated_is_said(ph: float, text: str | None) -> None:
    found = predict(held(ph)).warnings
    assert [entry.partition(" were")[0] for entry in found] == ([text] if text else [])


@pytest.mark.parametrize(
    ("field", "value", "end"),
    [
        ("acids", (AcidCharge("sulfuric", exactly(5000.0), (1.99,), 1),), 2.5),
        ("hydroxide_meq_kg", exactly(5000.0), 9.0),
    ],
)
def test_an_impossible_dose_ends_at_the_edge_and_is_said(
    field: str, value: object, end: float
) -> None:
    found = predict(uncertain_mash(**{field: value}))
    assert found.ph == pytest.approx(end, abs=1e-6)
    assert any(text.startswith("no balance between pH 2.5 and 9") for text in found.warnings)


def test_a_grist_without_buffer_keeps_its_ph_as_its_own() -> None:
    # a malt of which there is nothing buffers nothing; the parts still add up to the pH
    sugar = MaltShare("sugar", 1.0, exactly(7.0), ZERO, 4.0)
    absent = MaltShare("pale", 0.0, exactly(5.7), exactly(40.0), 4.0)
    found = predict(uncertain_mash(malts=(sugar, absent), acids=()))
    assert "nothing in the grist buffers" in found.warnings
    assert sum(found.contributions_ph.values()) == pytest.approx(found.ph)
    assert found.contributions_ph["malt"] == found.ph
