"""A water record of a recipe, seen as the water report it was typed in from."""

from __future__ import annotations

from collections.abc import Mapping

from recipe_tools.chemistry.estimate import exactly
from recipe_tools.chemistry.ions import meq_l
from recipe_tools.water_report.balance import AlkalinityColumn
from recipe_tools.water_report.carbonate import (
    UNKNOWN_ALKALINITY,
    carbonate_as_bicarbonate,
    carbonate_doubt,
)
from recipe_tools.water_report.records import Doubt, WaterReport


def recorded(name: str, ions_mg_l: Mapping[str, float], ph: float | None) -> WaterReport:
    """Return a record as a report: an average of a year, in mg/L of the ions, with its doubts.

    ph: None where not stated. A record without any ion leaves nothing in doubt.
    """
    ions = {ion: amount for ion, amount in ions_mg_l.items() if amount >= 0.0}
    parts = [exactly(meq_l(ion, ions.get(ion, 0.0))) for ion in ("bicarbonate", "carbonate")]
    total = parts[0].plus(parts[1])
    column: AlkalinityColumn = "bicarbonate"
    if not {"bicarbonate", "carbonate"} & ions.keys():
        column, total = "none", UNKNOWN_ALKALINITY
    elif parts[1].best > parts[0].best:
        column = "carbonate"
    doubts: list[Doubt] = []
    if column == "none" and any(ions.values()):
        text = "it states neither bicarbonate nor carbonate, which decide the mash pH"
        doubts.append(Doubt("alkalinity-missing", text, "water/alkalinity-unknown"))
    elif ph is not None and column != "none":
        low = carbonate_as_bicarbonate(total, parts[1], ph)
        if low is not None:
            doubts.append(carbonate_doubt(total.best, low, ph))
    return WaterReport(
        ions_mg_l={ion: exactly(amount) for ion, amount in ions.items()},
        alkalinity_meq_l=total,
        ph=None if ph is None else exactly(ph),
        name=name,
        kind="average",
        alkalinity_column=column,
        doubts=tuple(doubts),
    )
