"""A water report and its answers for people."""

from __future__ import annotations

from collections.abc import Iterator

from recipe_tools.brewday.treated import BOILING, CLEAR_WATER, LIME_CAUTIONS, LIMING
from recipe_tools.checking import catalogue
from recipe_tools.chemistry.estimate import Estimate
from recipe_tools.chemistry.ions import CACO3_MG_MEQ
from recipe_tools.findings import Confidence, Severity
from recipe_tools.reports.terminal import PLAIN, Ink, visible, wrapped
from recipe_tools.units import convert
from recipe_tools.water_advice.advice import AcidDemand, Dechlorination, Dilution
from recipe_tools.water_advice.sheet import WaterSheet
from recipe_tools.water_report import WaterReport
from recipe_tools.water_report.pasted import Pasted, shown_value

_INDENT = "  "


def render(sheet: WaterSheet, ink: Ink = PLAIN, pasted: Pasted | None = None) -> str:
    """Return the sheet as lines of at most 80 characters.

    pasted: what became of each line of a copied table.
    """
    lines = [
        *(() if pasted is None else _lines(pasted, ink)),
        *_heading(sheet.report, ink),
        *_ions(sheet, ink),
        *_charges(sheet, ink),
        *_findings(sheet, ink),
        *_supposed(sheet.report, ink),
        *_dechlorination(sheet.dechlorination, ink),
        *_acid(sheet.acid, ink),
        *_dilution(sheet.dilution, ink),
        *_treated(sheet, ink),
    ]
    return "\n".join(lines) + "\n"


def _lines(pasted: Pasted, ink: Ink) -> Iterator[str]:
    yield ink("Read line by line", "strong")
    for line in pasted.lines:
        if line.key:
            note = " (no unit is printed)" if line.taken_in_mg_l else ""
            text = f"{line.key.replace('_', ' ')}: {visible(shown_value(line.value))}{note}"
        else:
            text = f"not read: {visible(line.text)}"
        yield from wrapped(text, first=f"{line.number:>5}  ", rest=_INDENT * 5)
        if line.why:
            yield from wrapped(line.why, first=_INDENT * 5, rest=_INDENT * 5)
    if pasted.passed_over:
        lines = "1 line" if pasted.passed_over == 1 else f"{pasted.passed_over} lines"
        yield f"       {lines} without a figure passed over"
    yield ""


def _heading(report: WaterReport, ink: Ink) -> Iterator[str]:
    yield ink(visible(report.name) or "Water", "strong")
    kind = "one sample" if report.kind == "sample" else "average of a year"
    said = [kind, visible(report.date), visible(report.source)]
    yield from wrapped(", ".join(part for part in said if part), first=_INDENT, rest=_INDENT)


def _ions(sheet: WaterSheet, ink: Ink) -> Iterator[str]:
    report = sheet.report
    yield ""
    yield ink("Ions in mg/L", "strong")
    for ion, level in report.ions_mg_l.items():
        span = f"  ({_figure(level.low)} to {_figure(level.high)})"
        yield f"{_INDENT}{ion:<14}{_figure(level.best):>8}{'' if level.exact else span}"
    yield ""
    guess = "" if report.alkalinity_stated else " (not stated, supposed)"
    yield f"{_INDENT}alkalinity          {_equivalents(report.alkalinity_meq_l)}{guess}"
    if sheet.residual_alkalinity_meq_l is not None:
        yield f"{_INDENT}residual alkalinity {_degrees(sheet.residual_alkalinity_meq_l)}"
    if sheet.hardness_meq_l is not None:
        yield f"{_INDENT}total hardness      {_degrees(sheet.hardness_meq_l)}"
    if report.ph is not None:
        yield f"{_INDENT}pH                  {report.ph.best:.1f}{_between(report.ph, 1)}"
    if (chlorine := report.chlorine_band_mg_l) is not None:
        what = "chloramine" if report.chloramine else "chlorine"
        between = "" if chlorine.exact else f" ({chlorine.low:.3g} to {chlorine.high:.3g})"
        yield f"{_INDENT}{what:<20}{_figure(chlorine.best)} mg/L as Cl2{between}"


def _equivalents(value: Estimate) -> str:
    return f"{_degrees(value.best)}{_between(value, 2)}"


def _degrees(meq_l: float) -> str:
    return (
        f"{meq_l:.2f} mEq/L = {meq_l * CACO3_MG_MEQ:.0f} mg/L as CaCO3"
        f" = {meq_l / convert('charge', 1.0, '°dH'):.1f} °dH"
    )


def _between(value: Estimate, digits: int) -> str:
    return "" if value.exact else f" ({value.low:.{digits}f} to {value.high:.{digits}f})"


def _charges(sheet: WaterSheet, ink: Ink) -> Iterator[str]:
    charges = sheet.charges
    yield ""
    yield ink("Charge balance", "strong")
    yield (
        f"{_INDENT}cations {charges.cations_meq_l:.2f}, anions {charges.anions_meq_l:.2f} mEq/L, "
        f"difference {charges.difference_percent:+.1f} %: {charges.verdict}"
    )
    if charges.verdict == "balanced":
        return
    yield from wrapped(charges.explanation, first=_INDENT, rest=_INDENT)


