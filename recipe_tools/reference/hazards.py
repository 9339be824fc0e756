"""Hazard classes of what goes into brewing water, by strength."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from recipe_tools.reference.agent_table import agents
from recipe_tools.reference.tables import number, table


class Hazard(NamedTuple):
    """Labelling of an agent at a strength, after the European CLP regulation.

    h, euh, p: codes such as ``H314``, ``EUH071``, ``P280`` (``P305+P351+P338`` is one code).
    advice: what to do, in plain words. Local rules and the label of the product come first.
    """

    agent_id: str
    signal_word: str
    h: tuple[str, ...]
    euh: tuple[str, ...]
    p: tuple[str, ...]
    note: str
    advice: str
    source: str
    mark: str


@lru_cache(maxsize=256)
def hazard(agent_id: str, strength_percent: float | None = None) -> Hazard | None:
    """Return the hazard of an agent at a strength, None where it is not classified.

    Without a strength the strongest product in the table counts, on the side of caution.
    Raises KeyError for an unknown agent.
    """
    known = agents()[agent_id]
    rows = [row for row in table("hazards") if row["agent_id"] == agent_id]
    if not rows and known.form != "solution":
        rows = [row for row in table("hazards") if row["agent_id"] == known.family]
    for row in rows:
        if row["classified"] == "yes" and _applies(row, strength_percent):
            return _from_row(row)
    return None


def _applies(row: Mapping[str, str], strength_percent: float | None) -> bool:
    if strength_percent is None or row["form"] != "solution":
        return True
    low, below = number(row["strength_from"]), number(row["strength_below"])
    return (low is None or strength_percent >= low) and (below is None or strength_percent < below)


def _from_row(row: Mapping[str, str]) -> Hazard:
    return Hazard(
        agent_id=row["agent_id"],
        signal_word=row["signal_word"],
        h=tuple(row["h"].split()),
        euh=tuple(row["euh"].split()),
        p=tuple(row["p"].split()),
        note=row["note"],
        advice=row["advice"],
        source=row["source"],
        mark=row["mark"],
    )
