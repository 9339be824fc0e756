"""The ranges a recipe is compared with: those of its style family, or those a club settles."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from recipe_tools.config import Options
from recipe_tools.recipe import Style
from recipe_tools.reference import FamilyMatch, FamilyTargets, family_targets

Range = tuple[float | None, float | None]

_OTHERS = ("residual_alkalinity_meq_l", "sulfate_to_chloride")


def plan_targets(
    family: FamilyMatch | None, style: Style | None, colour_ebc: float | None, options: Options
) -> FamilyTargets | None:
    """Return the ranges for a recipe, None where its family is unknown.

    Ranges in the configuration replace those of the family one by one: under the id of the family,
    or under the name of the style in lower case with underscores (``house_bitter``), which counts
    more. The latter give a style that is in no table ranges of its own.
    """
    found = None if family is None else _of_family(family, colour_ebc)
    if not options.styles:
        return found
    own = style.name.strip().casefold().replace(" ", "_") if style is not None else ""
    for name in (found.family if found is not None else "", own):
        ranges = options.styles.get(name) if name else None
        if ranges is not None:
            found = _replaced(found, name, ranges)
    return found


@lru_cache(maxsize=256)
def _of_family(family: FamilyMatch, colour_ebc: float | None) -> FamilyTargets:
    return family_targets(family, colour_ebc)


def _replaced(
    found: FamilyTargets | None, name: str, ranges: Mapping[str, Range]
) -> FamilyTargets:
    if found is None:
        found = FamilyTargets(name, MappingProxyType({}), None, None, ())
    ions = {ion: ends for ion, ends in ranges.items() if ion not in _OTHERS}
    return found._replace(
        ranges=MappingProxyType({**found.ranges, **ions}),
        residual_alkalinity_meq_l=ranges.get(_OTHERS[0], found.residual_alkalinity_meq_l),
        sulfate_to_chloride=ranges.get(_OTHERS[1], found.sulfate_to_chloride),
    )
