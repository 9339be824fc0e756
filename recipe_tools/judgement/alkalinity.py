"""Alkalinity that is left in the mash and the sparge water."""

from __future__ import annotations

from recipe_tools.brewday import BrewDay
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.findings import Option
from recipe_tools.judgement import Thresholds
from recipe_tools.reference import ion_range

RESIDUAL = Thresholds(
    "ions/residual-alkalinity-against-style",
    {"tolerance": Option(9, "mg/L as CaCO3", "half a German degree of slack", "derived_default")},
)
SPARGE = Thresholds(
    "sparge/alkalinity-high",
    {
        "note_above": Option(
            ion_range("alkalinity").high,
            "mg/L as CaCO3",
            "above this a note",
            "brewing_ion_ranges, row of alkalinity marked derived_default; 50, better 25, from "
            "memory",
        ),
        "warn_above": Option(
            100, "mg/L as CaCO3", "above this a warning", "derived_default, twice the note"
        ),
    },
)


def residual_meq_l(day: BrewDay) -> Estimate | None:
    """Return the residual alkalinity of the mash water after its acid, mEq/L.

    None where it is not known, and where acidulated malt stands in for acid.
    """
    mash = day.mash
    if mash is None or mash.residual_alkalinity_meq_l is None or day.acidulated_share > 0:
        return None
    acid = sum(item.acid_meq.best for item in day.doses if item.stage == "mash")
    return mash.residual_alkalinity_meq_l.plus(exactly(-acid / mash.volume_l.best))
