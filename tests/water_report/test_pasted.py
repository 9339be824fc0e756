"""A table as copied from a PDF, a web page or a spreadsheet, in the languages of the countries.

The water is one and the same; its figures are invented. What it comes to is worked out here with
the atomic masses of periodictable, the units of pint, and the charge balance of Standard Methods
1030 E (100 x (cations - anions)/(cations + anions)).
"""

from __future__ import annotations

from typing import Any

import periodictable
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_tools.reference import table
from recipe_tools.water_report import KEYS, ReportError
from recipe_tools.water_report.pasted import read_pasted

IONS = {"calcium": 62.0, "magnesium": 9.5, "sodium": 21.0, "chloride": 34.0, "sulfate": 52.0}
ALKALINITY_MEQ_L = 2.70

HEADINGS = {
    "en": ("Parameter", "Unit", "Minimum", "Average", "Maximum", "Result", "Limit"),
    "de": ("Parameter", "Einheit", "Minimum", "Mittelwert", "Maximum", "Messwert", "Grenzwert"),
    "fr": ("Paramètre", "Unité", "Mini", "Moyenne", "Maxi", "Résultat", "Limite de qualité"),
    "nl": ("Parameter", "Eenheid", "Minimum", "Gemiddelde", "Maximum", "Waarde", "Norm"),
    "es": ("Parámetro", "Unidad", "Mínimo", "Valor medio", "Máximo", "Resultado", "Límite"),
    "it": ("Parametro", "Unità di misura", "Minimo", "Media", "Massimo", "Valore", "Limite"),
    "cs": ("Ukazatel", "Jednotka", "Minimum", "Průměr", "Maximum", "Hodnota", "Limit"),
    "pl": ("Parametr", "Jednostka", "Minimum", "Średnia", "Maksimum", "Wynik", "Norma"),
}
NAMES = {
    "en": ("Calcium", "Magnesium", "Sodium", "Chloride", "Sulphate"),
    "de": ("Kalzium", "Magnesium", "Natrium", "Chlorid", "Sulfat"),
    "fr": ("Calcium", "Magnésium", "Sodium", "Chlorures", "Sulfates"),
    "nl": ("Calcium", "Magnesium", "Natrium", "Chloride", "Sulfaat"),
    "es": ("Calcio", "Magnesio", "Sodio", "Cloruros", "Sulfatos"),
    "it": ("Calcio", "Magnesio", "Sodio", "Cloruri", "Solfati"),
    "cs": ("Vápník", "Hořčík", "Sodík", "Chloridy", "Sírany"),
    "pl": ("Wapń", "Magnez", "Sód", "Chlorki", "Siarczany"),
}
ALKALINITY = {
    # 2.70 mEq/L as each country prints it
    "en": ("Total alkalinity (as CaCO3)", "mg/L", "135.1"),
    "de": ("Säurekapazität bis pH 4,3", "mmol/l", "2,70"),
    "fr": ("Titre alcalimétrique complet", "°f", "13,51"),
    "nl": ("Waterstofcarbonaat", "mg/l", "164,7"),
    "es": ("Bicarbonatos", "mg/L", "164,7"),
    "it": ("Alcalinità totale", "mg/l CaCO3", "135,1"),
    "cs": ("KNK4,5", "mmol/l", "2,70"),
    "pl": ("Zasadowość ogólna", "mval/dm3", "2,7"),
}
LIMITS = {"sodium": "200", "chloride": "250", "sulfate": "250"}


def printed(value: float, language: str) -> str:
    text = f"{value:g}"
    return text if language == "en" else text.replace(".", ",")


def rows(language: str) -> list[tuple[str, str, str, str]]:
    """Return name, unit, figure and limit of every row of the water."""
    unit = "mg/dm3" if language == "pl" else "mg/l"
    found = [
        (name, unit, printed(value, language), LIMITS.get(ion, "-"))
        for name, (ion, value) in zip(NAMES[language], IONS.items(), strict=True)
    ]
    name, unit, value = ALKALINITY[language]
    return [*found, (name, unit, value, "-")]


