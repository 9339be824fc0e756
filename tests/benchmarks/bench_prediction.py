"""How long one mash pH prediction takes: ``python -m tests.benchmarks.bench_prediction``.

Prints milliseconds, and the ratio to parsing a 10 kB recipe with ``json.loads`` on the same
machine, which travels between machines better. Not collected by default; run it with
``pytest tests/benchmarks/bench_prediction.py`` to have the limit asserted.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from timeit import repeat

from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.mash_ph import AcidCharge, MaltShare, MashInput, ph_only, predict
from recipe_tools.reference.malts import crush_factor, malt_values

LIMIT_MS = 1.0
TARGET_MS = 0.3
RUNS = 500

GRIST = (
    ("base_pale", 5.0, 0.70),
    ("munich", 18.0, 0.15),
    ("caramel", 120.0, 0.08),
    ("roasted", 900.0, 0.04),
    ("acidulated", 5.0, 0.03),
)


def mash() -> MashInput:
    """Return a mash of five malts and two acids in which everything is open."""
    malts = []
    for class_id, colour, share in GRIST:
        values = malt_values(class_id, colour)
        malts.append(
            MaltShare(
                class_id,
                share,
                Estimate(*values.di_ph),
                Estimate(*values.buffer_meq_kg_ph),
                values.di_water_l_kg,
                group=class_id,
            )
        )
    return MashInput(
        malts=tuple(malts),
        water_to_grist_l_kg=Estimate(2.9, 3.0, 3.1),
        alkalinity_meq_l=Estimate(2.5, 3.0, 3.5),
        water_ph=Estimate(7.0, 8.0, 8.4),
        calcium_meq_l=Estimate(3.0, 4.0, 6.0),
        magnesium_meq_l=Estimate(0.5, 1.0, 1.5),
        acids=(
            AcidCharge("lactic acid", Estimate(3.0, 4.0, 4.4), (3.86,)),
            AcidCharge("phosphoric acid", Estimate(1.0, 1.5, 2.0), (2.148, 7.198, 12.35)),
        ),
        bicarbonate_mmol_l=Estimate(0.0, 0.2, 0.4),
        crush_factor=Estimate(*crush_factor("normal")),
    )


def recipe_text() -> str:
    """Return a BeerJSON-like recipe of about 10 kB."""
    row = {
        "name": "pale malt",
        "type": "grain",
        "amount": {"unit": "kg", "value": 4.25},
        "color": {"unit": "EBC", "value": 5.5},
        "yield": {"fine_grind": {"unit": "%", "value": 81.5}},
    }
    recipe: dict[str, object] = {"version": 1.0, "recipes": [{"name": "bench", "rows": []}]}
    rows: list[object] = []
    while len(json.dumps(recipe)) < 10_000:
        rows.append({**row, "timing": {"use": "add_to_mash", "step": len(rows)}})
        recipe["recipes"] = [{"name": "bench", "rows": rows}]
    return json.dumps(recipe)


def milliseconds(call: Callable[[], object]) -> float:
    """Return the best of five timings of a call, in ms."""
    return min(repeat(call, number=RUNS, repeat=5)) / RUNS * 1000.0


def measure() -> dict[str, float]:
    """Return the timings in milliseconds and the ratio to parsing a recipe."""
    given, text = mash(), recipe_text()
    with_band = milliseconds(lambda: predict(given))
    parsing = milliseconds(lambda: json.loads(text))
    return {
        "prediction with band, ms": with_band,
        "pH alone, ms": milliseconds(lambda: ph_only(given)),
        "json.loads of 10 kB, ms": parsing,
        "ratio prediction/json.loads": with_band / parsing,
    }


def test_one_prediction_stays_below_its_limit() -> None:
    assert measure()["prediction with band, ms"] < LIMIT_MS


def main() -> None:
    """Print the timings."""
    for name, value in measure().items():
        print(f"{name:30} {value:8.4f}")


if __name__ == "__main__":
    main()
