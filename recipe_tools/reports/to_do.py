"""What is to be done about a recipe: the verdict, what folds away, advice with its amounts.

Decided here once for the screen and the page. Amounts come from `dosing.advised`, which is loaded
where a finding asks for one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from recipe_tools.findings import Finding, Related, Rule, Severity
from recipe_tools.judgement.mash import ABOVE_RANGE, BELOW_RANGE, WINDOW_PH
from recipe_tools.reports.amounts import amount, spoken
from recipe_tools.reports.ranking import plural, severity_of

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay
    from recipe_tools.config import Options
    from recipe_tools.dosing.advised import Advised
    from recipe_tools.results import CheckedFile

_OF_THE_FILE = ("file/", "standard/")
SAID_ONCE = frozenset({"water/chlorine-not-stated"})
"""Rules about a water report: what they find is the same in each recipe brewed with it."""
_LINES_SHOWN = 6


def said_once(files: Iterable[CheckedFile]) -> Iterator[CheckedFile]:
    """Yield the files without what an earlier recipe has said already of the same water report."""
    told: set[tuple[str, str]] = set()
    for file in files:
        kept = []
        for item in file.findings:
            key = (item.rule, item.message)
            if item.rule not in SAID_ONCE or key not in told:
                kept.append(item)
                told.add(key)
        yield file._replace(findings=tuple(kept)) if len(kept) < len(file.findings) else file


class Tally(NamedTuple):
    """Open findings by what they mean for the brewer.

    to_do: errors and warnings. to_look_at: notes on the beer. remarks: notes on how the file is
    written, which fold away. How to handle products is none of them.
    """

    to_do: int
    to_look_at: int
    remarks: int


def tallied(findings: Iterable[Finding]) -> Tally:
    """Count the open findings among these."""
    to_do = to_look_at = remarks = 0
    for item in findings:
        if item.suppressed is not None or item.is_handling:
            continue
        if is_remark(item):
            remarks += 1
        elif severity_of(item) is Severity.NOTE:
            to_look_at += 1
        else:
            to_do += 1
    return Tally(to_do, to_look_at, remarks)


def is_remark(item: Finding) -> bool:
    """Tell whether a finding is only a remark on how the file is written.

    What changes a number that water or mash is computed from weighs more than a note (see
    `formats.fields.weight`).
    """
    return severity_of(item) is Severity.NOTE and item.rule.startswith(_OF_THE_FILE)


def verdict(day: BrewDay | None, tally: Tally) -> str:
    """Return the verdict on a recipe in one line. day: None where it could not be computed."""
    look = ""
    if tally.to_look_at:
        what = "things " if tally.to_look_at > 1 else "thing "
        look = f"; {tally.to_look_at} {'' if tally.to_do else what}to look at"
    if day is None:
        return f"Could not be worked out; {things_to_do(tally.to_do)}{look}"
    if _lacks_water(day):
        known = f"; {plural(tally.to_do, 'thing')} to do" if tally.to_do else ""
        return f"Water unknown: only part of it could be checked{known}{look}"
    if tally.to_do:
        return f"Fix {plural(tally.to_do, 'thing')} before brewing{look}"
    return f"Nothing to change{look}"


def things_to_do(count: int) -> str:
    """Return how many things are to be done: ``2 things to do before brewing``."""
    return f"{plural(count, 'thing')} to do before brewing" if count else "nothing to do"


def _lacks_water(day: BrewDay) -> bool:
    brewed = day.total is not None or day.mash is not None or bool(day.grist)
    return brewed and not day.source.known


def place_of(item: Finding) -> str:
    """Return where a finding stands: ``line 104``, ``lines 165, 176, 187``, or nothing."""
    lines = [item.line, *(other.line for other in item.related if is_same_fault(item, other))]
    known = list(dict.fromkeys(line for line in lines if line is not None))
    return lines_of(known)


def is_same_fault(item: Finding, other: Related) -> bool:
    """Tell whether another place only shows the same fault of the file once more."""
    return item.rule.startswith(_OF_THE_FILE) and other.message == "the same here"


def lines_of(lines: list[int]) -> str:
    """Return line numbers in words, the first of them where there are many."""
    if not lines:
        return ""
    shown = ", ".join(str(line) for line in lines[:_LINES_SHOWN])
    more = f" and {len(lines) - _LINES_SHOWN} more" if len(lines) > _LINES_SHOWN else ""
    return f"line{'' if len(lines) == 1 else 's'} {shown}{more}"


def window_of(options: Options | None) -> tuple[float, float]:
    """Return the window of the mash pH by which a file was judged."""
    if options is None:
        return WINDOW_PH
    return BELOW_RANGE.in_force(options)["low"], ABOVE_RANGE.in_force(options)["high"]


def advice(item: Finding, rule: Rule | None, day: BrewDay | None, options: Options | None) -> str:
    """Return what to do about a finding: with its amount where one can be told, else in general.

    Empty where the rule is not declared. With backticks around commands.
    """
    return amount_advice(item, day, options) or (rule.remedy if rule is not None else "")


def amount_advice(item: Finding, day: BrewDay | None, options: Options | None) -> str:
    """Return what to do in grams or millilitres; empty where no amount can be told."""
    say = _WITH_AMOUNT.get(item.rule)
    if say is None or day is None or options is None:
        return ""
    return say(day, options)


def _acid_for_mash(day: BrewDay, options: Options) -> str:
    found = _for_mash(day, options)
    if found is None:
        return ""
    return f"{_brings(found, options, 'it')}: `recipe-tools dose` plans it. {_MEASURE}"


def _base_for_mash(day: BrewDay, options: Options) -> str:
    found = _for_mash(day, options)
    if found is None:
        return ""
    return (
        "Leave out acid or part of the calcium; or "
        f"{_brings(found, options, 'it')}: `recipe-tools dose` plans it. {_MEASURE}"
    )


_MEASURE = "Measure a cooled sample after ten minutes."


def _at_hand_for_mash(day: BrewDay, options: Options) -> str:
    found = _for_mash(day, options)
    if found is None:
        return ""
    said = f"{_dose(found, options)} would bring it to {found.ph:.2g}"
    return f"Measure a cooled sample early; {said}"


def _for_mash(day: BrewDay, options: Options) -> Advised | None:
    from recipe_tools.dosing.advised import for_mash

    return for_mash(day, options)


def _acid_for_sparge(day: BrewDay, options: Options) -> str:
    from recipe_tools.dosing.advised import for_sparge

    found = for_sparge(day, options)
    if found is None or day.sparge is None:
        return ""
    litres = _litres(day.sparge.volume_l.best, options)
    return (
        f"{_brings(found, options, f'the {litres} of sparge water')}, or blend it with pure water"
    )


def _sulfite(day: BrewDay, options: Options) -> str:
    from recipe_tools.dosing.dechlorination import dechlorination

    found = dechlorination(day, options)
    if found is None:
        return ""
    litres = _litres(found.litres, options)
    dose = amount(found.grams, "g", options.units)
    text = f"{dose} of {spoken(found.name)} for these {litres}, before heating"
    if found.direct:
        return text
    stock = "one tablet crushed" if found.tablet else amount(found.stock_g, "g", options.units)
    part = amount(found.solution_ml, "mL", options.units)
    return f"{text}: {part} of a solution of {stock} in 100 mL of water"


def _brings(found: Advised, options: Options, what: str) -> str:
    text = f"about {_dose(found, options)} brings {what} to pH {_ph(found.ph)}"
    return f"{text}, where {found.stops}" if found.stops else text


def _ph(value: float) -> str:
    return f"{value:.2f}".removesuffix("0")


def _dose(found: Advised, options: Options) -> str:
    return f"{amount(found.amount, found.stock.unit, options.units)} of {spoken(found.stock.name)}"


def _litres(value: float, options: Options) -> str:
    return amount(round(value, 1), "L", options.units)


_WITH_AMOUNT: Mapping[str, Callable[[BrewDay, Options], str]] = {
    "mash-ph/above-range": _acid_for_mash,
    "mash-ph/below-range": _base_for_mash,
    "mash-ph/near-edge": _at_hand_for_mash,
    "sparge/alkalinity-high": _acid_for_sparge,
    "sparge/ph-high": _acid_for_sparge,
    "water/chlorine-untreated": _sulfite,
    "water/chloramine-treatment": _sulfite,
    "addition/sulfite-dose-low": _sulfite,
}
"""Rule -> what says its advice with an amount, or nothing where there is none."""