def layouts(language: str) -> dict[str, str]:
    """Return the same table as text of several kinds."""
    name, unit, _, mean, _, value, limit = HEADINGS[language]
    lines = rows(language)
    return {
        "name value unit": "".join(f"{n} {v} {u}\n" for n, u, v, _ in lines),
        "name unit value": "".join(f"{n} ..... {u} {v}\n" for n, u, v, _ in lines),
        "colons": "".join(f"{n}: {v} {u}\r\n" for n, u, v, _ in lines),
        "limit first": f"{name} {unit} {limit} {value}\n"
        + "".join(f"{n} {u} {maximum} {v}\n" for n, u, v, maximum in lines),
        "limit left out": f"{name} {unit} {value} {limit}\n"
        + "".join(f"{n} {u} {v} {m.replace('-', '')}\n" for n, u, v, m in lines),
        "tabs": f"{name}\t{value}\t{limit}\t{unit}\n"
        + "".join(f"{n}\t{v}\t{m}\t{u}\n" for n, u, v, m in lines),
        "semicolons": f"{name};{unit};{mean}\n" + "".join(f"{n};{u};{v}\n" for n, u, v, _ in lines),
        "quoted": f'"{name}","{unit}","{mean}"\n'
        + "".join(f'"{n}","{u}","{v}"\n' for n, u, v, _ in lines),
        "bars": f"| {name} | {unit} | {mean} |\n|---|---|---|\n"
        + "".join(f"| {n} | {u} | {v} |\n" for n, u, v, _ in lines),
        "one below the other": "".join(f"{n}\n{v}\n{u}\n" for n, u, v, _ in lines),
    }


KINDS = tuple(layouts("en"))


def check_water(report: Any) -> None:
    for ion, value in IONS.items():
        assert report.ions_mg_l[ion].best == pytest.approx(value), ion
    assert report.alkalinity_meq_l.best == pytest.approx(ALKALINITY_MEQ_L, rel=2e-3)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", HEADINGS)
def test_the_same_water_in_every_language_and_layout(language: str, kind: str) -> None:
    pasted = read_pasted(layouts(language)[kind].encode())
    check_water(pasted.report)
    assert [line.why for line in pasted.lines if line.why] == []
    assert len(pasted.lines) == 6


@pytest.mark.parametrize("page", ["cp1252", "cp1250", "utf-16", "utf-8-sig"])
@pytest.mark.parametrize("language", HEADINGS)
def test_spreadsheets_write_many_encodings(language: str, page: str) -> None:
    text = layouts(language)["semicolons"]
    try:
        data = text.encode(page)
    except UnicodeEncodeError:
        pytest.skip(f"{page} cannot write {language}")
    check_water(read_pasted(data).report)


@pytest.mark.parametrize("separator", [";", "\t", ",", " "])
@pytest.mark.parametrize("language", HEADINGS)
def test_minimum_mean_and_maximum_become_a_span(language: str, separator: str) -> None:
    name, unit, low, mean, high, _, limit = HEADINGS[language]
    comma = separator == ","
    lines = [separator.join((name, unit, low, mean, high, limit))]
    for row, its_unit, value, maximum in rows(language):
        best = float(value.replace(",", "."))
        figures = (
            printed(float(f"{best * part:.3g}"), "en" if comma else language)
            for part in (0.9, 1, 1.2)
        )
        lines.append(separator.join((row, its_unit, *figures, maximum)))
    if comma:
        lines = [line.replace("KNK4,5", '"KNK4,5"').replace("pH 4,3", "pH 4.3") for line in lines]
    pasted = read_pasted("\n".join(lines).encode())
    check_water(pasted.report)
    calcium = pasted.report.ions_mg_l["calcium"]
    assert (calcium.low, calcium.high) == pytest.approx((0.9 * 62, 1.2 * 62), rel=1e-4)
    assert pasted.report.kind == "average"


@pytest.mark.parametrize(
    ("line", "key", "best"),
    [
        ("Calcium (Ca2+) 62,0 mg/l DIN EN ISO 11885 (E22)", "calcium", 62),
        ("Calcium Ca 62 mg/l 12.03.2024", "calcium", 62),
        ("7. Calcium, dissolved ........ 62 mg/L", "calcium", 62),
        ("Sulphate mg SO4/l 52", "sulfate", 52),
        ("Nitrate (as NO3) 4.3 mg/L", "nitrate", 4.3),
        # 1 mg/L of nitrogen is 62.004/14.007 of nitrate
        ("Nitrate (as N) 1.0 mg/L", "nitrate", 4.427),
        ("Iron total < 20 µg/l", "iron", 0.01),
        ("Iron, total 35 µg/l", "iron", 0.035),
        ("Sodium: min 18 mean 21 max 25 mg/l", "sodium", 21),
        ("Sodium ca. 21 mg/l", "sodium", 21),
        ("Sulfat 48 - 56 mg/l", "sulfate", 52),
        ("Magnesium 0,39 mmol/l", "magnesium", 9.479),
        ("Chloride 34", "chloride", 34),
        ("Calcium mg/l 62 no standard", "calcium", 62),
        ("Kalium mg/l kein Grenzwert 3,1", "potassium", 3.1),
        ("SO₄²⁻ 52 mg·l⁻¹", "sulfate", 52),
        ("Magnesium\u00a09,5\u202fmg/l", "magnesium", 9.5),
    ],
)
def test_lines_as_laboratories_print_them(line: str, key: str, best: float) -> None:
    (read,) = read_pasted(line.encode()).lines
    assert (read.key, read.why) == (key, "")
    found = read_pasted(line.encode()).report.ions_mg_l[key].best
    assert found == pytest.approx(best, rel=1e-3)


