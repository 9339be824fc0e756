"""What water works print: every unit with its basis, words for none and about, names of rows."""

from __future__ import annotations

from typing import Any

import periodictable
import pint
import pytest

from recipe_tools.checking import check_bytes
from recipe_tools.config.load import options_from_table
from recipe_tools.quantities import QuantityError
from recipe_tools.reference import table
from recipe_tools.water_report import KEYS, ReportError, WaterReport, report_from_table
from recipe_tools.water_report.units import alkalinity, concentration, hardness
from tests.rules.whole_files import STANDARDS, written

LITRE = pint.UnitRegistry()("1 L")


def mass(formula: str) -> float:
    return float(periodictable.formula(formula).mass)


def mg_l(amount: str) -> float:
    """Return mg/L of a mass in a volume, by the definitions of a general library."""
    return float(pint.UnitRegistry()(amount).to("milligram/liter").magnitude)


CACO3 = mass("CaCO3") / 2
CAO = mass("CaO") / 2
DEGREES = {
    # unit: mEq/L of one. Degrees of hardness are defined by CaO or CaCO3 (DIN 38409-6, NF T 90-003,
    # BS 2690, from memory); a grain per gallon is of CaCO3 in water softening (common practice).
    "°dH": 10 / CAO,
    "°d": 10 / CAO,
    "dH": 10 / CAO,
    "°GH": 10 / CAO,
    "°KH": 10 / CAO,
    "°dKH": 10 / CAO,
    "°n": 10 / CAO,
    "°fH": 10 / CACO3,
    "°f": 10 / CACO3,
    "°F": 10 / CACO3,
    "°TH": 10 / CACO3,
    "°HF": 10 / CACO3,
    "°e": mg_l("1 grain/imperial_gallon") / CACO3,
    "Clark": mg_l("1 grain/imperial_gallon") / CACO3,
    "gr/imp gal": mg_l("1 grain/imperial_gallon") / CACO3,
    "gpg": mg_l("1 grain/gallon") / CACO3,
    "gr/gal": mg_l("1 grain/gallon") / CACO3,
    "grains per gallon": mg_l("1 grain/gallon") / CACO3,
    "mEq/L": 1.0,
    "meq/l": 1.0,
    "mval/l": 1.0,
    "mval/dm3": 1.0,
    "mekv/l": 1.0,
    "val/m3": 1.0,
}


@pytest.mark.parametrize(("unit", "meq"), DEGREES.items())
def test_units_of_hardness_have_their_own_basis(unit: str, meq: float) -> None:
    text = f"7 {unit}"
    assert hardness(text).value.best == pytest.approx(7 * meq, rel=2e-4)
    assert alkalinity(text).value.best == pytest.approx(7 * meq, rel=2e-4)
    assert not alkalinity(text).open_basis
    assert concentration(text, "calcium").value.best == pytest.approx(
        7 * meq * mass("Ca") / 2, rel=2e-4
    )
    assert concentration(text, "magnesium").value.best == pytest.approx(
        7 * meq * mass("Mg") / 2, rel=2e-4
    )


def test_grains_of_calcium_are_as_calcium_carbonate_unless_they_say_otherwise() -> None:
    # 8.77 gr/US gal are 150 mg/L: of CaCO3, that is 60 mg/L of calcium
    assert concentration("8.77 gpg", "calcium").value.best == pytest.approx(60.1, abs=0.1)
    assert concentration("8.77 gpg as CaCO3", "calcium").value.best == pytest.approx(60.1, abs=0.1)
    assert concentration("8.77 gpg as Ca", "calcium").value.best == pytest.approx(150.1, abs=0.1)
    report = report_from_table({"calcium": "8.77 gpg", "alkalinity": "2 mmol/L"})
    assert [doubt.id for doubt in report.doubts] == ["grains-as-caco3"]


MASSES = {
    "mg/L": 1.0, "mg/l": 1.0, "MG/L": 1.0, "ppm": 1.0, "mg/kg": 1.0, "mg/dm3": 1.0, "mg/dm³": 1.0,
    "mg·L⁻¹": 1.0, "mg L-1": 1.0, "mg.l-1": 1.0, "mg·dm⁻³": 1.0, "mg l^-1": 1.0, "mg / l": 1.0,
    "mg/litre": 1.0, "mg/Liter": 1.0, "mg/litro": 1.0, "g/m3": 1.0, "g/m³": 1.0, "g/L": 1000.0,
    "µg/L": 0.001, "ug/l": 0.001, "µg/dm3": 0.001, "ppb": 0.001, "g/hL": 10.0, "kg/m3": 1000.0,
}  # fmt: skip


