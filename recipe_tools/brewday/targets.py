"""The ranges a recipe is compared with: those of its style family, or those a club settles."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from types import MappingProxyType

from recipe_tools.config import Options
from recipe_tools.recipe import IONS, Style, WaterSource
from recipe_tools.reference import FamilyMatch, FamilyTargets, family_targets

Range = tuple[float | None, float | None]

OWN_TARGET_SHARE = 0.10
OWN_TARGET_MG_L = 5.0
"""How near an ion must come to the target a recipe states (derived_default)."""

_OTHERS = ("residual_alkalinity_meq_l", "sulfate_to_chloride")


def plan_targets(
    family: FamilyMatch | None,
    style: Style | None,
    colour_ebc: float | None,
    target: WaterSource | None,
    options: Options,
) -> FamilyTargets | None:
    """Return the ranges for a recipe, None where its family is unknown.

    Ranges in the configuration replace those of the family one by one: under the id of the family,
    or under the name of the style in lower case with underscores (``house_bitter``), which counts
    more. The latter give a style that is in no table ranges of its own. A water record marked as
    target goes before both: each of its ions counts as met within `OWN_TARGET_SHARE` or
    `OWN_TARGET_MG_L`, whichever is more; its bicarbonate is left to the mash pH.
    """
    found = None if family is None else _of_family(family, colour_ebc)
    if options.styles:
        found = _configured(found, family, style, options)
    return found if target is None else _stated(found, target)


def _configured(
    found: FamilyTargets | None, family: FamilyMatch | None, style: Style | None, options: Options
) -> FamilyTargets | None:
    for name in style_names(family, style):
        ranges = options.styles.get(name)
        if ranges is not None:
            found = _replaced(found, name, ranges)
    return found


def style_names(family: FamilyMatch | None, style: Style | None) -> Iterator[str]:
    """Yield the names under which the configuration may hold ranges, what counts more last."""
    if family is not None:
        yield family.family
    if style is not None and style.name.strip():
        yield style.name.strip().casefold().replace(" ", "_")


def _stated(found: FamilyTargets | None, target: WaterSource) -> FamilyTargets:
    if found is None:
        found = FamilyTargets(target.name, MappingProxyType({}), None, None, ())
    ranges = {
        ion: (max(0.0, amount - slack), amount + slack)
        for ion, amount in target.ions_mg_l.items()
        if ion in IONS and ion != "bicarbonate"
        for slack in (max(OWN_TARGET_SHARE * amount, OWN_TARGET_MG_L),)
    }
    return found._replace(ranges=MappingProxyType(ranges), sulfate_to_chloride=None)


@lru_cache(maxsize=256)
def _of_family(family: FamilyMatch, colour_ebc: float | None) -> FamilyTargets:
    return family_targets(family, colour_ebc)


def _replaced(found: FamilyTargets | None, name: str, ranges: Mapping[str, Range]) -> FamilyTargets:
    if found is None:
        found = FamilyTargets(name, MappingProxyType({}), None, None, ())
    ions = {ion: ends for ion, ends in ranges.items() if ion not in _OTHERS}
    return found._replace(
        ranges=MappingProxyType({**found.ranges, **ions}),
        residual_alkalinity_meq_l=ranges.get(_OTHERS[0], found.residual_alkalinity_meq_l),
        sulfate_to_chloride=ranges.get(_OTHERS[1], found.sulfate_to_chloride),
    )
