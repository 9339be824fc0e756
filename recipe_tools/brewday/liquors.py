"""The liquor of each stage: source water, salts, and the alkalinity its acid leaves."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Literal

from recipe_tools.brewday.records import AfterAcid, Dose, Liquor, SourceWater, Stage
from recipe_tools.chemistry.carbonate import (
    alkalinity_meq_l as carbonate_alkalinity_meq_l,
)
from recipe_tools.chemistry.carbonate import (
    ph_after_acids,
    total_carbonate_mmol_l,
)
from recipe_tools.chemistry.estimate import ZERO, Estimate
from recipe_tools.chemistry.ions import (
    CALCIUM_PER_PROTON,
    EQUIVALENT_MASS_MG_MEQ,
    MAGNESIUM_PER_PROTON,
)
from recipe_tools.chemistry.mash_ph import AcidCharge
from recipe_tools.recipe import IONS

_NOT_SHOWN = frozenset({"hydroxide", "carbonate", "sulfite", "zinc"})


def liquor(
    stage: Literal["mash", "sparge", "total"],
    litres: Estimate,
    source: SourceWater,
    doses: Sequence[Dose],
    into: Collection[Stage],
    all_liquor_l: float,
) -> Liquor:
    """Return the liquor of a stage.

    into: stages whose doses it receives; a dose into the source water is shared out over all liquor
    (all_liquor_l litres).
    """
    if not source.known:
        return Liquor(stage, litres, {}, None, None)
    added, alkalinity_meq = _added(doses, into, litres.best, all_liquor_l)
    ions = {
        name: level.plus(added[name]) if name in added else level
        for name, level in source.ions_mg_l.items()
        if name in IONS
    }
    for name, amount in added.items():
        if name not in ions and name not in _NOT_SHOWN and name != "potassium":
            ions[name] = amount
    ions = {name: ions[name] for name in IONS if name in ions}
    alkalinity = source.alkalinity_meq_l.plus(alkalinity_meq)
    return Liquor(
        stage=stage,
        volume_l=litres,
        ions_mg_l=ions,
        alkalinity_meq_l=alkalinity,
        residual_alkalinity_meq_l=_residual(alkalinity, ions),
        after_acid=_after_acid(source, alkalinity.best, doses, into, litres.best),
    )


def _added(
    doses: Sequence[Dose], into: Collection[Stage], litres: float, all_liquor_l: float
) -> tuple[dict[str, Estimate], Estimate]:
    """Return mg/L of each ion and mEq/L of alkalinity that the doses of a stage bring."""
    ions: dict[str, Estimate] = {}
    alkalinity = ZERO
    for item in doses:
        if item.stage in into:
            per_litre = 1.0 / litres
        elif item.stage == "source" and all_liquor_l > 0:
            per_litre = 1.0 / all_liquor_l
        else:
            continue
        for name, amount in item.ions_mg.items():
            share = amount.times(per_litre)
            ions[name] = ions[name].plus(share) if name in ions else share
        if item.alkalinity_meq.high:
            alkalinity = alkalinity.plus(item.alkalinity_meq.times(per_litre))
    return ions, alkalinity


def _residual(alkalinity: Estimate, ions: Mapping[str, Estimate]) -> Estimate:
    calcium = ions.get("calcium", ZERO).times(
        1.0 / (EQUIVALENT_MASS_MG_MEQ["calcium"] * CALCIUM_PER_PROTON)
    )
    magnesium = ions.get("magnesium", ZERO).times(
        1.0 / (EQUIVALENT_MASS_MG_MEQ["magnesium"] * MAGNESIUM_PER_PROTON)
    )
    return alkalinity.plus(-calcium).plus(-magnesium)


def _after_acid(
    source: SourceWater,
    alkalinity_meq_l: float,
    doses: Sequence[Dose],
    into: Collection[Stage],
    litres: float,
) -> AfterAcid | None:
    acids = [
        charge
        for item in doses
        if item.stage in into and (charge := acid_charge(item, 1.0 / litres)) is not None
    ]
    if not acids:
        return AfterAcid(alkalinity_meq_l, source.ph.best)
    after = ph_after_acids(
        alkalinity_meq_l,
        source.ph.best,
        [(acid.mmol_kg.best, acid.pkas, acid.strong_protons) for acid in acids],
        end_point_ph=source.end_point_ph,
    )
    total = total_carbonate_mmol_l(
        alkalinity_meq_l, source.ph.best, end_point_ph=source.end_point_ph
    )
    left = carbonate_alkalinity_meq_l(total, after.ph, end_point_ph=source.end_point_ph)
    return AfterAcid(left, after.ph)


def acid_charge(item: Dose, per: float) -> AcidCharge | None:
    """Return an acid as mmol per litre or kg (``per`` is 1/L or 1/kg); None for anything else."""
    found = item.agent
    if found is None or found.kind not in ("acid", "antioxidant") or item.acid_mmol.high <= 0:
        return None
    return AcidCharge(
        label=item.addition.name,
        mmol_kg=item.acid_mmol.times(per),
        pkas=found.pkas,
        strong_protons=found.strong_protons,
    )
