"""How well the mash pH model does against published measurements: ``python -m tests.accuracy``.

Prints one table of measured mashes and one of measured slopes. Nothing here is fitted while it
runs, except in the rows "left out", where the law of a class is fitted anew without the malt that
it is then asked about.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import log10, sqrt
from pathlib import Path

from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.mash_ph import MaltShare, MashInput, Prediction, ph_only, predict
from recipe_tools.reference.malts import crush_factor, malt_values
from recipe_tools.reference.tables import table

PUBLISHED = Path(__file__).parent / "data" / "published"
SOLUTION_PH = exactly(8.3)
"""Sodium bicarbonate in distilled water, which the series used."""
EQUIVALENTS_OF_SLOPE = 5.0
"""mEq/L over which a slope against calcium or magnesium is taken."""

Row = dict[str, str]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Predicted against measured pH of one data set; coverage in percent of the 95 % bands."""

    name: str
    rows: int
    rmse: float
    bias: float
    worst: float
    coverage: float
    half_width: float


@dataclass(frozen=True, slots=True)
class Slope:
    """One measured slope (pH per mEq/L) and the one the model has."""

    id: str
    effect: str
    condition: str
    measured: float
    predicted: float

    @property
    def off(self) -> float:
        """Predicted over measured, less one."""
        return self.predicted / self.measured - 1.0


def rows(name: str) -> list[Row]:
    """Return the rows of a published table."""
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def complete_mashes() -> list[Row]:
    """Return the measured mashes of which every input is known."""
    return [row for row in rows("mash_ph_measurements") if row["complete"] == "yes"]


def thickness_mashes() -> list[Row]:
    """Return the 24 mashes of two lots at four thicknesses and three alkalinities."""
    return [row for row in complete_mashes() if row["id"] >= "M029"]


def _mash(row: Row, malt: MaltShare, crush: Estimate) -> MashInput:
    return MashInput(
        malts=(malt,),
        water_to_grist_l_kg=exactly(float(row["water_l_kg"])),
        alkalinity_meq_l=exactly(float(row["alkalinity_meq_l"])),
        water_ph=SOLUTION_PH,
        crush_factor=crush,
    )


def by_class(row: Row, crush: str = "pulverised") -> Prediction:
    """Predict a mash from the class and the colour of its malt alone."""
    colour = float(row["colour_ebc"]) if row["colour_ebc"] else None
    values = malt_values(row["class"], colour)
    malt = MaltShare(
        row["malt"],
        1.0,
        Estimate(*values.di_ph),
        Estimate(*values.buffer_meq_kg_ph),
        values.di_water_l_kg,
    )
    return predict(_mash(row, malt, Estimate(*crush_factor(crush))))


def by_lot(row: Row, *, buffer: str) -> Prediction:
    """Predict a thickness mash from the pH of its lot in distilled water at 4 L/kg.

    buffer: ``lot`` takes DI pH and buffer fitted to the lot, ``generic`` the measured DI pH of the
    series at 4 L/kg and the buffer of the class.
    """
    if buffer == "lot":
        found = next(
            item
            for item in table("malt_acid_base")
            if item["malt"] == row["malt"] and item["mark"] == "derived"
        )
        ph, strength = float(found["di_ph"]), exactly(float(found["buffer_meq_kg_ph"]))
    else:
        ph = next(
            float(item["ph"])
            for item in thickness_mashes()
            if item["malt"] == row["malt"]
            and float(item["water_l_kg"]) == 4.0
            and float(item["alkalinity_meq_l"]) == 0.0
        )
        values = malt_values(row["class"], float(row["colour_ebc"]))
        strength = Estimate(*values.buffer_meq_kg_ph)
    malt = MaltShare(row["malt"], 1.0, exactly(ph), strength, 4.0)
    return predict(_mash(row, malt, exactly(1.0)))


def compare(name: str, mashes: Sequence[Row], predicted: Callable[[Row], Prediction]) -> Comparison:
    """Return how far predictions lie from the measured pH of some mashes."""
    found = [(predicted(row), float(row["ph"])) for row in mashes]
    errors = [prediction.ph - measured for prediction, measured in found]
    inside = sum(prediction.low <= measured <= prediction.high for prediction, measured in found)
    return Comparison(
        name,
        len(found),
        _rms(errors),
        sum(errors) / len(errors),
        max(errors, key=abs),
        100.0 * inside / len(found),
        sum(0.5 * (prediction.high - prediction.low) for prediction, _ in found) / len(found),
    )


def comparisons() -> list[Comparison]:
    """Return all comparisons with measured mashes."""
    every, thickness = complete_mashes(), thickness_mashes()
    return [
        compare("class and colour, pulverised", every, by_class),
        compare("  the same, crush normal", every, lambda row: by_class(row, "normal")),
        compare("  base malts alone", [r for r in every if r["id"] <= "M010"], by_class),
        compare(
            "  specialty malts alone", [r for r in every if "M010" < r["id"] < "M029"], by_class
        ),
        compare("  thickness x alkalinity", thickness, by_class),
        compare("lot pH and lot buffer", thickness, lambda row: by_lot(row, buffer="lot")),
        compare("lot pH, class buffer", thickness, lambda row: by_lot(row, buffer="generic")),
        left_out("base malts, each left out", {"base_pils", "base_pale", "vienna", "munich"}),
        left_out("caramel malts, each left out", {"caramel"}),
    ]