@pytest.mark.parametrize(("unit", "factor"), MASSES.items())
def test_units_of_mass_are_of_the_ion_and_of_calcium_carbonate_for_hardness(
    unit: str, factor: float
) -> None:
    assert concentration(f"50 {unit}", "sulfate").value.best == pytest.approx(50 * factor)
    assert hardness(f"50 {unit}").value.best == pytest.approx(50 * factor / CACO3, rel=2e-4)
    stated = alkalinity(f"50 {unit}")
    assert stated.open_basis
    assert stated.value.best == pytest.approx(50 * factor / CACO3, rel=2e-4)
    assert stated.value.low == pytest.approx(50 * factor / mass("HCO3"), rel=2e-4)


@pytest.mark.parametrize("unit", ["mmol/L", "mmol/dm3", "mol/m3", "mmol·L⁻¹"])
def test_moles_are_of_the_ion_of_protons_and_of_both_hardness_ions(unit: str) -> None:
    assert concentration(f"2 {unit}", "calcium").value.best == pytest.approx(
        2 * mass("Ca"), rel=1e-4
    )
    assert alkalinity(f"2 {unit}").value.best == pytest.approx(2.0)
    assert hardness(f"2 {unit}").value.best == pytest.approx(4.0)


@pytest.mark.parametrize("unit", ["mg CaCO3/L", "mgCaCO3/dm3", "mg(CaCO3)/l", "ppm CaCO3"])
def test_a_basis_may_stand_inside_the_unit(unit: str) -> None:
    assert alkalinity(f"100 {unit}").value.best == pytest.approx(100 / CACO3, rel=2e-4)
    assert not alkalinity(f"100 {unit}").open_basis


@pytest.mark.parametrize(
    ("text", "low", "best", "high"),
    [
        ("55 / 62 / 70 mg/L", 55, 62, 70),
        ("62 mg/L (55 - 70)", 55, 62, 70),
        ("62 (55-70) mg/l", 55, 62, 70),
        ("55 bis 70 mg/l", 55, 62.5, 70),
        ("55 à 70 mg/l", 55, 62.5, 70),
        ("55 mg/l - 70 mg/l", 55, 62.5, 70),
        ("60 ± 5 mg/L", 55, 60, 65),
        ("60 +/- 5", 55, 60, 65),
        # about: 10 % either way is a derived_default
        *[
            (f"{word} 60 mg/L", 54, 60, 66)
            for word in ("ca.", "ca", "~", "≈", "about", "approx.", "etwa", "environ", "aprox.",
                         "circa", "około", "cca", "ongeveer", "omkring")
        ],
        *[
            (f"{word} 0.5 mg/L", 0, 0.25, 0.5)
            for word in ("<", "< ", "<=", "≤", "less than", "unter", "moins de", "poniżej")
        ],
        *[
            (word, 0, 0, 0)
            for word in ("n.d.", "ND", "not detected", "n.n.", "nicht nachweisbar", "non détecté",
                         "niet aantoonbaar", "no detectado", "non rilevato", "nie wykryto",
                         "nezjištěno", "ikke påvist", "BDL", "< LOD")
        ],
    ],
)  # fmt: skip
def test_values_as_they_are_printed(text: str, low: float, best: float, high: float) -> None:
    assert concentration(text, "sulfate").value == pytest.approx((low, best, high))


@pytest.mark.parametrize(
    "text", ["> 5 mg/L", "60 to", "70 / 62 / 55", "62 mg/L (55 - 70 g/L)", "a"]
)
def test_what_is_still_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        concentration(text, "sulfate")


@pytest.mark.parametrize(
    "rows",
    [
        {"calcium": {"min": 55, "mean": "62 mg/L", "max": 70}},
        {"calcium": {"minimum": 55, "average": 62, "maximum": 70, "unit": "mg/L"}},
        {"calcium_min": 55, "calcium_mean": 62, "calcium_max": 70},
        {"Kalzium_min": 55, "Kalzium_average": 62, "Kalzium_max": 70},
        {"calcium": [55, 62, 70]},
    ],
)
def test_columns_of_a_year(rows: dict[str, Any]) -> None:
    report = report_from_table({**rows, "alkalinity": "2 mmol/L"})
    assert report.ions_mg_l["calcium"] == (55, 62, 70)


