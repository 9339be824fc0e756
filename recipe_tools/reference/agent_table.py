"""Salts, bases, acids and other things that go into brewing water, and the density of solutions."""

from bisect import bisect_left
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Literal, NamedTuple

from recipe_tools.reference.tables import number, table

AgentKind = Literal[
    "salt", "base", "acid", "sulfite", "antioxidant", "malt", "water", "sorbent", "blend"
]
AgentForm = Literal["solid", "solution", "tablet", "either"]

_ION_COLUMNS = (
    "calcium",
    "magnesium",
    "sodium",
    "potassium",
    "chloride",
    "sulfate",
    "bicarbonate",
    "carbonate",
    "hydroxide",
    "zinc",
    "sulfite",
)


class Agent(NamedTuple):
    """A product that changes brewing water.

    form: as it is sold; ``either`` where both crystals and solutions are.
    family: one chemical, whatever its hydrate or form (``calcium_chloride`` has four members).
    hydrate: waters of crystallisation as text (``2``, ``0``, ``0.5``), empty where it has none.
    ions_mg_per_g: mg of each ion per gram of the substance; of a solution per gram of what is
        dissolved in it, so grams of product times strength/100 comes first. ``sulfite`` counts SO2,
        as food labels do. Lime and lye state hydroxide, chalk carbonate, never bicarbonate.
    alkalinity_meq_g: mEq of alkalinity per gram of substance, all of it dissolved.
    density_kg_l: of the product at its default strength, 20 °C; 0 for solids.
    solubility_g_l: grams per litre of water at 20 °C; None where it does not matter.
    pkas: of the steps that are not complete at brewing pH, 25 °C, ascending; strong_protons are
        given away completely (hydrochloric 1, sulfuric 1 with pKa 1.99 left).
    default_strength_percent: percent by mass, 100 for solids, 0 where only the label knows.
    typical_strengths: what shops sell. tablet_g: mass of one tablet.
    mark: ``published``, ``memory`` or ``derived_default``.
    """

    id: str
    name: str
    formula: str
    kind: AgentKind
    form: AgentForm
    family: str
    hydrate: str
    molar_mass_g_mol: float
    ions_mg_per_g: Mapping[str, float]
    alkalinity_meq_g: float
    density_kg_l: float
    solubility_g_l: float | None
    pkas: tuple[float, ...]
    strong_protons: int
    default_strength_percent: float
    typical_strengths: tuple[float, ...]
    tablet_g: float | None
    source: str
    mark: str


@cache
def agents() -> Mapping[str, Agent]:
    """Return all agents by id, in the order of the table."""
    return MappingProxyType({row["id"]: _from_row(row) for row in table("agents")})


def agent(agent_id: str) -> Agent:
    """Return the agent of that id. Raises KeyError where there is none."""
    return agents()[agent_id]


@cache
def agent_family(family: str) -> tuple[Agent, ...]:
    """Return all agents that are one chemical, the usual one first; empty for an unknown family."""
    return tuple(item for item in agents().values() if item.family == family)


def _from_row(row: Mapping[str, str]) -> Agent:
    ions = {ion: float(row[f"{ion}_mg_g"]) for ion in _ION_COLUMNS if row[f"{ion}_mg_g"]}
    return Agent(
        id=row["id"],
        name=row["name"],
        formula=row["formula"],
        kind=row["kind"],  # type: ignore[arg-type]  # a test compares the column with AgentKind
        form=row["form"],  # type: ignore[arg-type]
        family=row["family"],
        hydrate=row["hydrate"],
        molar_mass_g_mol=number(row["molar_mass_g_mol"]) or 0.0,
        ions_mg_per_g=MappingProxyType(ions),
        alkalinity_meq_g=number(row["alkalinity_meq_g"]) or 0.0,
        density_kg_l=number(row["density_kg_l"]) or 0.0,
        solubility_g_l=number(row["solubility_g_l"]),
        pkas=_numbers(row["pkas"]),
        strong_protons=int(row["strong_protons"]),
        default_strength_percent=number(row["default_strength_percent"]) or 0.0,
        typical_strengths=_numbers(row["typical_strengths"]),
        tablet_g=number(row["tablet_g"]),
        source=row["source"],
        mark=row["mark"],
    )


def _numbers(text: str) -> tuple[float, ...]:
    return tuple(float(part) for part in text.split())


@cache
def _densities() -> Mapping[str, tuple[list[float], list[float]]]:
    found: dict[str, tuple[list[float], list[float]]] = {}
    for row in table("solution_density"):
        strengths, densities = found.setdefault(row["agent_id"], ([], []))
        strengths.append(float(row["strength_percent"]))
        densities.append(float(row["density_kg_l"]))
    return found


def solution_density_kg_l(agent_id: str, percent: float) -> float:
    """Return the density of a solution in kg/L at 20 °C, between the rows of the table linearly.

    percent: by mass; outside the table the nearest row counts. An agent without rows has the
    density of its own row, or that of water. Raises KeyError for an unknown agent.
    """
    known = _densities().get(agent_id)
    if known is None:
        return agent(agent_id).density_kg_l or 1.0
    strengths, densities = known
    place = bisect_left(strengths, percent)
    if place == 0:
        return densities[0]
    if place == len(strengths):
        return densities[-1]
    below, above = strengths[place - 1], strengths[place]
    part = (percent - below) / (above - below)
    return densities[place - 1] + part * (densities[place] - densities[place - 1])


def acid_density_kg_l(agent_id: str, percent: float) -> float:
    """Return the density of an acid in kg/L at 20 °C; see `solution_density_kg_l`."""
    return solution_density_kg_l(agent_id, percent)
