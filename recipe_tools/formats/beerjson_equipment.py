"""The losses of a brewery as BeerJSON states them: a set of vessels beside the recipes."""

from __future__ import annotations

from typing import Any, Final

from recipe_tools.formats import beerjson_fields as fields
from recipe_tools.recipe import Equipment, Origin

_MASH_VESSELS: Final = ("mash tun", "lauter tun")
_KETTLE: Final = "brew kettle"


def equipment(record: dict[str, Any], at: str, boil_l: float | None) -> Equipment:
    """Return the equipment of a set of vessels.

    The mash and lauter tun give dead space and grain absorption, the kettle trub loss and boil-off;
    the latter needs the volume at the start of the boil to become percent per hour.
    """
    dead_space = absorption = trub = boil_off = None
    for place, vessel in fields.records(record, "equipment_items"):
        inside = f"{at}/equipment_items/{place}"
        form = fields.word(vessel, "form")
        if form in _MASH_VESSELS:
            loss = fields.measured("volume", vessel, "loss", inside)
            if loss is not None:
                dead_space = (dead_space or 0.0) + loss
            absorbed = fields.measured("specific_volume", vessel, "grain_absorption_rate", inside)
            absorption = absorption if absorbed is None else absorbed
        elif form == _KETTLE:
            trub = fields.measured("volume", vessel, "loss", inside)
            boil_off = fields.measured("volume", vessel, "boil_rate_per_hour", inside)
    percent = None
    if boil_off is not None and boil_l:
        percent = 100.0 * boil_off / boil_l
    return Equipment(
        trub_loss_l=trub,
        dead_space_l=dead_space,
        boil_off_percent_h=percent,
        grain_absorption_l_kg=absorption,
        origin=Origin(at),
    )
