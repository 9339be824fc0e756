"""Rules of a club's own: what they can be about, and how their limits are read."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from recipe_tools.config.fields import (
    LITRES,
    LITRES_PER_KG,
    Reader,
    WrongValueError,
    level,
    number,
    quantity,
)
from recipe_tools.config.options import OwnRule
from recipe_tools.key_names import nearest_key, unknown_key
from recipe_tools.quantities import COLOUR
from recipe_tools.recipe import IONS


class OwnQuantity(NamedTuple):
    """A number of a brew day.

    words: how a message calls it. unit: with ``{}`` for the number. digits: decimals a brewer reads
    it with; None: by its size. staged: it is one of the water of a stage.
    """

    words: str
    unit: str
    read: Reader
    digits: int | None = 1
    staged: bool = False


STAGES = ("mash", "sparge", "total")

QUANTITIES: Mapping[str, OwnQuantity] = MappingProxyType(
    {
        **{ion: OwnQuantity(ion.capitalize(), "{} mg/L", level(ion), None, True) for ion in IONS},
        "alkalinity_meq_l": OwnQuantity(
            "The alkalinity", "{} mEq/L", level("residual_alkalinity_meq_l"), staged=True
        ),
        "residual_alkalinity_meq_l": OwnQuantity(
            "The residual alkalinity", "{} mEq/L", level("residual_alkalinity_meq_l"), staged=True
        ),
        "sulfate_to_chloride": OwnQuantity(
            "Sulfate to chloride", "{} by mass", level("sulfate_to_chloride"), staged=True
        ),
        "volume_l": OwnQuantity("The volume", "{} L", LITRES, staged=True),
        "mash_ph": OwnQuantity("The mash", "pH {}", number(0.0, 14.0), 2),
        "water_to_grist_l_kg": OwnQuantity("The mash", "{} L/kg", LITRES_PER_KG),
        "colour_ebc": OwnQuantity("The colour", "{} EBC", quantity(COLOUR, 0.0, 10_000.0), 0),
        "bitterness_ibu": OwnQuantity("The bitterness", "{} IBU", number(0.0, 1000.0), 0),
        "original_gravity": OwnQuantity("The original gravity", "{}", number(0.9, 1.3), 3),
    }
)
"""Name in a configuration -> what it is."""


def own_rule(entry: Mapping[str, Any], styles: Collection[str]) -> OwnRule:
    """Return the rule of an entry whose limits are still as they were written.

    styles: names that have ranges of their own. Raises WrongValueError, beginning with the key.
    """
    name = entry["quantity"]
    kind = QUANTITIES.get(name)
    if kind is None:
        raise WrongValueError(f"quantity: {unknown_key(name, tuple(QUANTITIES))}")
    if "stage" in entry and not kind.staged:
        raise WrongValueError(f"stage belongs to no {name}; leave it out")
    if "style" in entry:
        _refuse_unknown(entry["style"], styles)
    limits = {end: _limit(kind, end, entry[end]) for end in ("low", "high") if end in entry}
    if not limits:
        raise WrongValueError("low and high are both missing")
    if limits.get("low", -math.inf) > limits.get("high", math.inf):
        raise WrongValueError("low is above its high")
    return OwnRule(**{**entry, **limits})


def _limit(kind: OwnQuantity, end: str, value: Any) -> float:
    try:
        limit: float = kind.read(value)
    except WrongValueError as error:
        raise WrongValueError(f"{end} {error}") from None
    return limit


def _refuse_unknown(style: str, styles: Collection[str]) -> None:
    from recipe_tools.reference import families

    known = (*families(), *styles)
    if style not in known:
        nearest = nearest_key(style, known)
        hint = f"; the nearest is {nearest}" if nearest else ""
        raise WrongValueError(f"style is no style family, nor a table under [style]{hint}")