def _findings(sheet: WaterSheet, ink: Ink) -> Iterator[str]:
    shown = [item for item in sheet.findings if item.rule != "water/charge-imbalance"]
    yield ""
    yield ink("Findings", "strong")
    if not sheet.findings:
        yield f"{_INDENT}none"
    elif not shown:
        yield f"{_INDENT}the charge balance only"
    for item in shown:
        severity = (item.severity or Severity.ERROR).word
        sure = "" if item.confidence is Confidence.CERTAIN else f" ({item.confidence.word})"
        yield f"{_INDENT}{ink(severity, severity)} {item.rule}{sure}"
        declared = catalogue()[item.rule]
        for text in (f"{visible(item.message)}.", declared.remedy):
            yield from wrapped(text, first=_INDENT * 2, rest=_INDENT * 2)


def _supposed(report: WaterReport, ink: Ink) -> Iterator[str]:
    if not report.supposed:
        return
    yield ""
    yield ink("Supposed", "strong")
    for item in report.supposed:
        text = f"{visible(item.text[:1].upper() + item.text[1:])}."
        yield from wrapped(text, first=_INDENT, rest=_INDENT * 2)


def _dechlorination(item: Dechlorination | None, ink: Ink) -> Iterator[str]:
    if item is None:
        return
    what = "chloramine" if item.chloramine else "chlorine"
    yield ""
    yield ink(f"Against {_figure(item.chlorine_mg_l)} mg/L {what}{_for(item.volume_l)}", "strong")
    for dose in item.doses:
        line = f"{dose.name}: {dose.mg_l:.2f} mg/L"
        if dose.grams is not None and dose.tablets is not None and dose.stock_ml is not None:
            line += (
                f" = {dose.grams:.3f} g = {dose.tablets:.2f} tablet of 0.44 g active mass"
                f" = {dose.stock_ml:.1f} mL of 1 g in 100 mL water"
            )
        yield from wrapped(line, first=_INDENT, rest=_INDENT * 2)
    yield from _cautions(item.cautions)


def _acid(item: AcidDemand | None, ink: Ink) -> Iterator[str]:
    if item is None:
        return
    yield ""
    yield ink(f"Acid to pH {item.ph:g}{_for(item.volume_l)}", "strong")
    start = f"from pH {item.from_ph:.1f}" + ("" if item.ph_stated else " (supposed)")
    yield f"{_INDENT}{item.meq_l.best:.2f} mEq/L{_between(item.meq_l, 2)} {start}"
    if not item.doses:
        yield f"{_INDENT}none is needed"
    for dose in item.doses:
        line = f"{dose.name} {dose.strength_percent:g} %: {dose.per_l:.3g} {dose.unit}/L"
        if dose.amount is not None:
            line += f" = {dose.amount:.1f} {dose.unit}"
        line += f"; leaves {_figure(dose.leaves_mg_l)} mg/L {dose.leaves}"
        if dose.hazard:
            line += f"; {dose.hazard}"
        yield from wrapped(line, first=_INDENT, rest=_INDENT * 2)
    yield from _cautions((*dict.fromkeys(d.advice for d in item.doses if d.advice), *item.cautions))


def _dilution(item: Dilution | None, ink: Ink) -> Iterator[str]:
    if item is None:
        return
    yield ""
    target = f"{item.target_meq_l:.2f} mEq/L = {item.target_meq_l * CACO3_MG_MEQ:.0f} mg/L as CaCO3"
    yield ink(f"Dilution to an alkalinity of {target}", "strong")
    yield from wrapped(item.explanation, first=_INDENT, rest=_INDENT)
    share = item.tap_share
    if share is None or share >= 1.0:
        return
    if item.volume_l is not None:
        tap = share * item.volume_l
        yield f"{_INDENT}{tap:.1f} L of this water, {item.volume_l - tap:.1f} L {item.pure}"
    ions = ", ".join(f"{ion} {_figure(amount)}" for ion, amount in item.ions_mg_l.items())
    yield from wrapped(f"The mixture holds, in mg/L: {ions}", first=_INDENT, rest=_INDENT * 2)


def _treated(sheet: WaterSheet, ink: Ink) -> Iterator[str]:
    left = sheet.treated
    if left is None:
        return
    boiled = left.treatment == "boiled"
    yield ""
    yield ink(f"{'Boiled' if boiled else 'Treated with lime'}{_for(sheet.volume_l)}", "strong")
    if left.alkalinity_taken_meq_l <= 0.0:
        text = "It takes nothing out: there is too little calcium or alkalinity that could settle."
        yield from wrapped(text, first=_INDENT, rest=_INDENT)
        return
    how = BOILING if boiled else LIMING
    yield from wrapped(f"{how[:1].upper()}{how[1:]}.", first=_INDENT, rest=_INDENT)
    if not boiled:
        line = f"slaked lime (calcium hydroxide, pure): {left.lime_mg_l:.0f} mg/L"
        if sheet.volume_l is not None:
            line += f" = {left.lime_mg_l * sheet.volume_l / 1000.0:.1f} g"
        yield f"{_INDENT}{line}"
    yield f"{_INDENT}alkalinity left {_equivalents(left.alkalinity_meq_l)}"
    ions = ", ".join(f"{ion} {_figure(level.best)}" for ion, level in left.ions_mg_l.items())
    yield from wrapped(f"What is left, in mg/L: {ions}", first=_INDENT, rest=_INDENT * 2)
    yield from _cautions((*(() if boiled else LIME_CAUTIONS), CLEAR_WATER))


def _cautions(cautions: tuple[str, ...]) -> Iterator[str]:
    for caution in cautions:
        yield from wrapped(f"! {caution}", first=_INDENT, rest=_INDENT * 2)


def _for(volume_l: float | None) -> str:
    return "" if volume_l is None else f", for {volume_l:.3g} L"


def _figure(value: float) -> str:
    return f"{value:.0f}" if value >= 100.0 else f"{value:.3g}"
