"""What the HTML report shows of one brew day: tables as text, pictures as SVG."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from recipe_tools.chemistry.estimate import bests
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.judgement import OPEN
from recipe_tools.judgement.ions import exempt, range_of, upper_limit
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.recipe import IONS
from recipe_tools.reference import family_words
from recipe_tools.reports.brew_day_lines import likely_words, standing, why
from recipe_tools.reports.pictures import IonRow, ion_picture, ph_picture, shares_picture

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay, Dose, Liquor
    from recipe_tools.chemistry.estimate import Estimate

_STAGES = {
    "source": "source water",
    "mash": "mash",
    "sparge": "sparge",
    "boil": "boil",
    "fermenter": "fermenter",
    "package": "package",
    "unknown": "not stated",
}
_DASH = "–"


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table: its heading and its cells as shown."""

    heading: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The tables and pictures of a recipe. Pictures are SVG markup or empty.

    ph_words: the predicted pH and what it will most likely read. window: the window and how the
    prediction stands to it. shares: what decides it, in words.
    """

    water_columns: tuple[str, ...]
    water_rows: tuple[Row, ...]
    ions_svg: str
    ions_caption: str
    ph_svg: str
    ph_words: str
    window: str
    shares: str
    shares_svg: str
    drivers: tuple[str, ...]
    warnings: tuple[str, ...]
    doses: tuple[Row, ...]
    assumptions: tuple[str, ...]
    not_predictable: tuple[str, ...]


NO_SIDES: Mapping[str, str] = MappingProxyType({})


def sheet(
    day: BrewDay,
    name: str,
    *,
    pictures: bool,
    sides: Mapping[str, str] = NO_SIDES,
    window: tuple[float, float] = WINDOW_PH,
    before: BrewDay | None = None,
) -> Sheet:
    """Return the sheet of a brew day. name: prefix of the ids within its pictures.

    sides: ``above`` or ``below`` by ion, for those a rule found outside. window: of the mash pH.
    before: the brew day without the doses of a plan, marked in the same pictures.
    """
    liquors = [item for item in (day.mash, day.sparge, day.total) if item is not None]
    ions_svg, caption = _ions(day, name, sides, before) if pictures else ("", "")
    prediction = day.prediction
    ph_svg = shares_svg = ph_words = window_words = shares = ""
    drivers: tuple[str, ...] = ()
    if prediction is not None:
        ph_words = likely_words(prediction)
        edges = f"{window[0]:g} to {window[1]:g}"
        celsius = f"{prediction.at_celsius:.0f} °C"
        window_words = f"window {edges} in a sample cooled to {celsius}: {standing(day, window)}"
        shares = why(day, prediction).replace(" -", " −")
        drivers = tuple(
            f"{item.label}: ± {item.half_width:.2f}"
            for item in prediction.drivers[:5]
            if item.half_width >= 0.005
        )
        if pictures:
            band = (prediction.ph, prediction.low, prediction.high)
            was = None if before is None or before.prediction is None else before.prediction.ph
            ph_svg = ph_picture(f"{name}p", "Predicted mash pH", *band, was)
            shares_svg = shares_picture(
                f"{name}b", "What decides the mash pH", prediction.contributions_ph
            )
    return Sheet(
        water_columns=("source", *(_STAGE_HEADINGS[item.stage] for item in liquors)),
        water_rows=_water_rows(day, liquors),
        ions_svg=ions_svg,
        ions_caption=caption,
        ph_svg=ph_svg,
        ph_words=ph_words,
        window=window_words,
        shares=shares,
        shares_svg=shares_svg,
        drivers=drivers,
        warnings=prediction.warnings if prediction else (),
        doses=tuple(_dose(item) for item in day.doses),
        assumptions=tuple(item.text for item in day.assumptions),
        not_predictable=day.not_predictable,
    )


_STAGE_HEADINGS = {"mash": "mash", "sparge": "sparge", "total": "all water"}


def _water_rows(day: BrewDay, liquors: Sequence[Liquor]) -> tuple[Row, ...]:
    source, levels = day.source, bests(day.source.ions_mg_l)
    rows = [Row("volume, L", (_DASH, *(f"{item.volume_l.best:.1f}" for item in liquors)))]
    for ion in IONS:
        first = _fixed(levels.get(ion) if source.known else None, 0)
        rest = (_best(item.ions_mg_l.get(ion), 0) for item in liquors)
        rows.append(Row(f"{ion}, mg/L", (first, *rest)))
    alkalinities = (
        source.alkalinity_meq_l if source.known else None,
        *(item.alkalinity_meq_l for item in liquors),
    )
    rows.append(Row("alkalinity, mg/L as CaCO3", tuple(map(_as_caco3, alkalinities))))
    residual = (_as_caco3(item.residual_alkalinity_meq_l) for item in liquors)
    rows.append(Row("residual alkalinity, mg/L as CaCO3", (_DASH, *residual)))
    if any(item.after_acid for item in liquors):
        rows.append(Row("pH, with acid if any", (_DASH, *(_after_acid(item) for item in liquors))))
    ratios = (_fixed(item.sulfate_to_chloride, 1) for item in liquors)
    rows.append(Row("sulfate to chloride, by mass", (_DASH, *ratios)))
    return tuple(row for row in rows if any(cell != _DASH for cell in row.cells))


def _as_caco3(alkalinity: Estimate | None) -> str:
    return _best(None if alkalinity is None else alkalinity.times(CACO3_MG_MEQ), 0)


def _after_acid(liquor: Liquor) -> str:
    return _fixed(liquor.after_acid.ph if liquor.after_acid else None, 1)


def _fixed(value: float | None, digits: int) -> str:
    """Return a number as print sets it; a dash where it is not known."""
    if value is None:
        return _DASH
    return f"{round(value, digits) + 0.0:.{digits}f}".replace("-", "−")


def _best(estimate: Estimate | None, digits: int) -> str:
    if estimate is None:
        return _DASH
    text = _fixed(estimate.best, digits)
    low, high = _fixed(estimate.low, digits), _fixed(estimate.high, digits)
    return text if low == high else f"{text} ({low} to {high})"


def _dose(dose: Dose) -> Row:
    taken_for = dose.agent.name if dose.agent else "not recognised"
    strength = "" if dose.strength_percent is None else f"{_best(dose.strength_percent, 0)} %"
    return Row(dose.addition.name, (taken_for, _STAGES[dose.stage], _amount(dose), strength))


def _amount(dose: Dose) -> str:
    if dose.grams is not None:
        return f"{_best(dose.grams, 2)} g"
    if dose.millilitres is not None:
        return f"{_best(dose.millilitres, 2)} mL"
    return "not stated"


def _ions(
    day: BrewDay, name: str, sides: Mapping[str, str], before: BrewDay | None
) -> tuple[str, str]:
    """Return the picture of the ions and what it shows, or nothing where the water is unknown."""
    liquor = day.liquor
    if liquor is None or not liquor.ions_mg_l:
        return "", ""
    was = {} if before is None or before.liquor is None else bests(before.liquor.ions_mg_l)
    rows = [
        replace(_ion_row(day, ion, liquor.ions_mg_l.get(ion), sides.get(ion, "")), was=was.get(ion))
        for ion in IONS
    ]
    caption = "Ions in all water" if liquor.stage == "total" else "Ions in the mash water"
    if day.targets is not None and day.targets.ranges and day.family is not None:
        caption += f", with the ranges for {family_words(day.family.family)}"
    return ion_picture(f"{name}i", caption, rows), caption


def _ion_row(day: BrewDay, ion: str, level: Estimate | None, side: str) -> IonRow:
    label = ion.capitalize()
    if level is None:
        return IonRow(label, None)
    if ion == "bicarbonate":
        # What it does depends on acid, malt and calcium; the rules look at the pH it leads to.
        instead = "judged by the mash pH"
        return IonRow(label, level.best, level.low, level.high, instead=instead)
    limit = None if exempt(day, ion) else upper_limit(ion)
    ends = range_of(day, ion)
    target = None if ends == OPEN else ends
    return IonRow(label, level.best, level.low, level.high, target, limit, side)
