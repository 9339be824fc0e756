"""Sentences about a dosing plan that all its reports share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_tools.brewday.treated import BOILING, LIME_CAUTIONS, LIMING
from recipe_tools.dosing.sparge import SPARGE_PH
from recipe_tools.judgement.ions import range_of
from recipe_tools.recipe import IONS
from recipe_tools.reports.amounts import amount, amounts_in, spoken

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay
    from recipe_tools.dosing import Proposal
    from recipe_tools.dosing.brew_steps import Action, BrewStep
    from recipe_tools.dosing.records import Caution, Dechlorination
    from recipe_tools.measuring.kettle_table import KettleTable

TITLES: Mapping[str, str] = {
    "evening_before": "The evening before",
    "strike_water": "Strike water, as it heats",
    "dough_in": "Dough-in",
    "ten_minutes": "Ten minutes after dough-in",
    "sparge_water": "Sparge water",
    "kettle": "Kettle",
}
LAST_CAUTION = (
    "Use food grade only. The label and data sheet of each product come first, and so do the rules "
    "for food and drinking water where you live."
)
_MET = "This plan meets every range"


def title(proposal: Proposal) -> str:
    """Return the name of a recipe, with its style."""
    recipe = proposal.recipe
    name = recipe.name or f"recipe {recipe.index + 1}, without a name"
    style = recipe.style
    return name if style is None or not style.name else f"{name} - {style.name}"


def verdict(proposal: Proposal) -> str:
    """Return in one sentence what kind of plan this is."""
    if proposal.planned is None:
        return "No plan can be made"
    if not proposal.feasible:
        return "The nearest plan; it leaves something outside its range"
    nothing = not proposal.doses and proposal.dilution is None
    if unplanned := _no_mash_ph(proposal):
        met = "Nothing has to be added to meet the ranges"
        return f"{met if nothing else _MET}; the mash pH is not judged: {unplanned}"
    if nothing:
        return "Nothing has to be added to meet ranges and mash pH"
    return f"{_MET} and brings the mash into its window"


def _no_mash_ph(proposal: Proposal) -> str:
    """Return why no mash pH is planned; empty where one is."""
    if not proposal.before.is_mashed:
        return "nothing is mashed"
    return "the beer is soured" if proposal.target_from == "soured" else ""


def aim(proposal: Proposal) -> str:
    """Return in one sentence what the mash pH aims at and who says so."""
    if unplanned := _no_mash_ph(proposal):
        return f"No mash pH is aimed at: {unplanned}"
    origin = {"asked": "as asked for", "recipe": "as the recipe states", "default": "the default"}
    return f"The mash aims at pH {proposal.target_ph:.2f}, {origin[proposal.target_from]}"


def step_lines(proposal: Proposal, step: BrewStep) -> tuple[str, ...]:
    """Return what is to be done at one moment, a sentence for each thing."""
    said = (_sentence(proposal, step, action) for action in step.actions)
    return tuple(text[:1].upper() + text[1:] for text in said)


def _sentence(proposal: Proposal, step: BrewStep, action: Action) -> str:
    if action.what == "dechlorinate":
        return _dechlorinate(proposal)
    if action.what == "measure":
        return _measure(proposal)
    say = amounts_in(proposal.options.units)
    if action.what == "boil":
        return f"take {say(round(action.litres or 0.0, 1), 'L')} of tap water: {BOILING}"
    if action.what == "lime":
        weight = say(action.amount or 0.0, action.unit)
        return f"{weight} of slaked lime for {say(round(action.litres or 0.0, 1), 'L')}: {LIMING}"
    name = spoken(action.name)
    shown = f"{say(action.amount or 0.0, action.unit)} of {name}"
    litres = say(round(action.litres or 0.0, 1), "L")
    if action.what == "blend":
        return f"take {shown} in place of as much tap water, {litres} in all"
    if action.what == "malt":
        weight = say(action.amount or 0.0, action.unit)
        return f"weigh {weight} of acidulated malt in place of as much {action.name}"
    if action.what == "acid_rest":
        more = say(action.amount or 0.0, action.unit)
        return f"only if the sample reads above the target: stir in at most {more} more of {name}"
    if action.what == "soda":
        return f"if it reads too low: {shown}, stirred in, lift it by 0.1"
    if action.what == "salt":
        cold = " while still cold" if action.name.startswith("Gypsum") else ""
        return f"stir {shown} into the {litres}{cold}"
    if action.what == "base":
        return f"stir {shown} into the mash"
    if step.when == "sparge_water":
        return f"stir {shown} into the {litres}; pH {SPARGE_PH:g} is meant"
    rest = any(p.stock.name == action.name and p.rest > 0 for p in proposal.portions)
    part = "first " if rest else ""
    return f"{part}stir {shown} into the strike water, just before the grain"


def _dechlorinate(proposal: Proposal) -> str:
    sulfite = proposal.dechlorination
    if sulfite is None:
        return ""
    say = amounts_in(proposal.options.units)
    what = "chloramine" if sulfite.chloramine else "chlorine"
    weight = f"{say(sulfite.grams, 'g')} of {spoken(sulfite.name)}"
    against = f"against {sulfite.chlorine_mg_l:.1f} mg/L of {what}; wait a few minutes"
    litres = say(round(sulfite.litres, 1), "L")
    if sulfite.direct:
        return f"stir {weight} into the {litres}, {against}"
    return (
        f"stir {say(sulfite.solution_ml, 'mL')} of a solution of {_dissolved(proposal, sulfite)}, "
        f"which is {weight}, into the {litres}, {against}, throw the rest of the solution away"
    )


def _dissolved(proposal: Proposal, sulfite: Dechlorination) -> str:
    stock = amount(sulfite.stock_g, "g", proposal.options.units)
    shown = f"one tablet ({stock}), crushed," if sulfite.tablet else stock
    return f"{shown} in 100 mL of water"


def stock_solution(proposal: Proposal) -> str:
    """Return what a dose too small for the scale is measured out of; empty where none is."""
    sulfite = proposal.dechlorination
    if sulfite is None or sulfite.direct:
        return ""
    say = amounts_in(proposal.options.units)
    return (
        f"To measure out the {say(sulfite.grams, 'g')} of {spoken(sulfite.name)}: a stock solution "
        f"of {_dissolved(proposal, sulfite)}. Only {say(sulfite.solution_ml, 'mL')} of it is the "
        "dose"
    )


def _measure(proposal: Proposal) -> str:
    prediction = proposal.after.prediction if proposal.after is not None else None
    if prediction is None:
        return "measure the pH of a sample cooled to room temperature"
    text = "measure the pH of a sample cooled to room temperature; predicted "
    rest = [part for part in proposal.portions if part.rest > 0]
    if rest:
        text += f"{rest[0].ph_first:.2f} so far and {prediction.ph:.2f} with all of the acid"
    else:
        text += f"{prediction.ph:.2f}"
    return f"{text} (most likely {prediction.low:.2f} to {prediction.high:.2f})"


@dataclass(frozen=True, slots=True)
class LevelRow:
    """A quantity before and after, with the range it is meant to lie in, all as shown."""

    name: str
    before: str
    after: str
    wanted: str


def level_rows(proposal: Proposal) -> Iterator[LevelRow]:
    """Yield the ions of all water and what else a plan moves, before and after."""
    before, after = proposal.before, proposal.after
    for ion in IONS:
        first, then = _ion(before, ion), _ion(after, ion)
        if first is None and then is None:
            continue
        yield LevelRow(f"{ion}, mg/L", _fixed(first, 0), _fixed(then, 0), _wanted(before, ion))
    ratio = before.targets.sulfate_to_chloride if before.targets is not None else None
    first, then = _ratio(before), _ratio(after)
    if first is not None or then is not None:
        yield LevelRow("sulfate to chloride", _fixed(first, 1), _fixed(then, 1), span(ratio, 1))
    if before.prediction is not None or (after is not None and after.prediction is not None):
        low, high = proposal.window
        wanted = "" if _no_mash_ph(proposal) else f"{low:g} to {high:g}"
        yield LevelRow("mash pH", _ph(before), _ph(after), wanted)
    if before.sparge is not None and before.sparge.after_acid is not None:
        yield LevelRow("pH of the sparge water", _sparge_ph(before), _sparge_ph(after), "")


def _ion(day: BrewDay | None, ion: str) -> float | None:
    liquor = None if day is None else day.liquor
    level = None if liquor is None else liquor.ions_mg_l.get(ion)
    return None if level is None else level.best


def _ratio(day: BrewDay | None) -> float | None:
    liquor = None if day is None else day.liquor
    return None if liquor is None else liquor.sulfate_to_chloride


def _ph(day: BrewDay | None) -> str:
    return _fixed(None if day is None or day.prediction is None else day.prediction.ph, 2)


def _sparge_ph(day: BrewDay | None) -> str:
    sparge = None if day is None else day.sparge
    return _fixed(None if sparge is None or sparge.after_acid is None else sparge.after_acid.ph, 1)


def _wanted(day: BrewDay, ion: str) -> str:
    return "" if ion == "bicarbonate" else span(range_of(day, ion), 0)


def span(ends: tuple[float | None, float | None] | None, digits: int) -> str:
    """Return a range in words; empty where both ends are open."""
    low, high = ends if ends is not None else (None, None)
    if low is not None and high is not None:
        return f"{low:.{digits}f} to {high:.{digits}f}"
    if high is not None:
        return f"up to {high:.{digits}f}"
    return "" if low is None else f"from {low:.{digits}f}"


def _fixed(value: float | None, digits: int) -> str:
    return "-" if value is None else f"{round(value, digits) + 0.0:.{digits}f}"


def caution_lines(proposal: Proposal, table: KettleTable | None) -> tuple[str, ...]:
    """Return how to handle what is used, the codes of the label with it."""
    lines = tuple(caution_line(item) for item in cautions(proposal, table))
    left = proposal.before.source.treated
    if left is not None and left.treatment == "lime":
        lines = (*LIME_CAUTIONS, *lines)
    return (*lines, LAST_CAUTION) if lines or proposal.doses else lines


def cautions(proposal: Proposal, table: KettleTable | None) -> tuple[Caution, ...]:
    """Return the cautions of a plan and of its table for the kettle, each product once."""
    found = (*proposal.cautions, *(() if table is None else table.cautions))
    return tuple({item.name: item for item in reversed(found)}.values())[::-1]


def caution_line(item: Caution) -> str:
    """Return how to handle one product."""
    codes = f" ({item.signal_word}: {' '.join(item.codes)})" if item.signal_word else ""
    return f"{item.name}{codes}" + (f": {item.advice}" if item.advice else "")
