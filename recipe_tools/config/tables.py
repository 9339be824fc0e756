"""The tables of recipe-tools.toml: their keys and how each is read."""

from __future__ import annotations

from recipe_tools.config.fields import (
    GRAMS,
    LITRES,
    LITRES_PER_KG,
    MASH_THICKNESS,
    SHARE,
    Table,
    agent,
    as_it_is,
    chlorine,
    choice,
    day,
    flag,
    ion_range,
    name_or_place,
    number,
    rule_name,
    text,
)
from recipe_tools.config.own_rules import STAGES
from recipe_tools.recipe import IONS

STYLE_KEYS = (*IONS, "residual_alkalinity_meq_l", "sulfate_to_chloride")

WATER = Table(
    {
        "records": choice("source", "target", "ignore"),
        "report": text,
        "chlorine_mg_l": chlorine,
        "chloramine": flag,
        "treatment": choice("boiled", "lime"),
    }
)
EQUIPMENT = Table(
    {
        "sparge": flag,
        "grain_absorption_l_kg": LITRES_PER_KG,
        "dead_space_l": LITRES,
        "crush": choice("pulverised", "fine", "normal", "coarse"),
        "units": choice("metric", "us"),
    }
)
MALT = Table(
    {
        "name": text,
        "di_ph": number(3.0, 8.0),
        "buffer_meq_kg_ph": number(1.0, 1000.0),
        "di_water_l_kg": MASH_THICKNESS,
    },
    required=("name",),
)
SHELF = Table(
    {
        "agent": agent,
        "form": choice("solid", "solution", "tablet"),
        "strength_percent": SHARE,
        "purity_percent": SHARE,
        "scale_g": GRAMS,
    },
    required=("agent",),
)
STYLE = Table({key: ion_range(key) for key in STYLE_KEYS})
SEVERITY = choice("error", "warning", "note", "off")
SUPPRESS = Table(
    {"rule": text, "path": text, "recipe": name_or_place, "reason": text, "until": day},
    required=("rule", "reason"),
)
READINGS = Table({"file": text, "meter_ph": number(0.005, 0.5)})
OWN_RULE = Table(
    {
        "name": rule_name,
        "quantity": text,
        "stage": choice(*STAGES),
        "style": text,
        "low": as_it_is,
        "high": as_it_is,
        "severity": choice("error", "warning", "note"),
        "reason": text,
        "source": text,
    },
    required=("name", "quantity", "reason"),
)
