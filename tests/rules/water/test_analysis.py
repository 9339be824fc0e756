"""Whether an analysis can be true: published waters as printed in books."""

from __future__ import annotations

import pytest

from recipe_tools.findings import Example, Severity
from recipe_tools.reference import CityWater, city_waters
from recipe_tools.rules.examples import additions, together, water, well, well_with, xml_file
from tests.rules.brew import checked, found, one

RULE = "water/charge-imbalance"
COMPLETE = [
    city
    for city in city_waters()
    if city.carbonate_as_printed is not None
    and {"calcium", "magnesium", "sodium", "chloride", "sulfate"} <= city.ions_mg_l.keys()
]


def as_bicarbonate(city: CityWater) -> dict[str, object]:
    """Return a patch with a published water, its carbonate column read as bicarbonate."""
    ions = {**city.ions_mg_l, "bicarbonate": city.carbonate_as_printed or 0.0}
    return together(well_with(**ions), additions())


@pytest.mark.parametrize(
    "city",
    [city for city in COMPLETE if city.balances_as == "bicarbonate"],
    ids=lambda city: f"{city.city} {city.source[:16]}",
)
def test_waters_that_balance_as_bicarbonate_pass(city: CityWater) -> None:
    assert not [
        item
        for item in found(RULE, as_bicarbonate(city))
        if item.severity is not None and item.severity > Severity.NOTE
    ]


@pytest.mark.parametrize(
    "city",
    [c for c in COMPLETE if c.balances_as == "carbonate" and c.mark == "published"],
    ids=lambda city: f"{city.city} {city.source[:16]}",
)
def test_waters_printed_as_carbonate_are_found_and_the_column_is_named(city: CityWater) -> None:
    # Dublin 156, Munich 148, Vienna 243 ... balance only as carbonate
    item = one(RULE, as_bicarbonate(city))
    assert "carbonate-printed-as-bicarbonate" in item.values["closes_if"]


def test_sulfate_printed_as_sulfur_is_recognised() -> None:
    # balanced by construction: Ca 120, Mg 10, Na 20, Cl 36, SO4 240 (= 80 as S), HCO3 166
    true = {"calcium": 120, "magnesium": 10, "sodium": 20, "chloride": 36, "bicarbonate": 100.0}
    assert not found(RULE, together(well_with(**true, sulfate=240), additions()))
    item = one(RULE, together(well_with(**true, sulfate=80), additions()))
    assert "sulfate-as-sulfur" in item.values["closes_if"]
    assert item.related[0].pointer.endswith("/sulfate")


def test_soft_water_is_judged_in_milliequivalents_and_not_in_percent() -> None:
    # Standard Methods 1030 E (from memory): up to 3 mEq/L of anions, 0.2 mEq/L absolute
    soft = well_with(calcium=8, magnesium=2, sodium=3, chloride=4, sulfate=5, bicarbonate=20)
    assert not found(RULE, together(soft, additions()))


def test_a_water_with_ions_left_out_is_not_called_unbalanced() -> None:
    record = {k: v for k, v in well(calcium=60).items() if k not in ("sodium", "chloride")}
    assert not found(RULE, water(record))


def test_an_exchanger_leaves_alkalinity_and_adds_sodium() -> None:
    # 0.459 mg/L sodium per mg/L as CaCO3 (stoichiometry): 200 mg/L of hardness exchanged
    hard = {"calcium": 80.0, "magnesium": 0.0, "sodium": 10.0, "bicarbonate": 244.0}
    soft = {**hard, "calcium": 0.5, "sodium": 10.0 + 0.459 * 199}
    others = {"chloride": 10.0, "sulfate": 10.0}
    assert not found("water/hardness-softened", well_with(**hard, **others))
    assert found("water/hardness-softened", well_with(**soft, **others))


@pytest.mark.parametrize(
    ("ph", "speaks"), [("5.2", True), ("7.4", False), ("9.2", False), ("9.9", True)]
)
def test_ph_outside_that_of_drinking_water_is_doubted(ph: str, speaks: bool) -> None:
    # Directive (EU) 2020/2184: 6.5 to 9.5
    raw = xml_file().replace(b"<PH>7.4</PH>", f"<PH>{ph}</PH>".encode())
    items = [i for i in checked(Example("", raw=raw)).findings if i.rule == "water/ph-implausible"]
    assert bool(items) is speaks


ALKALINITY = 200 / 61.017
"""mEq/L of 200 mg/L of bicarbonate."""
SOFT = "water/hardness-softened"


def softened(*, bicarbonate: float, hardness: float, sodium: float) -> dict[str, object]:
    """Return a patch with such shares of its alkalinity as hardness and as sodium."""
    alkalinity = bicarbonate / 61.017
    return well_with(
        calcium=hardness * alkalinity * 40.078 / 2,
        magnesium=0.0,
        sodium=sodium * alkalinity * 22.990,
        bicarbonate=bicarbonate,
    )


@pytest.mark.parametrize(
    ("bicarbonate", "hardness", "sodium", "speaks"),
    [
        (200.0, 0.10, 0.9, True),
        # 75 mg/L as CaCO3 are 91.4 mg/L of bicarbonate
        (92.0, 0.10, 0.9, True),
        (90.9, 0.10, 0.9, False),
        (200.0, 0.299, 0.9, True),
        (200.0, 0.301, 0.9, False),
        (200.0, 0.10, 0.601, True),
        (200.0, 0.10, 0.599, False),
    ],
)
def test_softened_means_alkaline_with_sodium_in_place_of_hardness(
    bicarbonate: float, hardness: float, sodium: float, speaks: bool
) -> None:
    patch = softened(bicarbonate=bicarbonate, hardness=hardness, sodium=sodium)
    assert bool(found(SOFT, together(patch, additions()))) is speaks