@pytest.mark.parametrize(
    ("line", "row", "value"),
    [
        # 1.95 mmol/L of calcium and magnesium are 3.9 mEq/L; 10.9 °dH are 3.89 (DIN 38409-6)
        ("Vápník a hořčík 1,95 mmol/l", "hardness_meq_l", 3.9),
        ("Tvrdost celková mmol/l 1,95", "hardness_meq_l", 3.9),
        ("Summe Erdalkalien mmol/l 1,95 DIN 38409-6", "hardness_meq_l", 3.9),
        ("Titre hydrotimétrique (TH) °f 19,5", "hardness_meq_l", 3.9),
        ("Durezza totale °F 19,5", "hardness_meq_l", 3.9),
        ("Total hardness (as CaCO3) mg/l 195", "hardness_meq_l", 3.9),
        ("Hardness (as Ca) mg/l 78", "hardness_meq_l", 3.9),
        ("Säurekapazität bis pH 4,3 (KS 4,3) mmol/l 2,70", "alkalinity_meq_l", 2.7),
        ("Titre alcalimétrique complet (TAC) 13,5 °f", "alkalinity_meq_l", 2.7),
        ("Conductividad a 20 ºC 430 µS/cm", "conductivity_us_cm", 480),
        ("Conducibilità elettrica a 20°C 430 µS/cm", "conductivity_us_cm", 480),
        ("Conductivity @ 20 °C µS/cm 430", "conductivity_us_cm", 480),
        ("Geleidbaarheid (25 °C) mS/m 48", "conductivity_us_cm", 480),
        ("Residuo fisso a 180°C 290 mg/l", "total_dissolved_solids_mg_l", 290),
        ("Cloro attivo libero 0,2 mg/l", "chlorine_mg_l", 0.2),
        ("Wasserstoffionen-Konzentration (pH-Wert) 7,6", "ph", 7.6),
        ("Hydrogen ion (pH) pH value 7.6", "ph", 7.6),
    ],
)
def test_rows_that_are_no_ions(line: str, row: str, value: float) -> None:
    found = getattr(read_pasted(line.encode()).report, row)
    assert getattr(found, "best", found) == pytest.approx(value, rel=0.005)


@pytest.mark.parametrize("unit", ["mg/l", "µg/l", "g/m3", "mg/dm3", "ppm", "mmol/l", "mol/m3"])
def test_units_are_those_of_a_general_library(unit: str) -> None:
    registry = pint.UnitRegistry()
    pasted = read_pasted(f"Calcium 62 {unit}".encode())
    if "mol" in unit:
        moles = (62 * registry(unit.replace("m3", "m**3"))).to("mmol/l").magnitude
        wanted = moles * float(periodictable.formula("Ca").mass)
    elif unit == "ppm":
        wanted = 62.0
    else:
        wanted = (62 * registry(unit.replace("m3", "m**3"))).to("mg/l").magnitude
    assert pasted.report.ions_mg_l["calcium"].best == pytest.approx(wanted, rel=1e-4)


@pytest.mark.parametrize(
    ("line", "why"),
    [
        # two figures and no heading: one of them may be the limit of the law
        ("Sodium mg/l 200 21", "no heading says which"),
        ("Sodium limit 200 mg/l", "a limit only"),
        ("Sodium hypochlorite 3 mg/l", "words that are neither"),
        ("Total hardness 12", "has no unit"),
        ("Iron 35", "has no unit"),
        ("Sodium 1,200 mg/l", "thousands or decimals"),
        ("Escherichia coli 0 /100 ml", "none of the figures"),
        ("Sodium 21 furlongs", "neither a unit"),
        ("pH 74", "between 0 and 14"),
        ("Chloramine 0.5 mg/l", "under chlorine"),
        ("Sodium max 25 mg/l", "one end of a span"),
    ],
)
def test_what_is_not_understood_is_said_and_not_guessed(line: str, why: str) -> None:
    pasted = read_pasted(f"Calcium 62 mg/l\n{line}\n".encode())
    read = pasted.lines[1]
    assert (read.number, read.key) == (2, "")
    assert why in read.why
    assert set(pasted.report.ions_mg_l) == {"calcium"}


