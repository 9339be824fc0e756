"""One file in, its recipes, brew days and findings out."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from recipe_tools.checklist import Checklist, catalogue, checklist
from recipe_tools.config import Options
from recipe_tools.file_bytes import bytes_of
from recipe_tools.findings import Finding, find
from recipe_tools.judging import FileRequest, Judging, capped, located
from recipe_tools.results import (
    CheckedFile,
    CheckedRecipe,
    Run,
    Status,
    Unlisted,
)

if TYPE_CHECKING:
    from recipe_tools.formats.result import ReadResult
    from recipe_tools.recipe import Recipe

__all__ = [
    "CheckedFile",
    "CheckedRecipe",
    "FileRequest",
    "Run",
    "Unlisted",
    "catalogue",
    "check_bytes",
    "check_file",
]

DEFAULT_OPTIONS = Options()
DEFAULT_REQUEST = FileRequest()


def check_file(
    path: Path,
    options: Options = DEFAULT_OPTIONS,
    request: FileRequest = DEFAULT_REQUEST,
    *,
    shown_as: str = "",
) -> CheckedFile:
    """Read and check a file. Never raises for what lies at the path; a finding says what is wrong.

    shown_as: the path in reports; the given path with forward slashes where left out.
    """
    shown = shown_as or path.as_posix()
    data = bytes_of(path, options.limits.max_bytes, request.root)
    if isinstance(data, Finding):
        return _finished(b"", shown, options, request, None, "not_checked", (), [data])
    return check_bytes(data, shown, options, request)


def check_bytes(
    data: bytes,
    path: str,
    options: Options = DEFAULT_OPTIONS,
    request: FileRequest = DEFAULT_REQUEST,
) -> CheckedFile:
    """Check the recipes in the bytes of a file. path: as reports show it. Never raises."""
    result = _read(data, path, options)
    if isinstance(result, Finding):
        return _finished(data, path, options, request, None, "not_checked", (), [result])
    if result.status == "skipped" and not request.named:
        return CheckedFile(
            path, result.format, "skipped", data_digest=hashlib.sha256(data).hexdigest()
        )
    found = list(result.findings)
    status: Status = result.status
    if status == "skipped":
        status = "not_checked"
        if not any(item.rule == "file/not-a-recipe" for item in found):
            found.append(
                find("file/not-a-recipe", "The file holds no BeerXML or BeerJSON recipe.", value="")
            )
    rules = checklist(options)
    recipes = []
    for recipe in result.recipes:
        checked, findings = _check_recipe(recipe, options, rules)
        recipes.append(checked)
        found.extend(findings)
    return _finished(data, path, options, request, result, status, tuple(recipes), found)


def _read(data: bytes, path: str, options: Options) -> ReadResult | Finding:
    from recipe_tools import formats
    from recipe_tools.recipe import SourceFile

    try:
        return formats.read(SourceFile(path, data), options.limits)
    except Exception as error:  # a fault of ours in one file must not end the run over all others
        return _failure("internal/reading-failed", "The reader failed: {error}.", "", error)


def _check_recipe(
    recipe: Recipe, options: Options, rules: Checklist
) -> tuple[CheckedRecipe, list[Finding]]:
    from recipe_tools import brewday

    found: list[Finding] = []
    at = recipe.origin.path
    try:
        day = brewday.plan(recipe, options)
    except Exception as error:  # as in _read: this recipe is lost, the run is not
        found.append(
            _failure(
                "internal/computation-failed",
                "The brew day could not be computed: {error}.",
                at,
                error,
                recipe=recipe.index,
            )
        )
        return CheckedRecipe(recipe, None), found
    for entry in rules.entries:
        try:
            found.extend(_of(item, recipe.index) for item in entry.check(day, entry.options))
        except Exception as error:  # one broken rule must not silence the others
            found.append(
                _failure(
                    "internal/rule-failed",
                    "The rule {value} failed: {error}.",
                    at,
                    error,
                    recipe=recipe.index,
                    value=entry.id,
                )
            )
    return CheckedRecipe(recipe, day), found


def _of(item: Finding, index: int) -> Finding:
    return item if item.recipe is not None else replace(item, recipe=index)


def _failure(
    rule: str,
    message: str,
    at: str,
    error: Exception,
    *,
    recipe: int | None = None,
    value: str = "",
) -> Finding:
    """Describe an exception by its kind and place in the package, without paths of the machine."""
    place = ""
    frame = error.__traceback__
    while frame is not None:
        code = frame.tb_frame.f_code
        place = f"{Path(code.co_filename).name}:{frame.tb_lineno}"
        frame = frame.tb_next
    said = f"{type(error).__name__} in {place}"
    return find(rule, message, at, recipe=recipe, value=value, error=said)


def _finished(
    data: bytes,
    path: str,
    options: Options,
    request: FileRequest,
    result: ReadResult | None,
    status: Status,
    recipes: tuple[CheckedRecipe, ...],
    found: list[Finding],
) -> CheckedFile:
    """Judge, locate, sort and cap the findings of a file."""
    judged = Judging(options, request, {item.recipe.index: item.recipe.name for item in recipes})
    kept = judged.apply(found)
    format_name = result.format if result is not None else None
    if kept and format_name is not None and data:
        kept = located(kept, data, format_name)
    kept = [replace(item, path=path) for item in kept] if kept else kept
    kept.sort(key=lambda item: (item.line or 0, item.column or 0, item.rule, item.fingerprint))
    listed, unlisted = capped(kept, options.limits.max_findings_per_rule)
    return CheckedFile(
        path=path,
        format=format_name,
        status=status,
        recipes=recipes,
        findings=tuple(listed),
        safety=tuple(judged.safety),
        unlisted=unlisted,
        hidden=judged.hidden,
        used_suppressions=frozenset(judged.used),
        unused_acceptance=judged.unused_acceptance(),
        data_digest=hashlib.sha256(data).hexdigest() if data else "",
    )
