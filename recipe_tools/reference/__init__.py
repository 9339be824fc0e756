"""Facts with their sources: agents, malts, ranges, limits, styles, hazards and names for them.

The facts stand in CSV files (`tables`); what is imported here is loaded when it is first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from recipe_tools.reference.agent_names import AgentMatch, nearest_agents, recognise_agent, says
    from recipe_tools.reference.agent_prose import agents_in_prose
    from recipe_tools.reference.agent_table import (
        Agent,
        acid_density_kg_l,
        agent,
        agent_family,
        agents,
        solution_density_kg_l,
    )
    from recipe_tools.reference.defaults import default_of
    from recipe_tools.reference.glass import in_the_glass
    from recipe_tools.reference.hazards import Hazard, hazard
    from recipe_tools.reference.limits import (
        DrinkingLimit,
        IonRange,
        drinking_limits,
        ion_range,
    )
    from recipe_tools.reference.malt_names import MaltMatch, recognise_malt
    from recipe_tools.reference.malts import MaltValues, crush_factor, malt_values, typical_ebc
    from recipe_tools.reference.style_table import FamilyMatch, family_words
    from recipe_tools.reference.style_targets import FamilyTargets, families, family_targets
    from recipe_tools.reference.styles import style_family
    from recipe_tools.reference.tables import data_digest, table, table_names
    from recipe_tools.reference.waters import CityWater, city_waters

_HOMES = {
    "agent_names": ("AgentMatch", "nearest_agents", "recognise_agent", "says"),
    "agent_prose": ("agents_in_prose",),
    "agent_table": (
        "Agent",
        "acid_density_kg_l",
        "agent",
        "agent_family",
        "agents",
        "solution_density_kg_l",
    ),
    "defaults": ("default_of",),
    "glass": ("in_the_glass",),
    "hazards": ("Hazard", "hazard"),
    "limits": ("DrinkingLimit", "IonRange", "drinking_limits", "ion_range"),
    "malt_names": ("MaltMatch", "recognise_malt"),
    "malts": ("MaltValues", "crush_factor", "malt_values", "typical_ebc"),
    "style_table": ("FamilyMatch", "family_words"),
    "style_targets": ("FamilyTargets", "families", "family_targets"),
    "styles": ("style_family",),
    "tables": ("data_digest", "table", "table_names"),
    "waters": ("CityWater", "city_waters"),
}
_MODULE_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "Agent",
    "AgentMatch",
    "CityWater",
    "DrinkingLimit",
    "FamilyMatch",
    "FamilyTargets",
    "Hazard",
    "IonRange",
    "MaltMatch",
    "MaltValues",
    "acid_density_kg_l",
    "agent",
    "agent_family",
    "agents",
    "agents_in_prose",
    "city_waters",
    "crush_factor",
    "data_digest",
    "default_of",
    "drinking_limits",
    "families",
    "family_targets",
    "family_words",
    "hazard",
    "in_the_glass",
    "ion_range",
    "malt_values",
    "nearest_agents",
    "recognise_agent",
    "recognise_malt",
    "says",
    "solution_density_kg_l",
    "style_family",
    "table",
    "table_names",
    "typical_ebc",
]


def __getattr__(name: str) -> Any:
    module = _MODULE_OF.get(name)
    if module is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(f"{__name__}.{module}"), name)
    globals()[name] = value
    return value