@pytest.mark.parametrize(
    "heading",
    [
        "Parameter Einheit Grenzwert lt. TrinkwV Messwert",
        "Parameter\tEinheit\tGrenzwert (TrinkwV)\tMesswert 2025",
        "Nr;Dimension;Höchstwert laut Gesetz;Ergebnis vom 12.03.2025",
        "Parametro Unità Limite di legge Valore",
        "Parametr;Jednostka;Wartość dopuszczalna;Wynik badania",
    ],
)
def test_headings_say_more_than_the_words_of_their_columns(heading: str) -> None:
    sign = next((sign for sign in "\t;" if sign in heading), " ")
    rows = (("Natrium", "mg/l", "200", "21"), ("Sulfat", "mg/l", "250", "52"))
    text = "\n".join([heading, *map(sign.join, rows)])
    report = read_pasted(text.encode()).report
    assert {ion: level.best for ion, level in report.ions_mg_l.items()} == {
        "sodium": 21,
        "sulfate": 52,
    }


def test_words_for_no_limit_fill_the_column_of_the_limit() -> None:
    text = (
        "Parameter Einheit Grenzwert Messwert\nCalcium mg/l kein Grenzwert 62\nNatrium mg/l 200 21"
    )
    assert read_pasted(text.encode()).report.ions_mg_l["calcium"].best == 62


def test_empty_cells_and_dashes_are_no_figures_and_no_zeros() -> None:
    text = "Parameter;Unit;Min;Mean;Max\nCalcium;mg/l;-;62;\nSodium;mg/l;;n.d.;-\nIron;mg/l;-;-;-\n"
    pasted = read_pasted(text.encode())
    assert pasted.table["calcium"] == "62 mg/l"
    assert pasted.report.ions_mg_l["sodium"] == (0, 0, 0)
    assert "iron" not in pasted.table


def test_a_limit_is_never_taken_for_a_measurement() -> None:
    # The measured figure of the second line is missing: what is left may be the limit.
    text = "Parameter Einheit Grenzwert Messwert\nNatrium mg/l 200 21\nSulfat mg/l 250\n"
    first, second = read_pasted(text.encode()).lines
    assert (first.key, first.value) == ("sodium", "21 mg/l")
    assert second.key == ""


def test_what_is_stated_twice_is_taken_once() -> None:
    text = "Gesamthärte 10,9 °dH\nGesamthärte 1,94 mmol/l\nHardness 300 mg/l CaCO3\nCalcium 62 mg/l"
    lines = read_pasted(text.encode()).lines
    assert [bool(line.key) for line in lines] == [True, False, False, True]
    # 10.9 °dH are 1.94 mmol/L (DIN 38409-6: 5.6 °dH to the mmol), 300 mg/L as CaCO3 are not
    assert "otherwise" not in lines[1].why
    assert "otherwise" in lines[2].why


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_of_free_and_total_chlorine_the_larger_is_treated(order: tuple[int, int]) -> None:
    lines = ("Free chlorine 0.2 mg/l", "Total chlorine 0.5 mg/l")
    report = read_pasted("\n".join(lines[place] for place in order).encode()).report
    assert report.chlorine_mg_l == 0.5


def test_conductivity_keeps_the_temperature_it_was_measured_at() -> None:
    # ISO 7888: a factor of 1.116 from 20 to 25 °C (from memory)
    text = "Elektrische Leitfähigkeit bei 20 °C 430 µS/cm\nCalcium 62 mg/l"
    found = read_pasted(text.encode()).report.conductivity_us_cm
    assert found == pytest.approx(430 * 1.116, rel=0.002)


def test_means_of_a_year_are_an_average() -> None:
    assert read_pasted(b"Jahresmittelwert\nCalcium 62 mg/l").report.kind == "average"
    assert read_pasted(b"Sample\nCalcium 62 mg/l").report.kind == "sample"


@pytest.mark.parametrize("data", [b"", b"hello", b"1 2 3", b"\x00" * 50, b"%PDF-1.7 Calcium 62"])
def test_a_file_without_a_row_is_refused(data: bytes) -> None:
    with pytest.raises(ReportError):
        read_pasted(data)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(["Calcium", "62", "mg/l", "min", "<", "-", "\t", ";", "\n", "pH",
                                 "4,3", "Unit", "n.d.", "°C", "(", "é", "as", "CaCO3", ","]),
                max_size=40))  # fmt: skip
def test_no_table_brings_the_reader_down(words: list[str]) -> None:
    data = " ".join(words).encode()
    try:
        pasted = read_pasted(data)
    except ReportError:
        return
    assert set(pasted.table) <= set(KEYS)


@pytest.mark.parametrize("row", table("water_report_names"), ids=lambda row: row["name"])
def test_every_printed_name_is_read_in_a_line(row: dict[str, str]) -> None:
    value = {"ph": "7.4", "temperature": "12 °C", "conductivity": "400 µS/cm"}.get(row["key"])
    unit = {"alkalinity": "mmol/l", "total_hardness": "°dH", "carbonate_hardness": "°dH"}
    text = f"{row['name']} {value or '2 ' + unit.get(row['key'], 'mg/l')}"
    lines = read_pasted(text.encode()).lines
    assert row["key"] in {line.key for line in lines}
