"""Sentences about a measured mash that all its reports share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipe_tools.reports.amounts import amount, spoken
from recipe_tools.reports.brew_day_lines import readings_words
from recipe_tools.reports.dose_words import LAST_CAUTION, caution_line

if TYPE_CHECKING:
    from recipe_tools.chemistry.estimate import Estimate
    from recipe_tools.dosing.correction import Correction, Portion
    from recipe_tools.measuring import MeasuredMash
    from recipe_tools.measuring.explanations import Explanation

WARM_CELSIUS = 35.0
NOT_CERTAIN = "Each of these alone would explain it; none is certain."
COOL_IT = (
    "The sample was warm: cool it to room temperature next time, a warm one reads low and wears "
    "the electrode."
)
_VERDICTS = {
    "agrees": "It agrees with the prediction",
    "possible": "It is a little off the prediction",
    "disagrees": "It does not agree with the prediction",
}


def heading(measured: MeasuredMash) -> str:
    """Return the name of the recipe, with its style."""
    recipe = measured.day.recipe
    name = recipe.name or f"recipe {recipe.index + 1}, without a name"
    style = recipe.style
    return name if style is None or not style.name else f"{name} - {style.name}"


def between(value: Estimate) -> str:
    """Return a pH with its band."""
    return f"{value.best:.2f} (most likely {value.low:.2f} to {value.high:.2f})"


def reading_line(measured: MeasuredMash) -> str:
    """Say what was read, and what that is in a sample at 25 °C."""
    reading, at_25 = measured.reading, measured.at_25
    where = "in a cooled sample" if reading.celsius is None else f"at {reading.celsius:g} °C"
    when = "" if reading.minutes is None else f", {reading.minutes:g} minutes after dough-in"
    half = 0.5 * (at_25.high - at_25.low)
    same = (
        ""
        if f"{reading.ph:.2f}" == f"{at_25.best:.2f}"
        else f", which is {at_25.best:.2f} at 25 °C"
    )
    supposed = " (no temperature given, so supposed)" if reading.celsius is None else ""
    return f"Read: pH {reading.ph:.2f} {where}{supposed}{when}{same}, give or take {half:.2f}."


def agreement_line(measured: MeasuredMash) -> str:
    """Say how the reading stands to its prediction."""
    prediction = measured.prediction
    text = (
        f"{_VERDICTS[measured.verdict]}, {prediction.ph:.2f} (most likely {prediction.low:.2f} to "
        f"{prediction.high:.2f})"
    )
    if prediction.readings_used:
        plain = prediction.without_readings
        text += f", {readings_words(prediction)}"
        text += "" if plain is None else f"; without them {plain.best:.2f}"
    return text + "."


def verdict_line(measured: MeasuredMash) -> str:
    """Say in one sentence what is to be done."""
    low, high = measured.window
    window = f"{low:g} to {high:g}"
    if not measured.needed and not measured.wished:
        return f"Leave it alone: the mash lies inside {window}."
    if measured.wished and measured.corrections:
        return (
            f"The mash lies inside {window} and needs nothing; {measured.target_ph:.2f} is a wish."
        )
    side = "above" if measured.at_25.best > high else "below"
    if not measured.corrections:
        what = "acid" if side == "above" else "baking soda or another base"
        return f"The mash lies {side} {window}, and no {what} is on the shelf."
    if not measured.comes_right:
        return f"The mash lies {side} {window} and cannot be brought there: {why(measured)}."
    return f"The mash lies {side} {window}; aim at {measured.target_ph:.2f}."


def why(measured: MeasuredMash) -> str:
    """Say what stops the correction that comes nearest."""
    first = measured.corrections[0]
    return first.why or "no amount the scale can show does"


def portion_line(
    measured: MeasuredMash, correction: Correction, portion: Portion, *, later: bool
) -> str:
    """Say one dose as something to do."""
    weighed = amount(portion.amount, portion.stock.unit, measured.units)
    name = spoken(portion.stock.name)
    after = between(portion.ph_after)
    if later:
        side = "below" if correction.stock.is_base else "above"
        return (
            f"Only if it still reads {side} {correction.target_ph:.2f}: "
            f"{weighed} more of {name}; then {after}."
        )
    wait = "wait two minutes, cool a sample and read again"
    return f"Stir {weighed} of {name} into the mash; {wait}. It should read {after}."


def explanation_line(item: Explanation) -> str:
    """Say one explanation with the value it would need."""
    widths = f"{item.half_widths:.1f} times what is allowed for"
    if item.needed is None or item.assumed is None:
        return item.label if not item.unit and item.assumed is None else f"{item.label} ({widths})"
    if item.id == "meter":
        return f"{item.label} by {item.needed:+.2f} ({widths})"
    digits = 2 if item.unit == "pH" else 0 if item.unit in ("mg/L", "°C") else 1
    needed, assumed = f"{item.needed:.{digits}f}", f"{item.assumed:.{digits}f}"
    unit = "" if item.unit == "pH" else f" {item.unit}"
    return f"{item.label}: {needed}{unit} instead of {assumed} ({widths})"


def asides(measured: MeasuredMash) -> tuple[str, ...]:
    """Return what a brewer should know besides."""
    said = []
    celsius, minutes = measured.reading.celsius, measured.reading.minutes
    if celsius is not None and celsius > WARM_CELSIUS:
        said.append(COOL_IT)
    if minutes is not None and minutes > 20.0:
        said.append("Between 20 and 60 minutes a mash falls by another 0.05 (Hosom 2018).")
    if measured.corrections:
        short = [item for item in measured.corrections if item.why]
        said += [f"{item.stock.name}: {item.why}." for item in short]
    return tuple(said)


def handling_lines(measured: MeasuredMash) -> tuple[str, ...]:
    """Return how to handle what is proposed, the codes of the label with it."""
    if not measured.corrections:
        return ()
    return (*(caution_line(item) for item in measured.cautions), LAST_CAUTION)