def test_a_mean_alone_stands_for_its_row() -> None:
    assert report_from_table({"calcium_mean": 62, "ph": 7}).ions_mg_l["calcium"].best == 62


@pytest.mark.parametrize(
    "rows",
    [
        {"calcium": 1, "Ca": 2},
        {"calcium_min": 1, "calcium": 2},
        {"calcium_min": 1, "Ca_min": 2},
        {"calcium": {"min": 3, "mean": 2, "max": 4}},
        {"calcium": {"mean": [1, 2]}},
        {"calcium_min": 1},
        {"calcium": {"mean": 2, "unit": 3}},
    ],
)
def test_columns_that_contradict_each_other_are_refused(rows: dict[str, Any]) -> None:
    with pytest.raises(ReportError):
        report_from_table({**rows, "alkalinity": "2 mmol/L"})


def test_what_nobody_measured_is_no_zero() -> None:
    report = report_from_table(
        {"sodium": "-", "chlorine": "nicht bestimmt", "alkalinity": "2 mval/l"}
    )
    assert "sodium" not in report.ions_mg_l
    assert report.chlorine_mg_l is None
    assert [doubt.id for doubt in report.doubts] == ["not-measured"]


@pytest.mark.parametrize("row", table("water_report_names"), ids=lambda row: row["name"])
def test_every_printed_name_is_read(row: dict[str, str]) -> None:
    value: Any = {"ph": 7.4, "temperature": 12, "conductivity": 400}.get(row["key"], 2)
    alone = {"alkalinity": "2 mmol/L", "ph": 7}
    report = report_from_table(
        {row["name"]: value, **{k: v for k, v in alone.items() if k != row["key"]}}
    )
    assert row["key"] in KEYS
    assert isinstance(report, WaterReport)


@pytest.mark.parametrize(
    ("rows", "meq"),
    [
        # a bare number under these names has the unit of its country: acid capacity in mmol/L
        # (DIN 38409-7), TAC in French degrees (NF EN ISO 9963-1), Karbonathärte in German ones
        ({"Säurekapazität": 2.7}, 2.7),
        ({"Säurekapazität bis pH 4,3": "2,70 mmol/l"}, 2.7),
        ({"Ks4.3": 2.7}, 2.7),
        ({"KS 4,3 (mmol/l)": 2.7}, 2.7),
        ({"KNK4,5": 2.7}, 2.7),
        ({"TAC": 13.5}, 13.5 * 10 / CACO3),
        ({"TAC": "13,5 °f"}, 13.5 * 10 / CACO3),
        ({"Karbonathärte": 7.6}, 7.6 * 10 / CAO),
        ({"Alkalinity as CaCO3": 135}, 135 / CACO3),
        ({"Alkalinity (as CaCO3)": "135 mg/L"}, 135 / CACO3),
        ({"zasadowość": "2,7 mval/dm3"}, 2.7),
        ({"hydrogencarbonate": "165 mg/L"}, 165 / mass("HCO3")),
        ({"Hydrogenkarbonat": 165}, 165 / mass("HCO3")),
        ({"hydrogénocarbonates": 165}, 165 / mass("HCO3")),
        ({"wodorowęglany": 165}, 165 / mass("HCO3")),
    ],
)
def test_alkalinity_under_the_names_of_its_countries(rows: dict[str, Any], meq: float) -> None:
    report = report_from_table(rows)
    assert report.alkalinity_meq_l.best == pytest.approx(meq, rel=3e-4)
    assert not [doubt for doubt in report.doubts if doubt.id == "alkalinity-basis"]


@pytest.mark.parametrize(
    ("rows", "ion", "factor"),
    [
        ({"Nitrate as N": 2}, "nitrate", mass("NO3") / mass("N")),
        ({"NO3-N": "2 mg/L"}, "nitrate", mass("NO3") / mass("N")),
        ({"SO4-S": 2}, "sulfate", mass("SO4") / mass("S")),
        ({"Calcium hardness": 2}, "calcium", mass("Ca") / mass("CaCO3")),
        ({"Calcium (°dH)": 2}, "calcium", 10 * mass("Ca") / mass("CaO")),
        ({"Sulphate (mg/l)": 2}, "sulfate", 1.0),
    ],
)
def test_a_name_may_tell_unit_and_basis(rows: dict[str, Any], ion: str, factor: float) -> None:
    report = report_from_table({**rows, "alkalinity": "2 mmol/L"})
    assert report.ions_mg_l[ion].best == pytest.approx(2 * factor, rel=3e-4)


