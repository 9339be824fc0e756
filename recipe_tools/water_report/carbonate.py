"""Hardness and alkalinity of a water report: stated in several ways, once, twice or not at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recipe_tools.chemistry.carbonate import speciate, total_carbonate_mmol_l
from recipe_tools.chemistry.estimate import Estimate, exactly
from recipe_tools.chemistry.ions import CHARGE, EQUIVALENT_MASS_MG_MEQ, meq_l, mg_l
from recipe_tools.reference import default_of
from recipe_tools.water_report.balance import AlkalinityColumn
from recipe_tools.water_report.records import Doubt

if TYPE_CHECKING:
    from recipe_tools.water_report.rows import Rows
    from recipe_tools.water_report.units import Stated

CONTRADICTION = 0.05
"""Two statements of one thing differ if they are more than this part apart (derived_default)."""
CALCIUM_SHARE = Estimate(0.70, 0.75, 0.80)
"""Part of the total hardness that is calcium where nobody tells the two apart (derived_default)."""
UNKNOWN_ALKALINITY = Estimate(*default_of("unknown_alkalinity"))
"""Alkalinity, mEq/L, where nobody states it."""
MOST_CARBONATE_SHARE = 0.05
PH_OF_CARBONATE = 8.3


def share_out_hardness(rows: Rows, stated: Stated | None) -> None:
    """Fill in calcium and magnesium from the total hardness where one or both are missing."""
    if stated is None:
        return
    total = stated.value
    calcium, magnesium = _meq_of(rows, "calcium"), _meq_of(rows, "magnesium")
    if calcium is not None and magnesium is not None:
        _compare_hardness(rows, total.best, calcium.best + magnesium.best)
    elif calcium is not None:
        _fill_rest(rows, "magnesium", total.plus(-calcium))
    elif magnesium is not None:
        _fill_rest(rows, "calcium", total.plus(-magnesium))
    else:
        for ion, share in (("calcium", CALCIUM_SHARE), ("magnesium", _rest(CALCIUM_SHARE))):
            parts = zip(total, share, strict=True)
            rows.ions[ion] = Estimate(*(mg_l(ion, end * part) for end, part in parts))
        rows.doubt(
            "hardness-only",
            "only the total hardness is stated: 70 to 80 % of it is taken as calcium, a guess; "
            "ask for calcium and magnesium",
            "water/hardness-only",
        )


def _rest(share: Estimate) -> Estimate:
    return Estimate(1 - share.high, 1 - share.best, 1 - share.low)


def _compare_hardness(rows: Rows, total: float, parts: float) -> None:
    if abs(total - parts) > 2 * CONTRADICTION * max(total, parts, 0.2):
        rows.doubt(
            "hardness-contradiction",
            f"the total hardness stated is {total:.2f} mEq/L, calcium and magnesium make "
            f"{parts:.2f} mEq/L",
            "water/report-contradiction",
        )


def _fill_rest(rows: Rows, ion: str, rest: Estimate) -> None:
    if rest.best < -0.1:
        rows.doubt(
            "hardness-contradiction",
            f"the total hardness is {-rest.best:.2f} mEq/L less than the part of it that is stated",
            "water/report-contradiction",
        )
    rows.ions[ion] = Estimate(*(mg_l(ion, max(0.0, end)) for end in rest))
    rows.doubt("hardness-rest", f"{ion} is the rest of the total hardness, not measured itself")


def find_alkalinity(rows: Rows, ph: Estimate | None) -> tuple[Estimate, AlkalinityColumn]:
    """Return the alkalinity in mEq/L and the column it comes from."""
    from recipe_tools.water_report.units import alkalinity

    stated = rows.stated("alkalinity", alkalinity)
    carbonate_hardness = rows.stated("carbonate_hardness", alkalinity)
    by_ions, column = _alkalinity_of_ions(rows, ph)
    if stated is None and carbonate_hardness is not None:
        stated = carbonate_hardness
        rows.with_basis.add("alkalinity")
        rows.doubt(
            "carbonate-hardness",
            "the carbonate hardness is taken as alkalinity; some papers cut it at the total "
            "hardness",
        )
    if stated is None:
        return (by_ions, column) if by_ions is not None else (_supposed(rows), "none")
    if rows.table.get("alkalinity") is not None and not stated.open_basis:
        rows.with_basis.add("alkalinity")
    if by_ions is None:
        if stated.open_basis:
            rows.doubt(
                "alkalinity-basis",
                "the alkalinity is stated without a basis and taken as CaCO3; as bicarbonate it "
                "would be 18 % less",
            )
        return stated.value, "alkalinity"
    return _agreed(rows, stated, by_ions), "alkalinity"


def _agreed(rows: Rows, stated: Stated, by_ions: Estimate) -> Estimate:
    """Return the alkalinity where it is stated twice; both ends are kept if the two disagree."""
    if _near(stated.value.best, by_ions.best):
        rows.with_basis.add("alkalinity")
        return exactly(stated.value.best) if stated.open_basis else stated.value
    if stated.value.low <= by_ions.best <= stated.value.high and not stated.open_basis:
        return stated.value
    rows.doubt(
        "alkalinity-contradiction",
        f"the alkalinity is {stated.value.best:.2f} mEq/L as stated and {by_ions.best:.2f} mEq/L "
        "by the bicarbonate and carbonate; the band covers both",
        "water/report-contradiction",
    )
    low = min(stated.value.low, by_ions.low)
    return Estimate(low, stated.value.best, max(stated.value.high, by_ions.high))


def _near(one: float, other: float) -> bool:
    return abs(one - other) <= max(0.05, CONTRADICTION * max(one, other))


def _alkalinity_of_ions(
    rows: Rows, ph: Estimate | None
) -> tuple[Estimate | None, AlkalinityColumn]:
    parts = {ion: _meq_of(rows, ion) for ion in ("bicarbonate", "carbonate")}
    bicarbonate, carbonate = parts["bicarbonate"], parts["carbonate"]
    if bicarbonate is None and carbonate is None:
        return None, "none"
    total = (bicarbonate or exactly(0.0)).plus(carbonate or exactly(0.0))
    if carbonate is not None:
        total = _doubted_carbonate(rows, ph, total, carbonate)
    larger_carbonate = carbonate is not None and carbonate.best > total.best / 2.0
    return total, "carbonate" if larger_carbonate else "bicarbonate"


def _meq_of(rows: Rows, ion: str) -> Estimate | None:
    stated = rows.ions.get(ion)
    return None if stated is None else Estimate(*(meq_l(ion, end) for end in stated))


def _doubted_carbonate(
    rows: Rows, ph: Estimate | None, total: Estimate, carbonate: Estimate
) -> Estimate:
    """Widen the alkalinity where carbonate is stated that cannot be there at that pH."""
    if ph is None or "carbonate" in rows.with_basis:
        return total
    low = carbonate_as_bicarbonate(total, carbonate, ph.best)
    if low is None:
        return total
    rows.doubts.append(carbonate_doubt(total.best, low, ph.best))
    return Estimate(low, total.best, total.high)


def carbonate_as_bicarbonate(total: Estimate, carbonate: Estimate, ph: float) -> float | None:
    """Return the alkalinity if the carbonate stated were bicarbonate, mEq/L; None where it may be.

    Plummer & Busenberg (1982): below pH 8.3 under 1 % of it is carbonate.
    """
    if ph >= PH_OF_CARBONATE or carbonate.best <= MOST_CARBONATE_SHARE * total.best:
        return None
    ratio = EQUIVALENT_MASS_MG_MEQ["carbonate"] / EQUIVALENT_MASS_MG_MEQ["bicarbonate"]
    return total.low - carbonate.low + carbonate.best * ratio


def carbonate_doubt(total: float, low: float, ph: float) -> Doubt:
    """Return the doubt about carbonate at such a pH."""
    return Doubt(
        "carbonate-below-8.3",
        f"carbonate is stated at pH {ph:.1f}, where nearly all of it is bicarbonate. If the figure "
        f"is bicarbonate, the alkalinity is {low:.2f}, not {total:.2f} mEq/L",
        "water/carbonate-at-low-ph",
    )


def _supposed(rows: Rows) -> Estimate:
    """Return the alkalinity of a report that does not state it: by difference, else a wide band."""
    needed = ("calcium", "magnesium", "sodium", "chloride", "sulfate")
    if all(ion in rows.ions for ion in needed):
        cations = _sum_meq(rows, 1)
        anions = _sum_meq(rows, -1)
        if cations > anions:
            best, margin = cations - anions, max(0.2, 0.05 * (cations + anions))
            rows.doubt(
                "alkalinity-by-difference",
                f"alkalinity is not stated; {best:.2f} mEq/L would balance the other ions",
                "water/alkalinity-unknown",
            )
            return Estimate(max(0.0, best - margin), best, best + margin)
    rows.doubt(
        "alkalinity-missing",
        "neither alkalinity nor bicarbonate is stated, and both decide the mash pH; ask the water "
        f"works for the acid capacity to pH 4.3. Until then {UNKNOWN_ALKALINITY.low:g} to "
        f"{UNKNOWN_ALKALINITY.high:g} mEq/L is supposed",
        "water/alkalinity-unknown",
    )
    return UNKNOWN_ALKALINITY


def _sum_meq(rows: Rows, sign: int) -> float:
    return sum(
        meq_l(ion, value.best)
        for ion, value in rows.ions.items()
        if ion in CHARGE and CHARGE[ion] * sign > 0
    )


def split_alkalinity(
    rows: Rows,
    total: float,
    ph: Estimate | None,
    end_point_ph: float,
    column: AlkalinityColumn,
) -> None:
    """Give bicarbonate (above pH 8.3 carbonate too) where only alkalinity is stated."""
    if column == "none" or "bicarbonate" in rows.ions or "carbonate" in rows.ions:
        return
    if ph is None or ph.best <= PH_OF_CARBONATE:
        rows.ions["bicarbonate"] = exactly(mg_l("bicarbonate", total))
        return
    carbon = total_carbonate_mmol_l(total, ph.best, end_point_ph=end_point_ph)
    species = speciate(carbon, ph.best)
    rows.ions["bicarbonate"] = exactly(mg_l("bicarbonate", species.bicarbonate))
    rows.ions["carbonate"] = exactly(mg_l("carbonate", 2.0 * species.carbonate))