def left_out(name: str, classes: set[str]) -> Comparison:
    """Return the error for malts of some classes when their law is fitted without each of them."""
    malts = [
        (row, log10(float(row["colour_ebc"])), float(row["ph"]))
        for row in complete_mashes()
        if row["class"] in classes and row["id"] < "M029"
    ]
    errors = []
    inside = 0
    width = 0.0
    for row, colour, measured in malts:
        others = [(x, y) for other, x, y in malts if other is not row]
        slope, intercept = _line(others)
        error = intercept + slope * colour - measured
        errors.append(error)
        band = by_class(row)
        half = 0.5 * (band.high - band.low)
        inside += abs(error) <= half
        width += half
    count = len(errors)
    return Comparison(
        name,
        count,
        _rms(errors),
        sum(errors) / count,
        max(errors, key=abs),
        100.0 * inside / count,
        width / count,
    )


def _line(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    count = len(points)
    mean_x = sum(x for x, _ in points) / count
    mean_y = sum(y for _, y in points) / count
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / sum(
        (x - mean_x) ** 2 for x, _ in points
    )
    return slope, mean_y - slope * mean_x


def _rms(values: Iterable[float]) -> float:
    squares = [value * value for value in values]
    return sqrt(sum(squares) / len(squares))


_CRUSH_OF_GAP = {
    "pulverised": "pulverised",
    "0.5 mm": "fine",
    "0.8 mm": "normal",
    "1.2 mm": "coarse",
}
_COLOUR = {"base_pils": 3.5, "munich": 17.35}
_LOT_PH = {"base_pils": 5.72, "munich": 5.42}


def slopes() -> list[Slope]:
    """Return all published slopes with those of the model (buffer of the class, lot pH)."""
    found = []
    for row in rows("mash_ph_slopes"):
        effect = row["effect"]
        condition = f"{row['grist']}, {row['water_l_kg']} L/kg, {row['milling']}"
        if row["alkalinity_meq_l"]:
            condition += f", alkalinity {row['alkalinity_meq_l']}"
        predicted = (
            _specialty_slope(row) if effect == "specialty-malt acidity" else _water_slope(row)
        )
        if predicted is not None:
            found.append(Slope(row["id"], effect, condition, float(row["slope"]), predicted))
    return found


def _water_slope(row: Row) -> float:
    effect, ratio = row["effect"], float(row["water_l_kg"])
    buffer = malt_values(row["class"], _COLOUR[row["class"]]).buffer_meq_kg_ph[1]
    malt = MaltShare("malt", 1.0, exactly(_LOT_PH[row["class"]]), exactly(buffer), 4.0)
    crush = exactly(crush_factor(_CRUSH_OF_GAP[row["milling"]])[1])
    alkalinity = float(row["alkalinity_meq_l"] or 0.0)
    span = {"alkalinity": 5.3, "sodium hydroxide": 2.0}.get(effect, EQUIVALENTS_OF_SLOPE)

    def at(amount: float) -> float:
        return ph_only(
            MashInput(
                malts=(malt,),
                water_to_grist_l_kg=exactly(ratio),
                alkalinity_meq_l=exactly(amount if effect == "alkalinity" else alkalinity),
                water_ph=SOLUTION_PH,
                calcium_meq_l=exactly(amount if effect == "calcium" else 0.0),
                magnesium_meq_l=exactly(amount if effect == "magnesium" else 0.0),
                hydroxide_meq_kg=exactly(amount * ratio if effect == "sodium hydroxide" else 0.0),
                crush_factor=crush,
            )
        )

    return (at(span) - at(0.0)) / span


_SPECIALTY = {
    "dehusked": "dehusked roasted malt",
    "150": "caramel malt",
    "400": "dark caramel malt",
}


def _specialty_slope(row: Row) -> float | None:
    """Return pH per mEq of titrated acidity per litre, with a tenth of specialty malt."""
    name = next((malt for word, malt in _SPECIALTY.items() if word in row["grist"]), None)
    if name is None:
        return None
    found = next(
        item
        for item in table("malt_acid_base")
        if item["malt"] == name and (name != "caramel malt" or item["colour_ebc"] == "150")
    )
    acidity, share, ratio = float(found["acidity_to_ph_5_7_meq_kg"]), 0.1, 4.0
    buffer = malt_values("base_pils", _COLOUR["base_pils"]).buffer_meq_kg_ph[1]
    in_mash = next(
        float(law["buffer_in_mash_factor"])
        for law in table("malt_model")
        if law["class"] == found["class"]
    )

    def at(specialty: float) -> float:
        base = MaltShare("base", 1.0 - specialty, exactly(5.72), exactly(buffer), 4.0)
        other = MaltShare(
            name or "",
            specialty,
            exactly(float(found["di_ph"])),
            exactly(in_mash * float(found["buffer_meq_kg_ph"])),
            8.0,
        )
        return ph_only(MashInput((base, other), exactly(ratio), water_ph=exactly(7.0)))

    return (at(share) - at(0.0)) / (acidity * share / ratio)


def main() -> None:
    """Print both tables."""
    print(
        f"{'data set':32} {'rows':>4} {'RMSE':>6} {'bias':>7} {'worst':>7}"
        f" {'in band':>8} {'half-width':>10}"
    )
    for found in comparisons():
        print(
            f"{found.name:32} {found.rows:4d} {found.rmse:6.3f} {found.bias:+7.3f}"
            f" {found.worst:+7.3f} {found.coverage:7.1f}% {found.half_width:10.3f}"
        )
    print(f"\n{'slope':4} {'effect':24} {'measured':>8} {'model':>8} {'off':>6}  condition")
    for slope in slopes():
        print(
            f"{slope.id:5} {slope.effect:24} {slope.measured:8.3f} {slope.predicted:8.3f}"
            f" {100.0 * slope.off:+5.0f}%  {slope.condition}"
        )


if __name__ == "__main__":
    main()
