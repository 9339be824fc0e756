"""Published analyses: which reading of the carbonate column balances, and other mix-ups."""

from __future__ import annotations

import pytest

from recipe_tools.rules.water.analysis import balance_of
from recipe_tools.water_report import report_from_table
from recipe_tools.water_report.balance import balance, closing_misreadings

HCO3 = 61.016


def ions(ca: float, mg: float, na: float, cl: float, so4: float) -> dict[str, float]:
    return {"calcium": ca, "magnesium": mg, "sodium": na, "chloride": cl, "sulfate": so4}


# Printed analyses of brewing towns. The column is headed carbonate in one compilation of 1995 and
# holds bicarbonate in some rows, carbonate in others. Sums worked by hand with equivalents of
# Ca 20.04, Mg 12.15, Na 22.99, Cl 35.45, SO4 48.03, HCO3 61.02, CO3 30.00.
DUBLIN_1902 = ions(119, 4, 12, 19, 53)  # Wahl & Henius 1902, American Handy Book 2:790; column 156
MUNICH = ions(75, 18, 2, 2, 10)  # Noonan, Brewing Lager Beer, p. 55; column 148
BURTON = ions(295, 45, 55, 25, 725)  # Papazian, The Home Brewer's Companion; column 300
DORTMUND = ions(250, 25, 70, 100, 280)  # Papazian, as above; column 550
VIENNA = ions(200, 60, 8, 12, 125)  # Noonan, as above; column 118


@pytest.mark.parametrize(
    ("analysis", "column", "as_bicarbonate", "as_carbonate"),
    [
        (DUBLIN_1902, 156, 23.6, -0.4),
        (MUNICH, 148, 32.8, 1.1),
        (BURTON, 300, 0.2, -10.7),
        (DORTMUND, 550, -0.2, -21.1),
        (VIENNA, 118, 51.6, 37.9),
    ],
)
def test_difference_under_both_readings_of_the_carbonate_column(
    analysis: dict[str, float], column: float, as_bicarbonate: float, as_carbonate: float
) -> None:
    first = balance(analysis, column / HCO3)
    second = balance(analysis, column / 30.004)
    assert first.difference_percent == pytest.approx(as_bicarbonate, abs=0.06)
    assert second.difference_percent == pytest.approx(as_carbonate, abs=0.06)


def test_burton_by_hand() -> None:
    # Ca 295/20.04 = 14.72, Mg 45/12.15 = 3.70, Na 55/22.99 = 2.39: 20.82 mEq/L.
    # HCO3 300/61.02 = 4.92, Cl 25/35.45 = 0.71, SO4 725/48.03 = 15.10: 20.72 mEq/L.
    result = balance(BURTON, 300 / HCO3)
    assert result.cations_meq_l == pytest.approx(20.82, abs=0.01)
    assert result.anions_meq_l == pytest.approx(20.72, abs=0.01)
    assert result.verdict == "balanced"


@pytest.mark.parametrize(("analysis", "column"), [(DUBLIN_1902, 156), (MUNICH, 148)])
def test_carbonate_in_the_bicarbonate_column_is_recognised_first(
    analysis: dict[str, float], column: float
) -> None:
    result = balance(analysis, column / HCO3)
    assert result.verdict == "implausible"
    assert result.closings[0].misreading.id == "carbonate-printed-as-bicarbonate"
    assert "holds carbonate (CO3)" in result.explanation


def test_an_analysis_that_no_mix_up_explains_says_so() -> None:
    result = balance(VIENNA, 118 / HCO3)
    assert result.verdict == "implausible"
    assert result.closings == ()
    assert "No usual mix-up" in result.explanation


# Plausible hard well water that balances: Ca 100, Mg 15, Na 30, Cl 45, SO4 120, NO3 25, alkalinity
# by difference. Each test below then prints one of its columns on another basis.
SOUND = {**ions(100, 15, 30, 45, 120), "nitrate": 25.0}
SOUND_ALKALINITY = (
    100 / 20.039 + 15 / 12.1525 + 30 / 22.990 - 45 / 35.45 - 120 / 48.028 - 25 / 62.004
)


def closing_ids(
    report: dict[str, float], alkalinity: float, column: str = "bicarbonate"
) -> list[str]:
    found = closing_misreadings(report, alkalinity, alkalinity_column=column)  # type: ignore[arg-type]
    return [item.misreading.id for item in found]


def test_the_sound_report_balances() -> None:
    result = balance(SOUND, SOUND_ALKALINITY)
    assert result.difference_percent == pytest.approx(0.0, abs=0.01)
    assert result.verdict == "balanced"
    assert result.closings == ()


