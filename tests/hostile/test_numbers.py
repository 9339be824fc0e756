"""Numbers nobody brews with: no report holds what is no number, and nothing absurd is certain."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recipe_tools import readings
from recipe_tools.chemistry import carbonate, ions, treatment, wort
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.mash_ph import AcidCharge, MaltShare, MashInput, predict
from recipe_tools.config import ConfigError
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Confidence, Severity
from recipe_tools.formats.deviation_examples import PLAIN_TEXT
from recipe_tools.recipe import IONS
from recipe_tools.rules.examples import (
    PLAIN_RECIPE,
    additions,
    document,
    dose,
    grist,
    malt,
    mash_steps,
    merge_patch,
    step,
    together,
    water,
    well,
)
from tests.hostile.soundness import assert_finite, assert_sound, findings_of, strict_json

EXTREMES = ("0", "-0.0", "-1", "5e-324", "1e-12", "1e-5", "1e6", "1e9", "1e300", "-1e300", "1e999")
PLAIN = document(PLAIN_RECIPE).decode()
GENERATED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])


def leaves(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the way to every number in a document."""
    members = value.items() if isinstance(value, dict) else enumerate(value)
    for key, item in members:
        if isinstance(item, dict | list):
            yield from leaves(item, (*at, key))
        elif isinstance(item, int | float) and not isinstance(item, bool):
            yield (*at, key)


def with_number(way: tuple[Any, ...], number: str) -> bytes:
    """Return the plain recipe with another number in one place."""
    value = json.loads(PLAIN)
    place = value
    for key in way[:-1]:
        place = place[key]
    place[way[-1]] = "NUMBER"
    return json.dumps(value).replace('"NUMBER"', number).encode()


@pytest.mark.parametrize("number", EXTREMES)
def test_an_extreme_number_in_each_place_of_beerjson(number: str) -> None:
    ways = list(leaves(json.loads(PLAIN)))
    assert len(ways) > 20
    for way in ways:
        assert_sound(with_number(way, number), reports=False)


@pytest.mark.parametrize("number", EXTREMES)
def test_an_extreme_number_in_each_place_of_beerxml(number: str) -> None:
    places = [found.span(1) for found in re.finditer(r">([0-9.]+)<", PLAIN_TEXT)]
    assert len(places) > 30
    for start, end in places:
        assert_sound((PLAIN_TEXT[:start] + number + PLAIN_TEXT[end:]).encode(), reports=False)


def scaled(factors: dict[str, float]) -> bytes:
    """Return the plain recipe with all amounts of a unit multiplied."""

    def change(members: dict[str, Any]) -> dict[str, Any]:
        if set(members) == {"value", "unit"} and members["unit"] in factors:
            return {"value": members["value"] * factors[members["unit"]], "unit": members["unit"]}
        return members

    return json.dumps(json.loads(PLAIN, object_hook=change)).encode()


@settings(GENERATED, max_examples=80)
@given(
    st.fixed_dictionaries(
        {
            unit: st.sampled_from((0.0, 1e-9, 1e-3, 1.0, 1e3, 1e7, -1.0))
            for unit in ("kg", "g", "l", "mg/l")
        }
    )
)
def test_whole_recipes_of_another_size(factors: dict[str, float]) -> None:
    assert_sound(scaled(factors), reports=False)


def rules_of(patch: dict[str, Any]) -> dict[str, tuple[Severity | None, Confidence]]:
    run = assert_sound(document(merge_patch(PLAIN_RECIPE, patch)))
    return {item.rule: (item.severity, item.confidence) for item in findings_of(run)}


def test_no_water() -> None:
    found = rules_of(mash_steps(step("Mash", "infusion", 0, 66)))
    assert {"recipe/no-mash-water", "mash-ph/not-predictable"} & found.keys()


def test_no_grain() -> None:
    found = rules_of(grist(malt("Pale ale malt", 0, 2.8)))
    assert "mash-ph/not-predictable" in found


