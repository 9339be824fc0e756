"""Doses as fixes of findings on ions and mash pH, worked out only where fixes are asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from recipe_tools.cli.running import found, settings_of
from recipe_tools.findings import Finding, Fix

if TYPE_CHECKING:
    from recipe_tools.cli.shared import RunOptions
    from recipe_tools.config import Options
    from recipe_tools.recipe import FormatName, Recipe
    from recipe_tools.results import CheckedFile, Run

_TOPICS = ("ions/", "mash-ph/")
_BEYOND_DOSING = frozenset({"mash-ph/not-predictable", "mash-ph/thickness-outside-model"})


def with_dose_fixes(run: Run, paths: Sequence[str], given: RunOptions, standard_input: str) -> Run:
    """Return a run whose findings on ions and mash pH hold the doses that would mend them.

    standard_input: name under which standard input was checked, empty where files were.
    """
    current = Path.cwd()
    settings = settings_of(given)
    places = (
        {standard_input: current / standard_input}
        if standard_input
        else {item.shown: item.path for item in found(paths, given, settings).targets}
    )
    files = []
    for file in run.files:
        place = places.get(file.path)
        if place is None or not any(map(_is_dosable, file.findings)):
            files.append(file)
            continue
        settled = settings(place)
        files.append(_with_fixes(file, settled.options.for_path(settled.path)))
    return run._replace(files=tuple(files))


def _is_dosable(item: Finding) -> bool:
    return (
        item.rule.startswith(_TOPICS)
        and item.rule not in _BEYOND_DOSING
        and item.suppressed is None
    )


def _with_fixes(file: CheckedFile, options: Options) -> CheckedFile:
    recipes = {checked.recipe.index: checked.recipe for checked in file.recipes}
    wanted = {item.recipe for item in file.findings if _is_dosable(item)}
    fixes: Mapping[int, Fix] = {
        index: fix
        for index, recipe in recipes.items()
        if index in wanted and (fix := _fix(recipe, file.format, options)) is not None
    }
    findings = tuple(_with_fix(item, fixes) for item in file.findings)
    return file._replace(findings=findings)


def _with_fix(item: Finding, fixes: Mapping[int, Fix]) -> Finding:
    fix = None if item.recipe is None else fixes.get(item.recipe)
    if fix is None or not _is_dosable(item):
        return item
    return item._replace(fixes=(*item.fixes, fix._replace(pointer=item.pointer)))


def _fix(recipe: Recipe, format_name: FormatName | None, options: Options) -> Fix | None:
    """Return the doses of a plan that mends everything, None where there is no such plan."""
    from recipe_tools.dosing import Request, propose
    from recipe_tools.dosing.brew_steps import shopping_list
    from recipe_tools.reports.dose_words import amount

    for anew in (False, True):
        request = Request(replace=anew, split="mash" if format_name == "beerxml" else "by_volume")
        proposal = propose(recipe, options, request)
        if not proposal.feasible:
            continue
        by_stage: dict[str, list[str]] = {}
        for line in shopping_list(proposal):
            for stage, part in line.parts:
                by_stage.setdefault(stage, []).append(f"{amount(part, line.unit)} {line.name}")
        if not by_stage:
            return None
        beside = "in place of the recipe's own (--replace)" if anew else "beside the recipe's own"
        return Fix(
            f"doses {beside} that leave nothing to mend; `recipe-tools dose` writes them",
            "",
            "; ".join(f"{stage}: {', '.join(parts)}" for stage, parts in by_stage.items()),
        )
    return None
