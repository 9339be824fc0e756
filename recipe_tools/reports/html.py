"""One self-contained page: verdict, mash pH and what to do first, then water, remarks and rules.

A single recipe is the page; several have a table in front. Remarks on how the file is written stand
in one closed block, as they fold in the text report.

The page loads nothing and runs nothing but one small script of its own for sorting and filtering;
the content security policy in its head admits that script and the style sheet by their hashes.
Without the script everything is readable and reachable.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from recipe_tools import __version__
from recipe_tools.findings import Finding, ProposedEdit, Rule
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.reference import family_words, in_the_glass
from recipe_tools.reports.page import environment, part, policy
from recipe_tools.reports.pictures import ph_strip
from recipe_tools.reports.ranking import (
    SEVERITIES,
    most_harmful_first,
    plural,
    severity_of,
    tally,
)
from recipe_tools.reports.recipe_sheet import Sheet, sheet
from recipe_tools.reports.to_do import (
    advice,
    is_remark,
    is_same_fault,
    place_of,
    said_once,
    tallied,
    verdict,
    window_of,
)
from recipe_tools.results import CheckedFile, CheckedRecipe, Run

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay
    from recipe_tools.chemistry.mash_ph import Prediction
    from recipe_tools.config import Options

PICTURES_UP_TO = 2_000
"""Recipes up to which pictures are drawn (derived_default): beyond it the page gets too large."""

OPEN_UP_TO = 12
"""Recipes up to which their sheets stand open at first (derived_default)."""


@dataclass(frozen=True, slots=True)
class EditView:
    """A change a program could make. before: empty where the file has no such text yet."""

    kind: str
    place: str
    before: str
    after: str
    description: str


@dataclass(frozen=True, slots=True)
class FindingView:
    """A finding as the page shows it.

    anchor: id of its rule below; empty where not declared. remedy: said once in a list of findings.
    """

    severity: str
    confidence: str
    message: str
    place: str
    rule: str
    anchor: str
    remedy: str
    accepted: str | None
    related: tuple[str, ...]
    edits: tuple[EditView, ...]


@dataclass(frozen=True, slots=True)
class RecipeView:
    """A recipe as the page shows it; sheet is None where nothing could be computed.

    findings: open ones that are no remarks, most harmful first. remarks: on how the file is
    written, and what was accepted.
    """

    anchor: str
    name: str
    brewer: str
    style: str
    family: str
    ph: float | None
    band: str
    strip: str
    counts: tuple[int, ...]
    verdict: str
    findings: tuple[FindingView, ...]
    remarks: tuple[FindingView, ...]
    sheet: Sheet | None


@dataclass(frozen=True, slots=True)
class FileView:
    """A file as the page shows it; findings and remarks are those of no single recipe."""

    anchor: str
    path: str
    status: str
    findings: tuple[FindingView, ...]
    remarks: tuple[FindingView, ...]
    recipes: tuple[RecipeView, ...]
    over_limit: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RuleView:
    """A rule that found something, for the glossary."""

    anchor: str
    id: str
    severity: str
    summary: str
    glass: str
    why: str
    remedy: str
    source: str
    count: int


_STATUS = {"checked": "checked", "not_checked": "could not be checked", "skipped": "no recipe"}
_WITHOUT = " against the standard; it holds no recipe"


def render(run: Run, catalogue: Mapping[str, Rule]) -> str:
    """Return the page, to be written as UTF-8; ends with a line feed."""
    pages = environment()
    style, script = part("report.css"), part("report.js")
    pictures = run.recipe_count <= PICTURES_UP_TO
    files = [
        _file(file, place, catalogue, pictures=pictures)
        for place, file in enumerate(said_once(run.files))
    ]
    context: dict[str, Any] = {
        "version": __version__,
        "style": style,
        "script": script,
        "policy": policy(style, script),
        "summary": _summary(run),
        "counts": [(level.word, count) for level, count in run.counts().items()],
        "files": files,
        "unchecked": [file for file in files if file.status == _STATUS["not_checked"]],
        "overview": sorted(
            ((file.path, recipe) for file in files for recipe in file.recipes),
            key=lambda row: [-count for count in row[1].counts],
        ),
        "run_findings": _views(run.findings, catalogue),
        "rules": _rules(run, catalogue),
        "recipe_count": run.recipe_count,
        "single": _single(files),
        "pictures": pictures,
        "window_ph": WINDOW_PH,
        "open": run.recipe_count <= OPEN_UP_TO,
    }
    return pages.get_template("report.html").render(context).rstrip("\n") + "\n"


def _summary(run: Run) -> list[str]:
    parts = [f"{plural(len(run.files), 'file')} with {plural(run.recipe_count, 'recipe')}"]
    if run.not_checked:
        parts.append(f"{plural(run.not_checked, 'file')} could not be checked")
    if run.skipped:
        parts.append(f"{plural(run.skipped, 'file')} skipped as no recipe")
    if run.suppressed:
        parts.append(f"{plural(run.suppressed, 'finding')} accepted and not counted")
    parts += [
        f"{plural(count, 'finding')} that {'is' if count == 1 else 'are'} only {word} left out "
        f"(--confidence {word} lists {'it' if count == 1 else 'them'})"
        for word, count in run.hidden.items()
        if count
    ]
    return parts


def _single(files: Sequence[FileView]) -> RecipeView | None:
    """Return the recipe that is all there is to show, or None."""
    if len(files) == 1 and len(files[0].recipes) == 1 and files[0].status == _STATUS["checked"]:
        return files[0].recipes[0]
    return None


def _file(
    file: CheckedFile, place: int, catalogue: Mapping[str, Rule], *, pictures: bool
) -> FileView:
    anchor = f"f{place}"
    known = {item.recipe.index for item in file.recipes}
    grouped: dict[int, list[Finding]] = {index: [] for index in known}
    own: list[Finding] = []
    for item in file.findings:
        inside = item.recipe is not None and item.recipe in known
        (grouped[item.recipe] if inside and item.recipe is not None else own).append(item)
    if len(known) == 1:
        # What holds for the file holds for its only recipe, and stands among what to do about it.
        (grouped[min(known)]).extend(own)
        own = []
    findings, remarks = _parted(own) if known else (own, [])
    return FileView(
        anchor=anchor,
        path=file.path,
        status=_STATUS[file.status] + (_WITHOUT if file.status == "checked" and not known else ""),
        findings=_views(findings, catalogue),
        remarks=_views(remarks, catalogue),
        recipes=tuple(
            _recipe(
                item,
                f"{anchor}r{item.recipe.index}",
                grouped[item.recipe.index],
                catalogue,
                file.options,
                pictures=pictures,
            )
            for item in file.recipes
        ),
        over_limit=tuple(
            f"{plural(item.count, 'more finding')} of {item.rule}, counted but not listed"
            for item in file.over_limit
        ),
    )


def _parted(findings: Iterable[Finding]) -> tuple[list[Finding], list[Finding]]:
    """Return what is to be done or looked at, and what stands in the closed block."""
    shown: list[Finding] = []
    folded: list[Finding] = []
    for item in findings:
        (folded if item.suppressed is not None or is_remark(item) else shown).append(item)
    return shown, folded


def _recipe(
    checked: CheckedRecipe,
    anchor: str,
    findings: Sequence[Finding],
    catalogue: Mapping[str, Rule],
    options: Options | None,
    *,
    pictures: bool,
) -> RecipeView:
    recipe, day = checked.recipe, checked.day
    prediction = day.prediction if day else None
    counts = tally(item for item in findings if item.suppressed is None)
    shown, remarks = _parted(findings)
    drawn = None
    if day is not None:
        drawn = sheet(
            day, anchor, pictures=pictures, sides=_sides(findings), window=window_of(options)
        )
    return RecipeView(
        anchor=anchor,
        name=recipe.name or "Recipe without a name",
        brewer=recipe.brewer,
        style=recipe.style.name if recipe.style else "",
        family=family_words(day.family.family) if day and day.family else "",
        ph=prediction.ph if prediction else None,
        band=f"{prediction.low:.2f} to {prediction.high:.2f}" if prediction else "",
        strip=_strip(prediction) if prediction and pictures else "",
        counts=tuple(counts[level] for level in SEVERITIES),
        verdict=verdict(day, tallied(findings)),
        findings=_views(shown, catalogue, day, options),
        remarks=_views(remarks, catalogue),
        sheet=drawn,
    )


def _sides(findings: Iterable[Finding]) -> Mapping[str, str]:
    """Return on which side of what is wanted each ion lies that a rule has found."""
    return {
        item.values["ion"]: item.values["side"]
        for item in findings
        if item.rule.startswith("ions/") and "ion" in item.values and "side" in item.values
    }


def _strip(prediction: Prediction) -> str:
    return ph_strip(prediction.ph, prediction.low, prediction.high)


def _views(
    findings: Iterable[Finding],
    catalogue: Mapping[str, Rule],
    day: BrewDay | None = None,
    options: Options | None = None,
) -> tuple[FindingView, ...]:
    views: list[FindingView] = []
    advised: set[str] = set()
    for item in most_harmful_first(findings):
        rule = catalogue.get(item.rule)
        remedy = "" if item.rule in advised else advice(item, rule, day, options)
        views.append(_finding(item, rule, remedy))
        advised.add(item.rule)
    return tuple(views)


def _finding(finding: Finding, rule: Rule | None, remedy: str) -> FindingView:
    return FindingView(
        severity=severity_of(finding).word,
        confidence=finding.confidence.word,
        message=finding.message + _codes(finding),
        place=place_of(finding),
        rule=finding.rule,
        anchor=_rule_anchor(finding.rule) if rule else "",
        remedy=remedy,
        accepted=finding.suppressed,
        related=tuple(
            _related(item.line, item.message)
            for item in finding.related
            if not is_same_fault(finding, item)
        ),
        edits=tuple(dict.fromkeys(_edit(item) for item in finding.edits)),
    )


def _codes(finding: Finding) -> str:
    """Return signal word and codes of a caution: `` (Danger; H314 ...; P260 ...)``."""
    if not finding.is_handling:
        return ""
    told = [finding.values.get("signal_word", "")]
    told += [" ".join(finding.values.get(key, ())) for key in ("h", "p")]
    return f" ({'; '.join(filter(None, told))})" if any(told) else ""


def _edit(edit: ProposedEdit) -> EditView:
    return EditView(
        kind=edit.kind,
        place="" if edit.line is None else f"line {edit.line}",
        before=edit.current or "",
        after=edit.replacement,
        description=edit.description,
    )


def _related(line: int | None, message: str) -> str:
    return message if line is None else f"line {line}: {message}"


def _rule_anchor(rule: str) -> str:
    return f"rule-{rule.replace('/', '--')}"


def _rules(run: Run, catalogue: Mapping[str, Rule]) -> list[RuleView]:
    seen: dict[str, int] = dict(run.over_limit)
    for item in run.all_findings():
        seen[item.rule] = seen.get(item.rule, 0) + 1
    return [_rule(catalogue[name], seen[name]) for name in sorted(seen) if name in catalogue]


def _rule(rule: Rule, count: int) -> RuleView:
    return RuleView(
        anchor=_rule_anchor(rule.id),
        id=rule.id,
        severity=rule.severity.word,
        summary=rule.summary,
        glass=in_the_glass(rule.id),
        why=rule.why,
        remedy=rule.remedy,
        source=re.sub(r"(a )?derived_default", "this project's own choice", rule.source),
        count=count,
    )