def test_negative_amounts_are_impossible_and_left_out() -> None:
    found = rules_of(grist(malt("Pale ale malt", -4, 2.8)))
    assert found["standard/impossible-value"][0] is Severity.ERROR
    assert "mash-ph/not-predictable" in found


def test_a_tonne_of_salt_is_told_as_an_error() -> None:
    found = rules_of(additions(dose("Gypsum (calcium sulfate dihydrate)", 1000, "kg")))
    assert Severity.ERROR in {severity for severity, _ in found.values()}


UNKNOWN = {"ingredients": {"water_additions": None}}
HARD = water(well(calcium=80, bicarbonate=260, sodium=28))


@pytest.mark.parametrize("source", [UNKNOWN, HARD], ids=["unknown", "hard"])
@pytest.mark.parametrize("litres_per_kg", [0.3, 1.0, 1.9, 5.1, 7.0, 10.0, 15.0, 40.0])
def test_beyond_the_measured_thickness_nothing_about_the_ph_is_certain(
    litres_per_kg: float, source: dict[str, Any]
) -> None:
    """Mashes of 2 to 5 L/kg stand behind the model (Troester 2009)."""
    mash = mash_steps(step("Mash", "infusion", 4 * litres_per_kg, 66))
    pale = grist(malt("Pale ale malt", 4, 2.8))
    run = assert_sound(
        document(merge_patch(PLAIN_RECIPE, together(pale, mash, source, additions())))
    )
    day = run.files[0].recipes[0].day
    assert day is not None and day.prediction is not None
    assert any("2 to 5 L/kg" in warning for warning in day.prediction.warnings)
    for item in findings_of(run):
        if item.rule in ("mash-ph/above-range", "mash-ph/below-range", "mash-ph/acid-overshoots"):
            assert item.severity is not Severity.ERROR
            assert item.confidence is not Confidence.CERTAIN


def test_within_the_measured_thickness_hard_water_on_pale_malt_is_certain() -> None:
    mash = mash_steps(step("Mash", "infusion", 18, 66))
    found = rules_of(together(grist(malt("Pale ale malt", 4, 2.8)), mash, HARD, additions()))
    assert found["mash-ph/above-range"] == (Severity.ERROR, Confidence.CERTAIN)


SIZES = st.sampled_from((0.0, 1e-9, 1e-3, 0.1, 1.0, 3.0, 10.0, 100.0, 1e4, 1e7))


@st.composite
def estimates(draw: Any, sizes: st.SearchStrategy[float] = SIZES) -> Estimate:
    low, best, high = sorted(draw(sizes) for _ in range(3))
    return Estimate(low, best, high)


PH = st.floats(2.0, 12.0)
PRESENT = st.sampled_from((1e-6, 1e-3, 0.1, 1.0, 3.0, 10.0, 1e3, 1e6))
MALTS = st.builds(
    MaltShare,
    label=st.just("malt"),
    share=st.floats(0.0, 1.0),
    di_ph=estimates(st.floats(3.0, 8.0)),
    buffer_meq_kg_ph=estimates(st.sampled_from((0.0, 1.0, 30.0, 50.0, 1000.0))),
    di_water_l_kg=st.sampled_from((0.1, 3.0, 8.345, 100.0)),
    lot_known=st.booleans(),
    group=st.sampled_from(("", "pale", "crystal")),
)
MASHES = st.builds(
    MashInput,
    malts=st.lists(MALTS, max_size=4).map(tuple),
    water_to_grist_l_kg=estimates(PRESENT),
    alkalinity_meq_l=estimates(st.sampled_from((-10.0, -0.1, 0.0, 2.0, 10.0, 1e6))),
    water_ph=estimates(PH),
    end_point_ph=st.sampled_from((4.3, 4.5, 8.2)),
    calcium_meq_l=estimates(),
    magnesium_meq_l=estimates(),
    acids=st.lists(
        st.builds(
            AcidCharge,
            label=st.just("acid"),
            mmol_kg=estimates(),
            pkas=st.sampled_from(((), (3.86,), (2.15, 7.2, 12.35), (1.99,))),
            strong_protons=st.integers(0, 1),
        ),
        max_size=3,
    ).map(tuple),
    bicarbonate_mmol_l=estimates(),
    hydroxide_meq_kg=estimates(),
    chalk_meq_l=estimates(),
    crush_factor=st.sampled_from((exactly(1.0), Estimate(0.7, 0.9, 1.0))),
    chalk_lost_meq_l=st.floats(0.0, 100.0),
    learnt_meq_kg=st.floats(-1e3, 1e3),
)


