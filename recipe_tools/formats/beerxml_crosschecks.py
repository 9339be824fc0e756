"""Values that BeerXML holds twice: a bare number, and a text for showing that carries its unit.

The text is rounded and is not used as a value, but where the two cannot both be true it gives away
a wrong unit: ounces for kilograms, SRM for Lovibond.
"""

from __future__ import annotations

from typing import Any, Final

from recipe_tools import units
from recipe_tools.findings import Severity
from recipe_tools.formats.fields import is_upside_down
from recipe_tools.formats.notices import Notices, shown
from recipe_tools.formats.numbers import written_number
from recipe_tools.formats.values import UPSIDE_DOWN

_TOLERANCE: Final = 0.06
_OUNCES_KG: Final = 35.27396
_CONTRADICTION: Final = "both cannot be true"
_SCALES: Final = {"SRM": "SRM", "EBC": "EBC", "Lovi": "Lovibond"}


def colour_scale(kind: str) -> str:
    """Return the scale in which the standard wants the colour of a kind of fermentable."""
    return "SRM" if kind == "extract" else "Lovi"


def colour_ebc(values: dict[str, Any], path: str, notices: Notices) -> float:
    """Return the colour of a fermentable, EBC.

    COLOR is degrees Lovibond, SRM for a liquid extract, unless the text for showing gives another
    scale away: then it is read in that one.
    """
    colour: float = values["COLOR"]
    asked = colour_scale(values.get("TYPE") or "")
    read = units.colour_ebc(colour, asked)
    text = values.get("DISPLAY_COLOR")
    written = written_number(text) if text else None
    # A lone L is litres in some fields and Lovibond in others; here it is a colour.
    unit = (
        units.meant_unit("colour", written.unit) if written is not None and written.unit else None
    )
    if written is None or unit is None or written.value <= 0.0:
        return read
    displayed = units.convert("colour", written.value, unit)
    rounding = units.EBC_PER_SRM if unit == "SRM" else 1.0
    if abs(read - displayed) <= max(_TOLERANCE * displayed, rounding):
        return read
    scale = _scale_that_fits(colour, displayed, rounding)
    notices.add(
        "standard/display-differs",
        f"{path}/COLOR",
        field="FERMENTABLE.COLOR",
        value=f"{colour:g}",
        shown=shown(text),
        reading=f"read in {_SCALES[scale]}, not in {_SCALES[asked]}" if scale else _CONTRADICTION,
    )
    return units.colour_ebc(colour, scale) if scale else read


def _scale_that_fits(colour: float, displayed_ebc: float, rounding: float) -> str:
    for unit in _SCALES:
        fits = abs(units.colour_ebc(colour, unit) - displayed_ebc)
        if fits <= max(_TOLERANCE * displayed_ebc, rounding):
            return unit
    return ""


def check_ranges(
    record: str,
    ends: tuple[tuple[str, str], ...],
    values: dict[str, Any],
    path: str,
    notices: Notices,
) -> None:
    """Note ranges of a record that are upside down; a greatest value of 0 is none. ends: tags."""
    for low_tag, high_tag in ends:
        low, high = values.get(low_tag), values.get(high_tag)
        if low is not None and high is not None and is_upside_down(low, high):
            notices.add(
                "standard/impossible-value",
                f"{path}/{low_tag}",
                severity=Severity.NOTE,
                field=f"{record}.{low_tag} to {high_tag}",
                value=low_tag,
                written=f"{low:g} to {high:g}",
                reason=UPSIDE_DOWN,
                outcome="Both are kept",
            )


def check_tun_weight(values: dict[str, Any], path: str, notices: Notices) -> None:
    """Compare the weight of a mash tun with its text for showing."""
    text = values.get("DISPLAY_TUN_WEIGHT")
    written = written_number(text) if text else None
    unit = units.meant_unit("mass", written.unit) if written is not None and written.unit else None
    if written is None or unit is None:
        return
    weight, displayed = values["TUN_WEIGHT"], units.convert("mass", written.value, unit)
    if abs(weight - displayed) <= max(_TOLERANCE * displayed, 0.05):
        return
    ounces = abs(weight - displayed * _OUNCES_KG) <= _TOLERANCE * weight
    notices.add(
        "standard/display-differs",
        f"{path}/TUN_WEIGHT",
        severity=Severity.NOTE,
        field="MASH.TUN_WEIGHT",
        value=f"{weight:g}",
        shown=shown(text),
        reading="the number seems to be in ounces, not in kg" if ounces else _CONTRADICTION,
    )
