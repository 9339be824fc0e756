"""One file in, its recipes, brew days and findings out."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from recipe_tools.checking.checklist import catalogue
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.checking.judging import FileRequest, Judging, capped, located, utf8_columns
from recipe_tools.config import Options
from recipe_tools.findings import Finding, Severity, find
from recipe_tools.results import (
    CheckedFile,
    CheckedRecipe,
    OverLimit,
    Run,
    Status,
)

if TYPE_CHECKING:
    from recipe_tools.brewday import BrewDay
    from recipe_tools.formats.members import Members
    from recipe_tools.formats.result import ReadResult
    from recipe_tools.recipe import FormatName, Recipe
    from recipe_tools.water_report import WaterReport

__all__ = [
    "CheckedFile",
    "CheckedRecipe",
    "FileRequest",
    "OverLimit",
    "Run",
    "catalogue",
    "check_bytes",
    "check_file",
    "check_many",
    "check_water",
    "load_recipes",
]

DEFAULT_OPTIONS = Options()
DEFAULT_REQUEST = FileRequest()
NO_RECIPE = "file/not-a-recipe"
WATER_TOPICS = ("water", "ions")
"""Topics of the rules that judge a source water; without a recipe others have nothing to judge."""


def check_file(
    path: str | PathLike[str],
    options: Options = DEFAULT_OPTIONS,
    request: FileRequest = DEFAULT_REQUEST,
    *,
    shown_as: str = "",
) -> CheckedFile:
    """Read and check a file. Never raises for what lies at the path; a finding says what is wrong.

    shown_as: the path in reports; the given path with forward slashes where left out.
    """
    place = Path(path)
    shown = shown_as or place.as_posix()
    data = bytes_of(place, options.limits.max_bytes, request.root)
    if isinstance(data, Finding):
        return not_read(data, shown, options, request)
    return check_bytes(data, shown, options, request)


def not_read(
    why: Finding,
    path: str,
    options: Options = DEFAULT_OPTIONS,
    request: FileRequest = DEFAULT_REQUEST,
) -> CheckedFile:
    """Return the result for a file whose bytes cannot be had. path: as reports show it."""
    judging = Judging(path, options, request)
    judging.take([why])
    return _finished(judging, b"", None, "not_checked", ())


def check_bytes(
    data: bytes,
    path: str,
    options: Options = DEFAULT_OPTIONS,
    request: FileRequest = DEFAULT_REQUEST,
) -> CheckedFile:
    """Check the recipes in the bytes of a file. path: as reports show it. Never raises."""
    (checked,) = check_many([(data, path, request)], options)
    return checked


def check_many(
    files: Sequence[tuple[bytes, str, FileRequest]], options: Options = DEFAULT_OPTIONS
) -> list[CheckedFile]:
    """Check files whose bytes are at hand. Never raises.

    files: the bytes, the path as reports show it, and how the file is to be checked. Each step is
    taken for all of them before the next one, so that its code stays in the processor's caches; all
    their recipes are held at a time.
    """
    judgings = [Judging(path, options, request) for _, path, request in files]
    results = [_read(data, path, options) for data, path, _ in files]
    opened = [_taken_in(result, judging) for result, judging in zip(results, judgings, strict=True)]
    days = _judge([plan for _, _, plans in opened for plan in plans])
    return [
        _finished(judging, data, format_name, status, [next(days) for _ in plans])
        for judging, (data, _, _), (format_name, status, plans) in zip(
            judgings, files, opened, strict=True
        )
    ]


class _Pending(NamedTuple):
    """A recipe on its way through the rules. found: what reader and rules have said of it."""

    recipe: Recipe
    judging: Judging
    found: list[Finding]


def _taken_in(
    result: ReadResult | Finding, judging: Judging
) -> tuple[FormatName | None, Status, list[_Pending]]:
    """Take in what the reader says of the file; return its format, status and recipes."""
    if isinstance(result, Finding):
        judging.take([result])
        return None, "not_checked", []
    skipped = result.status == "skipped"
    if skipped and not judging.request.named:
        return result.format, "skipped", []
    judging.alone = len(result.recipes) < 2
    names = {recipe.index: recipe for recipe in result.recipes}
    read: dict[int, list[Finding]] = {index: [] for index in names}
    for item in result.findings:
        if item.recipe in names:
            read[item.recipe].append(item)
        else:
            judging.take([item])
    if skipped and all(item.rule != NO_RECIPE for item in result.findings):
        judging.take([find(NO_RECIPE, "The file holds no BeerXML or BeerJSON recipe.", value="")])
    pending = [_Pending(recipe, judging, read[recipe.index]) for recipe in result.recipes]
    return result.format, "not_checked" if skipped else result.status, pending


def load_recipes(
    path: str | PathLike[str], options: Options = DEFAULT_OPTIONS
) -> tuple[Recipe, ...]:
    """Return the recipes of a file as far as it can be read; `check_file` says what is wrong.

    Raises OSError where the file cannot be read and ValueError where it is over the size limit.
    """
    from recipe_tools import formats
    from recipe_tools.recipe import SourceFile

    limit = options.limits.max_bytes
    place = Path(path)
    with place.open("rb") as file:
        data = file.read(limit + 1)
    if len(data) > limit:
        raise ValueError(f"the file is larger than {limit} bytes")
    return formats.read(SourceFile(place.as_posix(), data), options.limits).recipes


def check_water(report: WaterReport, options: Options = DEFAULT_OPTIONS) -> tuple[Finding, ...]:
    """Return what the rules on water find in a report that no recipe uses yet, gravest first.

    They are those that judge the source water of a recipe, with the severities and thresholds of
    the options. What the configuration accepts is left out.
    """
    from recipe_tools.recipe import Recipe

    alone = replace(options, water=report, chlorine_mg_l=None, chloramine=None, records="source")
    judging = Judging("", alone, DEFAULT_REQUEST)
    list(_judge([_Pending(Recipe(0, report.name), judging, [])], WATER_TOPICS))
    open_ones = (item for item in judging.kept if item.suppressed is None)
    return tuple(sorted(open_ones, key=lambda item: -(item.severity or Severity.ERROR)))


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest() if data else ""


def _read(data: bytes, path: str, options: Options) -> ReadResult | Finding:
    from recipe_tools import formats
    from recipe_tools.recipe import SourceFile

    try:
        return formats.read(SourceFile(path, data), options.limits)
    except Exception as error:  # a fault of ours in one file must not end the run over all others
        return _failure("internal/reading-failed", "The reader failed: {error}.", "", error)


def _judge(pending: Sequence[_Pending], topics: Collection[str] = ()) -> Iterator[CheckedRecipe]:
    """Compute the brew days and let each rule look at them all; yield the recipes in their order.

    All belong to one setting. topics: whose rules are asked; empty for all.
    """
    from recipe_tools.rules.precedence import without_echoes

    days = [_planned(item) for item in pending]
    planned = [(day, item) for day, item in zip(days, pending, strict=True) if day is not None]
    for name, check, options in pending[0].judging.rules.entries if pending else ():
        if topics and name.partition("/")[0] not in topics:
            continue
        for day, item in planned:
            try:
                item.found.extend(check(day, options))
            except Exception as error:  # one broken rule must not silence the others
                message = "The rule {value} failed: {error}."
                at = item.recipe.origin.path
                item.found.append(_failure("internal/rule-failed", message, at, error, name))
    for made, item in zip(days, pending, strict=True):
        judging = item.judging
        if made is not None and judging.options.readings is not None:
            from recipe_tools.checking.kept_readings import of_recipe

            item.found.extend(of_recipe(made, judging.options, judging.request.config_path))
        judging.take(without_echoes(item.found) if made is not None else item.found, item.recipe)
        yield CheckedRecipe(item.recipe, made)


def _planned(item: _Pending) -> BrewDay | None:
    """Return the brew day of a recipe.

    None where only the standard is asked for, or the computation failed, which is a finding.
    """
    if item.judging.rules.validates:
        return None
    from recipe_tools import brewday

    options = item.judging.options
    try:
        day = brewday.plan(item.recipe, options)
    except Exception as error:  # as in _read: this recipe is lost, the run is not
        message = "The brew day could not be computed: {error}."
        at = item.recipe.origin.path
        item.found.append(_failure("internal/computation-failed", message, at, error))
        return None
    item.judging.used.update(brewday.settings_used(day, options))
    return day


def _members(judging: Judging, data: bytes, format_name: FormatName | None) -> Members:
    """Return the members that were checked where nothing but the standard was."""
    from recipe_tools.formats.members import members

    return members(data, format_name) if judging.rules.validates and format_name else {}


def _failure(rule: str, message: str, at: str, error: Exception, value: str = "") -> Finding:
    """Describe an exception by its kind and place in the package, without paths of the machine."""
    place = ""
    frame = error.__traceback__
    while frame is not None:
        place = f"{Path(frame.tb_frame.f_code.co_filename).name}:{frame.tb_lineno}"
        frame = frame.tb_next
    return find(rule, message, at, value=value, error=f"{type(error).__name__} in {place}")


def _wants_places(judging: Judging, status: Status) -> bool:
    """Tell whether lines are asked for, or decide what is listed, or say where a check ended."""
    return (
        judging.request.placed
        or status != "checked"
        or len(judging.kept) > judging.options.limits.max_findings_per_rule
        or any(item.rule.startswith("internal/") for item in judging.kept)
    )


def _finished(
    judging: Judging,
    data: bytes,
    format_name: FormatName | None,
    status: Status,
    recipes: Sequence[CheckedRecipe],
) -> CheckedFile:
    """Locate, sort and cap the findings of a file."""
    if status == "skipped":
        return CheckedFile(judging.path, format_name, status, data_digest=_digest(data))
    kept = judging.kept
    if kept and data and _wants_places(judging, status):
        try:
            kept = located(kept, data, format_name)
        except Exception as error:  # findings without a line are better than none
            message = "Lines and columns could not be found: {error}."
            judging.take([_failure("internal/positions-failed", message, "", error)])
    kept.sort(key=lambda item: (item.line or 0, item.column or 0, item.rule, item.fingerprint))
    listed, over_limit = capped(kept, judging.options.limits.max_findings_per_rule)
    return CheckedFile(
        path=judging.path,
        format=format_name,
        status=status,
        recipes=tuple(recipes),
        findings=tuple(listed),
        safety=tuple(judging.safety),
        over_limit=over_limit,
        hidden=judging.hidden,
        used_settings=frozenset(judging.used),
        unused_acceptance=judging.unused_acceptance(),
        members=_members(judging, data, format_name),
        utf8_columns=utf8_columns(listed, data, format_name),
        data_digest=_digest(data),
        options=judging.options if recipes else None,
    )