@settings(GENERATED, max_examples=400)
@given(MASHES)
def test_every_mash_has_a_finite_ph_within_its_band(mash: MashInput) -> None:
    found = predict(mash)
    assert 2.5 - 1e-6 <= found.ph <= 9.0 + 1e-6
    assert math.isfinite(found.low) and math.isfinite(found.high)
    assert found.low <= found.ph <= found.high
    for values in (found.contributions_meq_kg, found.contributions_ph):
        assert all(math.isfinite(value) for value in values.values())
    assert all(math.isfinite(driver.half_width) for driver in found.drivers)
    if found.ph <= 2.5 + 1e-6 or found.ph >= 9.0 - 1e-6:
        assert any("no balance" in warning for warning in found.warnings)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"water_to_grist_l_kg": exactly(12.0)}, "12.0 L/kg"),
        ({"calcium_meq_l": exactly(20.0)}, "401 mg/L calcium"),
        ({"magnesium_meq_l": exactly(20.0)}, "243 mg/L magnesium"),
        ({"alkalinity_meq_l": exactly(9.0)}, "9.0 mEq/L alkalinity"),
        ({"alkalinity_meq_l": exactly(-1.0)}, "free acid"),
        ({"malts": ()}, "nothing in the grist buffers"),
        ({"hydroxide_meq_kg": exactly(5000.0)}, "no balance"),
    ],
)
def test_a_mash_outside_the_model_says_so(change: dict[str, Any], word: str) -> None:
    """Equivalent masses from IUPAC atomic weights: Ca 40.078 / 2, Mg 24.305 / 2."""
    base = {
        "malts": (MaltShare("malt", 1.0, exactly(5.7), exactly(40.0), 4.0),),
        "water_to_grist_l_kg": exactly(3.0),
    }
    assert not predict(MashInput(**base)).warnings  # type: ignore[arg-type]
    assert any(word in warning for warning in predict(MashInput(**(base | change))).warnings)


@settings(GENERATED, max_examples=200)
@given(
    st.floats(-50.0, 1e4),
    st.floats(0.0, 14.0),
    st.lists(st.tuples(st.floats(0.0, 1e5), st.just((2.15, 7.2, 12.35)), st.just(0)), max_size=3),
)
def test_acid_in_any_water_gives_a_finite_ph(
    alkalinity: float, ph: float, acids: list[tuple[float, tuple[float, ...], int]]
) -> None:
    after = carbonate.ph_after_acids(alkalinity, ph, acids)
    assert math.isfinite(after.ph)


CONTENTS = st.dictionaries(
    st.sampled_from(IONS), st.sampled_from((0.0, 1e-9, 50.0, 1e6)), max_size=7
)


@settings(GENERATED, max_examples=150)
@given(CONTENTS, st.floats(-5.0, 1e4), st.floats(0.0, 14.0), st.floats(1e-9, 1e9))
def test_any_water_treated_in_any_way_stays_finite(
    found: dict[str, float], alkalinity: float, ph: float, litres: float
) -> None:
    water_of = treatment.Water(found, alkalinity, ph)
    results = [
        treatment.blend([(water_of, litres), (treatment.DISTILLED, 1.0)]),
        treatment.boil(water_of),
        treatment.lime_soften(water_of).water,
    ]
    for result in results:
        assert_finite(dict(result.ions_mg_l))
        assert math.isfinite(result.alkalinity_meq_l)
        assert result.ph is None or math.isfinite(result.ph)
    assert_finite([value for value in ions.charge_balance(found) if isinstance(value, float)])
    assert math.isfinite(ions.dissolved_solids_mg_l(found, alkalinity))


