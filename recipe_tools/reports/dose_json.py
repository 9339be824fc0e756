"""Dosing plans as JSON, described by schemas/dose.schema.json."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from recipe_tools import __version__
from recipe_tools.dosing.brew_steps import brew_steps
from recipe_tools.measuring.kettle_table import kettle_table
from recipe_tools.recipe import IONS
from recipe_tools.reports.dose_words import cautions
from recipe_tools.reports.escaping import json_visible
from recipe_tools.reports.json_report import number
from recipe_tools.results import SCHEMA_VERSION

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay, Liquor
    from recipe_tools.chemistry.mash_ph import Prediction
    from recipe_tools.dosing import Proposal
    from recipe_tools.dosing.brew_steps import Action, BrewStep
    from recipe_tools.dosing.records import Dechlorination, Stock, Unmet
    from recipe_tools.measuring.kettle_table import KettleTable, Row


Json = dict[str, Any]


def render(proposals: Sequence[Proposal], path: str) -> str:
    """Return the plans of a file as indented JSON, ending with a line feed."""
    document = {
        "schema_version": SCHEMA_VERSION,
        "tool": {"name": "recipe-tools", "version": __version__},
        "path": path,
        "recipes": [plan(item) for item in proposals],
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
    return "".join(f"{json_visible(line)}\n" for line in text.split("\n"))


def plan(proposal: Proposal) -> Json:
    """Return one plan ready for JSON."""
    table = kettle_table(proposal)
    sulfite, dilution, swap = proposal.dechlorination, proposal.dilution, proposal.swap
    return {
        "index": proposal.recipe.index,
        "name": proposal.recipe.name,
        "feasible": proposal.feasible,
        "planned": proposal.planned is not None,
        "target": {"ph": number(proposal.target_ph), "from": proposal.target_from},
        "request": {
            "replace": proposal.request.replace,
            "split": proposal.request.split,
            "dilution": proposal.request.dilution,
        },
        "dechlorination": None if sulfite is None else _sulfite(sulfite),
        "dilution": (
            None
            if dilution is None
            else {
                "share": number(dilution.share),
                "litres": {stage: number(litres) for stage, litres in dilution.litres.items()},
            }
        ),
        "acidulated_malt": (
            None if swap is None else {"kilograms": number(swap.kilograms), "instead_of": swap.malt}
        ),
        "doses": [
            {
                "agent": item.stock.agent.id,
                "name": item.stock.name,
                "stage": item.stage,
                "amount": number(item.amount),
                "unit": item.stock.unit,
                "strength_percent": number(item.stock.strength_percent),
            }
            for item in proposal.doses
        ],
        "acid_portions": [
            {
                "name": part.stock.name,
                "unit": part.stock.unit,
                "first": number(part.first),
                "at_most_after_measuring": number(part.rest),
                "mash_ph_after_first": number(part.ph_first),
            }
            for part in proposal.portions
        ],
        "baking_soda_g_per_tenth_ph": number(proposal.soda_g_per_tenth),
        "steps": [_step(step) for step in brew_steps(proposal)],
        "by_reading": None if table is None else _by_reading(table),
        "before": _day(proposal.before),
        "after": None if proposal.after is None else _day(proposal.after),
        "robust": proposal.robust,
        "unmet": [_unmet(item) for item in proposal.unmet],
        "reasons": list(proposal.reasons),
        "changes": list(proposal.changes),
        "missing": list(proposal.missing),
        "cautions": [
            {
                "name": item.name,
                "signal_word": item.signal_word,
                "codes": list(item.codes),
                "advice": item.advice,
            }
            for item in cautions(proposal, table)
        ],
        "supposed": list(proposal.supposed),
        "remarks": list(proposal.remarks),
    }


def _by_reading(table: KettleTable) -> Json:
    return {
        "target_ph": number(table.target_ph),
        "raising": _agent(table.raising),
        "lowering": _agent(table.lowering),
        "rows": [
            *(_row(row, "raise") for row in table.low),
            *(_row(row, "lower") for row in table.high),
        ],
    }


def _agent(stock: Stock | None) -> Json | None:
    if stock is None:
        return None
    return {
        "agent": stock.agent.id,
        "name": stock.name,
        "unit": stock.unit,
        "strength_percent": number(stock.strength_percent),
    }


def _row(row: Row, direction: str) -> Json:
    found = row.correction
    steps = () if found is None else found.steps
    return {
        "read_ph": number(row.read_ph),
        "direction": direction,
        "leave_it": row.leave_it,
        "now": number(steps[0].amount) if steps else 0.0,
        "then_at_most": number(steps[1].amount) if len(steps) > 1 else 0.0,
        "reaches": found is not None and found.reaches,
        "why": "nothing on the shelf does" if found is None else found.why,
    }


def _sulfite(sulfite: Dechlorination) -> Json:
    return {
        "agent": sulfite.agent.id,
        "name": sulfite.name,
        "grams": number(sulfite.grams),
        "litres": number(sulfite.litres),
        "chlorine_mg_l": number(sulfite.chlorine_mg_l),
        "chloramine": sulfite.chloramine,
        "solution": (
            None
            if sulfite.direct
            else {
                "grams_in_100_ml": number(sulfite.stock_g),
                "millilitres": number(sulfite.solution_ml),
                "tablet": sulfite.tablet,
            }
        ),
    }


def _step(step: BrewStep) -> Json:
    return {"when": step.when, "actions": [_action(action) for action in step.actions]}


def _action(action: Action) -> Json:
    return {
        "what": action.what,
        "name": action.name,
        "amount": number(action.amount),
        "unit": action.unit,
        "litres": number(action.litres),
    }


def _day(day: BrewDay) -> Json:
    return {
        "mash": _liquor(day.mash),
        "sparge": _liquor(day.sparge),
        "total": _liquor(day.liquor),
        "mash_ph": None if day.prediction is None else _mash_ph(day.prediction),
    }


def _liquor(liquor: Liquor | None) -> Json | None:
    if liquor is None:
        return None
    residual, after = liquor.residual_alkalinity_meq_l, liquor.after_acid
    return {
        "volume_l": number(liquor.volume_l.best),
        "ions_mg_l": {
            ion: number(level.best) if (level := liquor.ions_mg_l.get(ion)) is not None else None
            for ion in IONS
        },
        "residual_alkalinity_meq_l": None if residual is None else number(residual.best),
        "sulfate_to_chloride": number(liquor.sulfate_to_chloride),
        "ph": None if after is None or liquor.stage == "total" else number(after.ph),
    }


def _mash_ph(found: Prediction) -> Json:
    return {
        "predicted": number(found.ph),
        "low": number(found.low),
        "high": number(found.high),
        "at_celsius": number(found.at_celsius),
    }


def _unmet(item: Unmet) -> Json:
    return {
        "quantity": item.quantity,
        "value": number(item.value),
        "low": number(item.low),
        "high": number(item.high),
        "unit": item.unit,
    }