PAPERS: dict[str, dict[str, Any]] = {
    "de": {"Calcium": "62 mg/l", "Magnesium": "9,5 mg/l", "Natrium": "21 mg/l",
           "Chlorid": "34 mg/l", "Sulfat": "52 mg/l", "Säurekapazität bis pH 4,3": 2.7},
    "fr": {"Calcium": "62 mg/L", "Magnésium": "9,5 mg/L", "Sodium": "21 mg/L",
           "Chlorures": "34 mg/L", "Sulfates": "52 mg/L", "TAC": "13,51 °f"},
    "nl": {"Calcium": "62 mg/l", "Magnesium": "9,5 mg/l", "Natrium": "21 mg/l",
           "Chloride": "34 mg/l", "Sulfaat": "52 mg/l", "Waterstofcarbonaat": "164,7 mg/l"},
    "es": {"Calcio": "62 mg/L", "Magnesio": "9,5 mg/L", "Sodio": "21 mg/L",
           "Cloruros": "34 mg/L", "Sulfatos": "52 mg/L", "Bicarbonatos": "164,7 mg/L"},
    "it": {"Calcio": "62 mg/l", "Magnesio": "9,5 mg/l", "Sodio": "21 mg/l",
           "Cloruri": "34 mg/l", "Solfati": "52 mg/l", "Bicarbonati": "164,7 mg/l"},
    "cs": {"Vápník": "62 mg/l", "Hořčík": "9,5 mg/l", "Sodík": "21 mg/l",
           "Chloridy": "34 mg/l", "Sírany": "52 mg/l", "KNK4,5": "2,7 mmol/l"},
    "pl": {"Wapń": "62 mg/dm3", "Magnez": "9,5 mg/dm3", "Sód": "21 mg/dm3",
           "Chlorki": "34 mg/dm3", "Siarczany": "52 mg/dm3", "Zasadowość": "2,7 mval/dm3"},
    "da": {"Calcium": "62 mg/L", "Magnesium": "9,5 mg/L", "Natrium": "21 mg/L",
           "Klorid": "34 mg/L", "Sulfat": "52 mg/L", "Bikarbonat": "164,7 mg/L"},
    "sv": {"Kalcium": "62 mg/l", "Magnesium": "9,5 mg/l", "Natrium": "21 mg/l",
           "Klorid": "34 mg/l", "Sulfat": "52 mg/l", "Alkalinitet": "164,7 mg HCO3/l"},
}  # fmt: skip


@pytest.mark.parametrize("standard", STANDARDS)
@pytest.mark.parametrize("language", PAPERS)
def test_a_report_of_any_country_is_the_same_water(language: str, standard: str) -> None:
    name, data = written(standard, {})
    options = options_from_table({"water": {"report": PAPERS[language]}})
    (recipe,) = check_bytes(data, name, options).recipes
    assert recipe.day is not None
    source = recipe.day.source
    wanted = {"calcium": 62, "magnesium": 9.5, "sodium": 21, "chloride": 34, "sulfate": 52}
    assert {ion: source.ions_mg_l[ion].best for ion in wanted} == pytest.approx(wanted)
    assert source.alkalinity_meq_l.best == pytest.approx(2.70, abs=0.005)


@pytest.mark.parametrize(
    "text", ["< 0.05 mg/L", "n.d.", "unter 0,05 mg/l", {"min": "< 0.05", "max": "<0.05"}]
)
@pytest.mark.parametrize("standard", STANDARDS)
def test_chlorine_below_what_can_be_told_is_not_treated(standard: str, text: Any) -> None:
    # a censored value: nothing is known to be there, and the band says what may be
    rows = {"alkalinity": "2 mmol/L", "chlorine": text}
    report = report_from_table(rows)
    assert report.chlorine_mg_l == 0.0
    assert report.chlorine_band_mg_l is not None and report.chlorine_band_mg_l.low == 0.0
    assert {doubt.id for doubt in report.doubts} <= {"below-detection", "not-detected"}
    assert report.doubts
    name, data = written(standard, {})
    checked = check_bytes(data, name, options_from_table({"water": {"report": rows}}))
    assert not [item for item in checked.findings if "chlor" in item.rule]
    said = [item.text for item in checked.recipes[0].day.assumptions]  # type: ignore[union-attr]
    assert any("chlorine" in text for text in said)


def test_chlorine_of_the_configuration_is_read_alike() -> None:
    assert options_from_table({"water": {"chlorine_mg_l": "< 0.5 mg/L"}}).chlorine_mg_l == 0.0