@settings(GENERATED, max_examples=100)
@given(st.floats(0.0, 1e9), st.floats(1e-9, 1e9), st.floats(0.0, 1e9), st.floats(-20.0, 110.0), PH)
def test_wort_of_any_size_stays_finite(
    kilograms: float, litres: float, colour: float, celsius: float, ph: float
) -> None:
    gravity = wort.gravity(kilograms, litres)
    assert math.isfinite(gravity)
    assert math.isfinite(wort.colour_ebc([(kilograms, colour)], litres))
    assert math.isfinite(wort.bitterness_ibu([(kilograms, 10.0, 60.0)], litres, gravity))
    assert all(map(math.isfinite, readings.cooled(ph, celsius)))


@settings(GENERATED, max_examples=150)
@given(
    st.sampled_from(("grain_absorption_l_kg", "dead_space_l", "di_ph", "buffer_meq_kg_ph")),
    st.floats() | st.sampled_from((10**400, -1, True)),
)
def test_a_number_of_the_configuration_is_within_its_bounds_or_refused(
    key: str, number: Any
) -> None:
    table = (
        {"malt": [{"name": "Pale ale malt", key: number}]}
        if key.startswith(("di", "buffer"))
        else {"equipment": {key: number}}
    )
    try:
        options = options_from_table(table)
    except ConfigError:
        return
    run = assert_sound(PLAIN.encode(), options, reports=False)
    assert run.files[0].status == "checked"


@pytest.mark.parametrize("litres", [0, 5e-324, 1e-300, 1e-9, 0.4, "1e-9 L/kg", 101, 1e308])
def test_a_certificate_of_a_mash_nobody_can_stir_is_refused(litres: Any) -> None:
    with pytest.raises(ConfigError, match="di_water_l_kg"):
        options_from_table({"malt": [{"name": "Pale ale malt", "di_water_l_kg": litres}]})


@pytest.mark.parametrize("litres", [0.5, 1, 8.345, 100])
@pytest.mark.parametrize("di_ph", [3.0, 5.7, 8.0])
@pytest.mark.parametrize("buffer", [1.0, 38.0, 1000.0])
def test_a_certificate_at_the_bounds_gives_a_finite_ph(
    litres: float, di_ph: float, buffer: float
) -> None:
    lot = {"di_ph": di_ph, "buffer_meq_kg_ph": buffer, "di_water_l_kg": litres}
    options = options_from_table({"malt": [{"name": "Pale ale malt", **lot}]})
    run = assert_sound(PLAIN.encode(), options, reports=False)
    day = run.files[0].recipes[0].day
    assert day is not None and day.prediction is not None
    band = (day.prediction.low, day.prediction.ph, day.prediction.high)
    assert list(band) == sorted(band) and all(map(math.isfinite, band))


@pytest.mark.parametrize(
    "value", ["1e308 mg/L", "-1 mg/L", "1e999", "nan", "inf", "1e-320 g/L", "0"]
)
def test_a_number_of_a_water_report(value: str, run: Any, here: Any) -> None:
    (here / "tap.toml").write_text(f'calcium = "{value}"\nalkalinity = 2\npH = 7\n')
    for name in ("json", "text"):
        result = run("water", "tap.toml", "--format", name)
        assert result.code in (0, 1, 2)
        assert "nan" not in result.text.lower().replace("nan-", "")
        if name == "json" and result.out:
            assert_finite(strict_json(result.text))


@pytest.mark.parametrize("number", ["0", "1e-9", "1e6", "1e9"])
def test_a_plan_of_doses_for_an_absurd_recipe(number: str, run: Any, here: Any) -> None:
    for unit in ("kg", "l", "g"):
        factor = float(number)
        (here / "a.json").write_bytes(scaled({unit: factor}))
        result = run("dose", "a.json", "--format", "json")
        assert result.code in (0, 1, 3), result.err
        assert "failed" not in result.err, result.err
        assert_finite(strict_json(result.text))
