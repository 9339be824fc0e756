"""Everything `recipe-tools water` has to say about one report, gathered before it is shown."""

from __future__ import annotations

from dataclasses import dataclass

from recipe_tools.brewday.treated import TreatedWater, treated
from recipe_tools.checking import check_water
from recipe_tools.chemistry.estimate import bests
from recipe_tools.chemistry.ions import hardness_meq_l, meq_l, residual_alkalinity_meq_l
from recipe_tools.config import Options
from recipe_tools.config.options import Treatment
from recipe_tools.findings import Finding
from recipe_tools.rules.water.analysis import balance_of
from recipe_tools.rules.water.drinking import Passed, levels_of, passed_limits
from recipe_tools.water_advice.advice import (
    UNKNOWN_PH,
    AcidDemand,
    Dechlorination,
    Dilution,
    acid_demand,
    dechlorination,
    dilution,
)
from recipe_tools.water_report import WaterReport
from recipe_tools.water_report.balance import Balance

NO_OPTIONS = Options()


@dataclass(frozen=True, slots=True)
class WaterSheet:
    """A report with what follows from it. hardness, residual alkalinity: mEq/L, None if unknown."""

    report: WaterReport
    charges: Balance
    exceeded: tuple[Passed, ...]
    findings: tuple[Finding, ...]
    hardness_meq_l: float | None
    residual_alkalinity_meq_l: float | None
    dechlorination: Dechlorination | None
    acid: AcidDemand | None
    dilution: Dilution | None
    treated: TreatedWater | None = None
    volume_l: float | None = None


def water_sheet(
    report: WaterReport,
    *,
    volume_l: float | None = None,
    to_ph: float | None = None,
    to_alkalinity_meq_l: float | None = None,
    treatment: Treatment | None = None,
    options: Options = NO_OPTIONS,
) -> WaterSheet:
    """Return all answers for a report. volume_l: litres to treat.

    treatment: what is done to the water beforehand; the other answers are for it as it is reported.
    options: the rules and the shelf, with the acids the brewer has.
    """
    return WaterSheet(
        report,
        balance_of(report),
        passed_limits(levels_of(report)),
        check_water(report, options),
        _hardness(report),
        _residual_alkalinity(report),
        dechlorination(report, volume_l),
        None if to_ph is None else acid_demand(report, to_ph, volume_l, options.shelf),
        None if to_alkalinity_meq_l is None else dilution(report, to_alkalinity_meq_l, volume_l),
        None if treatment is None else _treated(report, treatment),
        volume_l,
    )


def _treated(report: WaterReport, how: Treatment) -> TreatedWater:
    ph = (report.ph or UNKNOWN_PH).best
    return treated(how, report.ions_mg_l, report.alkalinity_meq_l, ph)


def _hardness(report: WaterReport) -> float | None:
    if {"calcium", "magnesium"} <= report.ions_mg_l.keys():
        return hardness_meq_l(bests(report.ions_mg_l))
    return None if report.hardness_meq_l is None else report.hardness_meq_l.best


def _residual_alkalinity(report: WaterReport) -> float | None:
    ions = bests(report.ions_mg_l)
    if not report.alkalinity_stated or not {"calcium", "magnesium"} <= ions.keys():
        return None
    return residual_alkalinity_meq_l(
        report.alkalinity_meq_l.best,
        meq_l("calcium", ions["calcium"]),
        meq_l("magnesium", ions["magnesium"]),
    )