def test_magnesium_is_hardness_too() -> None:
    # 0.4 of the alkalinity as magnesium
    patch = well_with(
        calcium=0.5, magnesium=0.4 * ALKALINITY * 24.305 / 2, sodium=70, bicarbonate=200
    )
    assert not found(SOFT, together(patch, additions()))


def test_a_softened_water_of_the_configuration_has_its_place_in_the_recipe() -> None:
    report = {"calcium": "4 mg/L", "magnesium": "1 mg/L", "sodium": "105 mg/L",
              "chloride": "30 mg/L", "sulfate": "25 mg/L", "bicarbonate": "200 mg/L"}  # fmt: skip
    item = one(SOFT, additions(), {"water": {"report": report}})
    assert item.pointer == "/beerjson/recipes/0/name"


@pytest.mark.parametrize("left_out", ["calcium", "magnesium", "sodium"])
def test_nothing_is_called_softened_whose_ions_are_not_all_known(left_out: str) -> None:
    record = {k: v for k, v in well(calcium=4, magnesium=1, sodium=105).items() if k != left_out}
    record["bicarbonate"] = {"value": 200, "unit": "mg/l"}
    assert not found(SOFT, together(water(record), additions()))


@pytest.mark.parametrize(
    ("excess", "severity"),
    [
        (0.045, None),
        (0.055, Severity.NOTE),
        (0.095, Severity.NOTE),
        (0.105, Severity.WARNING),
        (-0.055, Severity.NOTE),
        (-0.105, Severity.WARNING),
    ],
)
def test_five_percent_are_a_note_and_ten_a_warning(
    excess: float, severity: Severity | None
) -> None:
    # difference over the sum of all ions (Standard Methods 1030 E); the steps are a derived_default
    cations = 6.0
    anions = cations * (1 - excess) / (1 + excess)
    patch = well_with(
        calcium=cations * 40.078 / 2,
        magnesium=0.0,
        sodium=0.0,
        chloride=0.4 * anions * 35.453,
        sulfate=0.2 * anions * 96.06 / 2,
        bicarbonate=0.4 * anions * 61.017,
    )
    items = found(RULE, together(patch, additions()))
    assert [item.severity for item in items] == ([] if severity is None else [severity])
    for item in items:
        assert item.values["value"] == pytest.approx(100 * excess, abs=0.15)


def test_each_record_of_a_blend_is_looked_at() -> None:
    wrong = {"calcium": 120, "magnesium": 15, "sodium": 30, "chloride": 40, "sulfate": 55,
             "bicarbonate": 200.0}  # fmt: skip
    blend = water(
        {k: v for k, v in well("Aldermoor well", 15).items() if k != "sodium"},
        well("Aldermoor spring", 15, **wrong),
    )
    item = one(RULE, together(blend, additions()))
    assert item.pointer.endswith("/water_additions/1")
    assert "The ions of 'Aldermoor spring' do not balance." in item.message


PH = "water/ph-implausible"


@pytest.mark.parametrize(
    ("ph", "limit"),
    [("6.4", 6.5), ("6.5", None), ("9.5", None), ("9.6", 9.5), ("0", None), ("14", None)],
)
def test_the_ph_of_drinking_water_lies_between_its_limits(ph: str, limit: float | None) -> None:
    # Directive (EU) 2020/2184: 6.5 to 9.5; 0 and 14 are no measurements
    data = xml_file().replace(b"<PH>7.4</PH>", b"<PH>%b</PH>" % ph.encode())
    items = [i for i in checked(Example("", raw=data)).findings if i.rule == PH]
    assert [item.values["limit"] for item in items] == ([] if limit is None else [limit])
    side = "below" if limit == 6.5 else "above"
    for item in items:
        assert f"pH {ph}, {side} {limit:g}" in item.message


@pytest.mark.parametrize(("bicarbonate", "speaks"), [("18", False), ("19", True)])
def test_water_with_hardly_any_alkalinity_may_be_sour(bicarbonate: str, speaks: bool) -> None:
    # 0.3 mEq/L of bicarbonate are 18.3 mg/L; pure water in contact with air has pH 5.7
    data = xml_file().replace(b"<PH>7.4</PH>", b"<PH>5.7</PH>")
    text = b"<BICARBONATE>%b</BICARBONATE>" % bicarbonate.encode()
    data = data.replace(b"<BICARBONATE>52</BICARBONATE>", text)
    items = [i for i in checked(Example("", raw=data)).findings if i.rule == PH]
    assert bool(items) is speaks


@pytest.mark.parametrize("first", ["", "<PH>7.4</PH>"])
def test_every_water_of_beerxml_is_looked_at_for_its_ph(first: str) -> None:
    data = xml_file().decode()
    start, end = data.index("<WATER>"), data.index("</WATERS>")
    record = data[start:end].replace("<PH>7.4</PH>", "")
    second = record.replace("Aldermoor well", "Aldermoor spring").replace(
        "<MAGNESIUM>4</MAGNESIUM>", "<MAGNESIUM>4</MAGNESIUM><PH>5.23</PH>"
    )
    record = record.replace("</WATER>", f"{first}</WATER>")
    both = data[:start] + record + second + data[end:]
    (item,) = [i for i in checked(Example("", raw=both.encode())).findings if i.rule == PH]
    assert "'Aldermoor spring' is given with pH 5.2" in item.message
    assert item.values["value"] == 5.23


def test_the_ions_of_a_softened_water_are_handed_over_with_a_tenth() -> None:
    patch = well_with(calcium=4.26, magnesium=1, sodium=105.12, bicarbonate=200)
    values = one(SOFT, together(patch, additions())).values
    assert (values["value"], values["calcium"]) == (105.1, 4.3)
