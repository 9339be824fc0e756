"""DI pH and buffer of malts by class and colour."""

from __future__ import annotations

import itertools
from math import log10

import pytest

from recipe_tools.reference.malts import crush_factor, malt_values
from recipe_tools.reference.tables import table
from tests.offenders import offenders

CLASSES = sorted({row["class"] for row in table("malt_model")})


def troester() -> list[dict[str, str]]:
    return [dict(row) for row in table("malt_acid_base") if row["source"].startswith("Troester")]


def line(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Return intercept and slope of a least squares line."""
    count = len(points)
    mean_x, mean_y = sum(x for x, _ in points) / count, sum(y for _, y in points) / count
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / sum(
        (x - mean_x) ** 2 for x, _ in points
    )
    return mean_y - slope * mean_x, slope


@pytest.mark.parametrize(
    ("classes", "law", "column"),
    [
        ({"base_pils", "base_pale", "vienna", "munich"}, "base_pils", "di"),
        ({"caramel"}, "caramel", "di"),
        ({"caramel"}, "caramel", "buffer"),
    ],
)
def test_the_laws_are_the_regressions_of_the_published_malts(
    classes: set[str], law: str, column: str
) -> None:
    # measurements of Troester (2009); the line is fitted here from the rows
    measured = {"di": "di_ph", "buffer": "buffer_meq_kg_ph"}[column]
    points = [
        (log10(float(row["colour_ebc"])), float(row[measured]))
        for row in troester()
        if row["class"] in classes and row[measured]
    ]
    intercept, slope = line(points)
    row = next(row for row in table("malt_model") if row["class"] == law)
    assert float(row[f"{column}_at_log0"]) == pytest.approx(
        intercept, abs=0.01 if column == "di" else 0.3
    )
    assert float(row[f"{column}_per_log_ebc"]) == pytest.approx(
        slope, abs=0.01 if column == "di" else 0.2
    )


def test_roasted_malt_is_the_mean_of_what_was_measured() -> None:
    # five roasted malts and barley of Troester (2009): 4.71 +- 0.07
    values = [
        float(row["di_ph"]) for row in troester() if row["class"] in ("roasted", "roasted_unmalted")
    ]
    assert malt_values("roasted", 900.0).di_ph[1] == pytest.approx(
        sum(values) / len(values), abs=0.01
    )


def test_the_band_of_every_class_holds_its_malts() -> None:
    def holds(row: dict[str, str]) -> None:
        colour = float(row["colour_ebc"]) if row["colour_ebc"] else None
        found = malt_values(row["class"], colour)
        low, _, high = found.di_ph
        assert low <= float(row["di_ph"]) <= high
        assert found.di_water_l_kg == float(row["di_water_l_kg"])
        if row["buffer_meq_kg_ph"]:
            weak, _, strong = found.buffer_meq_kg_ph
            assert weak <= float(row["buffer_meq_kg_ph"]) <= strong

    assert offenders(troester(), holds) == []


COLOURS = (None, 0.0, 2.0, 8.0, 30.0, 60.0, 200.0, 400.0, 1200.0, 9000.0)


def test_every_class_answers_for_every_colour() -> None:
    def holds(asked: tuple[str, float | None]) -> None:
        found = malt_values(*asked)
        for low, best, high in (found.di_ph, found.buffer_meq_kg_ph):
            assert 0.0 <= low <= best <= high
        assert 3.0 < found.di_ph[1] <= 7.0
        assert found.buffer_meq_kg_ph[2] < 200.0
        assert found.source
        assert found.mark in ("published", "derived", "derived_default")

    assert offenders(itertools.product(CLASSES, COLOURS), holds) == []


def test_less_knowledge_makes_a_wider_band() -> None:
    def width(class_id: str, colour: float | None) -> float:
        low, _, high = malt_values(class_id, colour).di_ph
        return high - low

    assert width("caramel", None) > width("caramel", 100.0)
    assert width("unknown", 5.0) > width("base_pale", 5.0)
    assert width("unknown", None) > width("unknown", 5.0)


def test_an_unheard_of_class_is_unknown() -> None:
    assert malt_values("moon cheese", 5.0) == malt_values("unknown", 5.0)


def test_a_pale_malt_of_the_colour_of_caramel_is_not_believed() -> None:
    assert malt_values("base_pale", 120.0) == malt_values("unknown", 120.0)


def test_all_alias_classes_have_a_law() -> None:
    assert {row["class"] for row in table("malt_aliases")} <= set(CLASSES)


def test_crush() -> None:
    # Troester (2009), section 3.11: implied buffers at 0.5, 0.8, 1.2 mm over pulverised
    implied = {
        "fine": (34 / 42, 46 / 58),
        "normal": (30 / 42, 46 / 58),
        "coarse": (25 / 42, 36 / 58),
    }
    for crush, (pilsner, munich) in implied.items():
        low, best, high = crush_factor(crush)
        assert low <= min(pilsner, munich) <= best + 0.01
        assert best - 0.01 <= max(pilsner, munich) <= high
    assert crush_factor("pulverised") == (1.0, 1.0, 1.0)
    with pytest.raises(KeyError):
        crush_factor("shredded")