def test_sulfate_printed_as_sulfur() -> None:
    printed = {**SOUND, "sulfate": 120 * 32.06 / 96.056}
    assert "sulfate-as-sulfur" in closing_ids(printed, SOUND_ALKALINITY)[:1]


def test_sulfate_and_nitrate_printed_as_elements() -> None:
    printed = {**SOUND, "sulfate": 120 * 32.06 / 96.056, "nitrate": 25 * 14.007 / 62.004}
    found = closing_ids(printed, SOUND_ALKALINITY)
    assert found[0] == "sulfate-as-sulfur-and-nitrate-as-nitrogen"


def test_nitrate_printed_as_nitrogen() -> None:
    # A well under fields: nitrate is a main anion there.
    heavy = {**SOUND, "nitrate": 180.0}
    alkalinity = SOUND_ALKALINITY - 155 / 62.004
    printed = {**heavy, "nitrate": 180 * 14.007 / 62.004}
    assert closing_ids(printed, alkalinity)[0] == "nitrate-as-nitrogen"


def test_alkalinity_as_calcium_carbonate_printed_as_bicarbonate() -> None:
    soft = ions(80, 5, 5, 5, 10)
    true = 80 / 20.039 + 5 / 12.1525 + 5 / 22.99 - 5 / 35.45 - 10 / 48.028
    printed = true * 50.043 / HCO3
    assert closing_ids(soft, printed)[0] == "alkalinity-printed-as-bicarbonate"


def test_bicarbonate_printed_as_alkalinity() -> None:
    soft = ions(80, 5, 5, 5, 10)
    true = 80 / 20.039 + 5 / 12.1525 + 5 / 22.99 - 5 / 35.45 - 10 / 48.028
    assert closing_ids(soft, true * HCO3 / 50.043, "alkalinity") == [
        "bicarbonate-printed-as-alkalinity"
    ]


def test_hardness_columns_printed_as_calcium_carbonate() -> None:
    printed = {**SOUND, "calcium": 100 * 2.4973, "magnesium": 15 * 4.1179}
    assert closing_ids(printed, SOUND_ALKALINITY)[0] == "hardness-columns-as-caco3"


def test_a_basis_the_report_states_is_not_doubted() -> None:
    report = report_from_table(
        {
            "calcium": 119,
            "magnesium": 4,
            "sodium": 12,
            "chloride": 19,
            "sulfate": "53 mg/L as SO4",
            "bicarbonate": "156 mg/L as HCO3",
        }
    )
    assert balance_of(report).closings == ()


@pytest.mark.parametrize(
    ("anions", "gap", "balanced"),
    [
        # Standard Methods 1030 E (from memory): 0.2 mEq/L up to 3 mEq/L of anions, 2 % up to 10,
        # 5 % above.
        (2.0, 0.19, True),
        (2.0, 0.21, False),
        (6.0, 6.0 * 2 * 0.019 / 0.981, True),
        (6.0, 6.0 * 2 * 0.021 / 0.979, False),
        (15.0, 15.0 * 2 * 0.049 / 0.951, True),
        (15.0, 15.0 * 2 * 0.051 / 0.949, False),
    ],
)
def test_limits_for_one_sample(anions: float, gap: float, balanced: bool) -> None:
    analysis = {
        "calcium": 20.039 * (anions + gap),
        "magnesium": 0.0,
        "sodium": 0.0,
        "chloride": 0.0,
        "sulfate": 0.0,
    }
    assert (balance(analysis, anions).verdict == "balanced") is balanced


def test_an_average_of_a_year_may_be_further_off() -> None:
    analysis = ions(20.039 * 6.5, 0, 0, 0, 0)
    # 100 x 0.5 / 12.5 = 4 %
    assert balance(analysis, 6.0, kind="sample").verdict == "unbalanced"
    assert balance(analysis, 6.0, kind="average").verdict == "balanced"


def test_a_missing_ion_is_named_with_the_amount_that_would_close_the_gap() -> None:
    without = {ion: amount for ion, amount in SOUND.items() if ion != "sodium"}
    result = balance(without, SOUND_ALKALINITY)
    assert result.verdict == "incomplete"
    assert result.missing == ("sodium",)
    assert "About 30 mg/L" in result.explanation


def test_a_gap_on_the_other_side_is_not_excused_by_a_missing_ion() -> None:
    without = {ion: amount for ion, amount in SOUND.items() if ion not in ("sodium", "sulfate")}
    result = balance({**without, "sulfate": 12.0}, SOUND_ALKALINITY)
    assert result.difference_percent > 0
    assert result.verdict in ("unbalanced", "implausible")
