"""Water of the families of beer styles: ions, residual alkalinity, sulfate to chloride."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.reference.style_table import FamilyMatch
from recipe_tools.reference.tables import number, table

Range = tuple[float | None, float | None]

_IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")


class FamilyTargets(NamedTuple):
    """Ranges of a family; empty for ``base_style``, which follows the declared base beer.

    ranges: mg/L by ion, an end of None being open. residual_alkalinity_meq_l: Kolbach, mEq/L.
    sulfate_to_chloride: by mass. rows: all rows of the table for the family, with their sources;
    the range itself is the row marked ``derived_default``.
    """

    family: str
    ranges: Mapping[str, Range]
    residual_alkalinity_meq_l: Range | None
    sulfate_to_chloride: Range | None
    rows: tuple[Mapping[str, str], ...]


def family_targets(family: str | FamilyMatch, colour_ebc: float | None = None) -> FamilyTargets:
    """Return the targets of a family, or of a style with what sets it apart from its family.

    Given a `FamilyMatch`, ions of the style's own ion family, its residual alkalinity, its upper
    ratio and its exempt ions are taken into account. colour_ebc: of the beer; where a family's
    alkalinity goes by colour it sets the upper end. Raises KeyError for an unknown family.
    """
    if isinstance(family, str):
        return _targets(family, "", "", None, frozenset(), colour_ebc)
    return _targets(
        family.family,
        family.ion_family,
        family.ra_family,
        family.ratio_high,
        family.exempt,
        colour_ebc,
    )


@cache
def families() -> tuple[str, ...]:
    """Return the names of all families with targets, in the order of the table."""
    return tuple(row["family"] for row in table("style_water_targets") if row["row"] == "range")


@cache
def _range_rows() -> Mapping[str, Mapping[str, str]]:
    return {row["family"]: row for row in table("style_water_targets") if row["row"] == "range"}


@cache
def _rows(family: str) -> tuple[Mapping[str, str], ...]:
    return tuple(row for row in table("style_water_targets") if row["family"] == family)


def _targets(
    family: str,
    ion_family: str,
    ra_family: str,
    ratio_high: float | None,
    exempt: frozenset[str],
    colour_ebc: float | None,
) -> FamilyTargets:
    if family == "base_style":
        return FamilyTargets(family, MappingProxyType({}), None, None, ())
    plain = _plain(family)
    ranges = _plain(ion_family).ranges if ion_family else plain.ranges
    if exempt:
        kept = {ion: ends for ion, ends in ranges.items() if ion not in exempt}
        ranges = MappingProxyType(kept)
    alkalinity = _alkalinity(ra_family, plain, colour_ebc)
    ratio = plain.sulfate_to_chloride
    if ratio is not None and ratio_high is not None:
        ratio = (ratio[0], max(ratio_high, ratio[1] or 0.0))
    if exempt & {"sulfate", "chloride"}:
        ratio = None
    return FamilyTargets(family, ranges, alkalinity, ratio, plain.rows)


def _alkalinity(ra_family: str, plain: FamilyTargets, colour_ebc: float | None) -> Range | None:
    own = plain.residual_alkalinity_meq_l
    ceiling_family = ra_family or plain.family
    if ra_family and own is not None:
        other = _plain(ra_family).residual_alkalinity_meq_l
        own = (own[0], other[1] if other else own[1])
    steps = _ceilings().get(ceiling_family)
    if steps is None or colour_ebc is None or own is None:
        return own
    for below, ceiling in steps:
        if below is None or colour_ebc < below:
            return own[0], ceiling
    return own


@cache
def _plain(family: str) -> FamilyTargets:
    row = _range_rows()[family]
    ranges = {ion: (number(row[f"{ion}_low"]), number(row[f"{ion}_high"])) for ion in _IONS}
    return FamilyTargets(
        family=family,
        ranges=MappingProxyType(ranges),
        residual_alkalinity_meq_l=(
            _meq(row["residual_alkalinity_caco3_low"]),
            _meq(row["residual_alkalinity_caco3_high"]),
        ),
        sulfate_to_chloride=(
            number(row["sulfate_to_chloride_low"]),
            number(row["sulfate_to_chloride_high"]),
        ),
        rows=_rows(family),
    )


@cache
def _ceilings() -> Mapping[str, tuple[tuple[float | None, float], ...]]:
    found: dict[str, list[tuple[float | None, float]]] = {}
    for row in table("style_alkalinity_by_colour"):
        ceiling = float(row["residual_alkalinity_caco3_high"]) / CACO3_MG_MEQ
        found.setdefault(row["family"], []).append((number(row["colour_ebc_below"]), ceiling))
    return {family: tuple(steps) for family, steps in found.items()}


def _meq(caco3: str) -> float | None:
    amount = number(caco3)
    return None if amount is None else amount / CACO3_MG_MEQ
