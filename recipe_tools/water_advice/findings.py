"""What a water report has to say for itself: balance, cross-checks, limits, doubts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from recipe_tools.chemistry.ions import (
    CACO3_MG_MEQ,
    conductivity_us_cm,
    dissolved_solids_mg_l,
    hardness_meq_l,
    meq_l,
)
from recipe_tools.reference import DrinkingLimit, drinking_limits
from recipe_tools.water_report import DoubtSeverity, WaterReport
from recipe_tools.water_report.balance import Balance, balance

_STANDARD_METHODS = "Standard Methods 1030 E (from memory)"
_BALANCE_SOURCE = f"{_STANDARD_METHODS}; for averages of a year a derived_default"
SOLIDS_RATIO = (1.0, 1.2)
SOLIDS_PER_CONDUCTIVITY = (0.55, 0.81)
"""mg/L of dissolved solids per µS/cm: 0.55 to 0.7 by Standard Methods 1030 E (from memory), up to
0.81 in published county reports."""
SOLIDS_IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate")
_LIMITED_IONS = (
    "calcium",
    "sodium",
    "ammonium",
    "iron",
    "manganese",
    "copper",
    "zinc",
    "lead",
    "chloride",
    "sulfate",
    "nitrate",
    "nitrite",
    "fluoride",
)
_DISINFECTANTS = ("chlorine", "chloramine")
_ROUNDING = 1.005


@dataclass(frozen=True, slots=True)
class WaterFinding:
    """Something found in a water report. id: short name; source: where the limit comes from."""

    id: str
    severity: DoubtSeverity
    text: str
    source: str
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Exceeded:
    """A limit of drinking water that a report passes. value, limit: in unit, mg/L of the ion."""

    name: str
    value: float
    limit: float
    unit: str
    kind: str
    body: str
    document: str
    mark: str


def balance_of(report: WaterReport) -> Balance:
    """Return the charge balance of a report."""
    return balance(
        report.ions_mg_l,
        report.alkalinity_meq_l.best,
        kind=report.kind,
        alkalinity_column=report.alkalinity_column,
        settled=report.settled,
    )


def exceeded_limits(report: WaterReport) -> tuple[Exceeded, ...]:
    """Return the limits of drinking water a report passes, health limits first, strictest first."""
    values = {ion: report.ions_mg_l[ion] for ion in _LIMITED_IONS if ion in report.ions_mg_l}
    if report.chlorine_mg_l is not None:
        values["chloramine" if report.chloramine else "chlorine"] = report.chlorine_mg_l
    if report.total_dissolved_solids_mg_l is not None:
        values["tds"] = report.total_dissolved_solids_mg_l
    if report.conductivity_us_cm is not None:
        values["conductivity"] = report.conductivity_us_cm
    found = [item for name, value in values.items() for item in _passed(name, value)]
    return tuple(sorted(found, key=lambda item: (item.kind != "health", item.name, item.limit)))


def _passed(name: str, value: float) -> Iterator[Exceeded]:
    for row in drinking_limits(name):
        limit = _upper(row)
        if row.kind in ("health", "taste") and limit is not None and value > limit * _ROUNDING:
            unit = f"{row.unit} as Cl2" if name in _DISINFECTANTS else row.unit
            yield Exceeded(name, value, limit, unit, row.kind, row.body, row.document, row.mark)


def _upper(row: DrinkingLimit) -> float | None:
    return row.high if row.high_as_ion is None else row.high_as_ion


def findings_of(
    report: WaterReport, charges: Balance, exceeded: tuple[Exceeded, ...]
) -> tuple[WaterFinding, ...]:
    """Return everything found, errors first; within a severity in a fixed order of topics."""
    found = [
        *_charge_findings(charges),
        *_limit_findings(exceeded),
        *_nitrogen_findings(report),
        *_solids_findings(report),
        *_conductivity_findings(report, charges),
        *_softener_findings(report),
        *_chlorine_findings(report),
        *(
            WaterFinding(doubt.id, doubt.severity, _sentence(doubt.text), doubt.source)
            for doubt in report.doubts
        ),
    ]
    order = ("error", "warning", "note")
    return tuple(sorted(found, key=lambda item: order.index(item.severity)))


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _charge_findings(charges: Balance) -> Iterator[WaterFinding]:
    if charges.verdict == "balanced":
        return
    severity: DoubtSeverity = (
        "warning" if charges.verdict in ("unbalanced", "implausible") else "note"
    )
    yield WaterFinding(
        "charge-balance",
        severity,
        charges.explanation,
        _BALANCE_SOURCE,
        "water/charge-imbalance",
    )


def _limit_findings(exceeded: tuple[Exceeded, ...]) -> Iterator[WaterFinding]:
    """Say each substance once for each kind of limit: the limit of the WHO, else the strictest."""
    said: dict[tuple[str, str], Exceeded] = {}
    for item in exceeded:
        key = (item.name, item.kind)
        if key not in said or (item.body == "WHO" and said[key].body != "WHO"):
            said[key] = item
    for item in said.values():
        health = item.kind == "health"
        what = "limit for health" if health else "limit for taste, staining or corrosion"
        name = {"tds": "dissolved solids"}.get(item.name, item.name)
        text = (
            f"{name.capitalize()} is {_figure(item.value)} {item.unit}, above the {what} of "
            f"{_figure(item.limit)} {item.unit} ({item.body})."
        )
        if health:
            text += " Do not brew with it before the local health authority has been asked."
        source = item.document if item.mark == "published" else f"{item.document} (from memory)"
        yield WaterFinding(
            "drinking-water-limit",
            "error" if health and item.body == "WHO" else "warning" if health else "note",
            text,
            source,
            "water/ion-above-drinking-limit",
        )


def _nitrogen_findings(report: WaterReport) -> Iterator[WaterFinding]:
    nitrate, nitrite = (report.ions_mg_l.get(ion) for ion in ("nitrate", "nitrite"))
    if nitrate is None or nitrite is None:
        return
    first, second = nitrate / 50.0, nitrite / 3.0
    if first + second > _ROUNDING and first <= 1.0 and second <= 1.0:
        yield WaterFinding(
            "nitrate-with-nitrite",
            "error",
            f"Nitrate and nitrite add up to {first + second:.2f} of the limit they have in common.",
            "WHO Guidelines and Directive (EU) 2020/2184: nitrate/50 + nitrite/3 at most 1",
            "water/nitrate-with-nitrite",
        )


def _solids_findings(report: WaterReport) -> Iterator[WaterFinding]:
    stated = report.total_dissolved_solids_mg_l
    if stated is None or not _enough_ions(report):
        return
    computed = dissolved_solids_mg_l(report.ions_mg_l, report.alkalinity_meq_l.best)
    if computed < 20.0:
        return
    ratio = stated / computed
    if SOLIDS_RATIO[0] / 1.05 <= ratio <= SOLIDS_RATIO[1] * 1.05:
        return
    yield WaterFinding(
        "dissolved-solids",
        "note",
        f"{stated:.0f} mg/L of dissolved solids are stated; the ions make {computed:.0f} mg/L. The "
        f"ratio is {ratio:.2f}, and lies between 1.0 and 1.2 in a sound analysis.",
        _STANDARD_METHODS,
    )


def _conductivity_findings(report: WaterReport, charges: Balance) -> Iterator[WaterFinding]:
    stated = report.conductivity_us_cm
    if stated is None:
        return
    if _enough_ions(report):
        low, best, high = conductivity_us_cm(charges.cations_meq_l, charges.anions_meq_l)
        if best >= 50.0 and not low / 1.1 <= stated <= high * 1.1:
            yield WaterFinding(
                "conductivity",
                "note",
                f"The conductivity is {stated:.0f} µS/cm at 25 °C; the ions let {low:.0f} to "
                f"{high:.0f} µS/cm expect.",
                _STANDARD_METHODS,
            )
    solids = report.total_dissolved_solids_mg_l
    if solids is None or stated < 50.0:
        return
    low, high = SOLIDS_PER_CONDUCTIVITY
    if not low / 1.05 <= solids / stated <= high * 1.05:
        yield WaterFinding(
            "solids-per-conductivity",
            "note",
            f"Dissolved solids and conductivity do not go together: {solids / stated:.2f} mg/L per "
            f"µS/cm, where {low} to {high} is usual.",
            f"{_STANDARD_METHODS}; upper end from published county reports",
        )


def _enough_ions(report: WaterReport) -> bool:
    return report.alkalinity_stated and all(ion in report.ions_mg_l for ion in SOLIDS_IONS)


def _softener_findings(report: WaterReport) -> Iterator[WaterFinding]:
    ions = report.ions_mg_l
    if not {"calcium", "magnesium", "sodium"} <= ions.keys():
        return
    alkalinity = report.alkalinity_meq_l.best
    if alkalinity * CACO3_MG_MEQ < 75.0:
        return
    if hardness_meq_l(ions) <= 0.3 * alkalinity and meq_l("sodium", ions["sodium"]) >= (
        0.6 * alkalinity
    ):
        yield WaterFinding(
            "softened",
            "warning",
            "The water looks softened: sodium stands in place of calcium while the alkalinity is "
            "kept. Take brewing water from before the softener.",
            "stoichiometry of ion exchange; the levels are a derived_default",
            "water/hardness-softened",
        )


def _chlorine_findings(report: WaterReport) -> Iterator[WaterFinding]:
    if report.chlorine_mg_l is None:
        yield WaterFinding(
            "chlorine-not-stated",
            "note",
            "Chlorine is not stated. Ask the water works for it, and whether it is chloramine, or "
            "use a test strip.",
            "common practice, no source",
        )
    elif report.chlorine_mg_l > 0.0:
        what = "chloramine" if report.chloramine else "chlorine"
        yield WaterFinding(
            "chlorine",
            "note",
            f"The water holds {_figure(report.chlorine_mg_l)} mg/L of {what} (as Cl2): remove it "
            "before the mash.",
            "common practice, no source",
            "water/chlorine-untreated",
        )


def _figure(value: float) -> str:
    return f"{value:.0f}" if value >= 100.0 else f"{value:.3g}"
