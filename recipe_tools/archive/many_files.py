"""Many files checked into one result, which holds all of them with their recipes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from recipe_tools.archive.pipeline import Pipeline
from recipe_tools.archive.run_request import FileSettings, OptionsOf, RunRequest
from recipe_tools.archive.walk import Discovery, Found
from recipe_tools.archive.worker import check_part
from recipe_tools.results import Run


def check_files(
    discovery: Discovery,
    options_of: OptionsOf,
    request: RunRequest,
    progress: Callable[[int], None] = lambda count: None,
) -> Run:
    """Check all files found. The result does not depend on the number of jobs.

    progress: called with the number of files that were just finished.
    """
    pipeline = Pipeline(options_of, request)
    files = []
    skipped = 0
    for item, result in pipeline.results(discovery.files, check_part):
        file = result or pipeline.lost(item)
        pipeline.take(item, file)
        skipped += file.status == "skipped"
        if request.list_skipped or file.status != "skipped":
            files.append(file)
        progress(1)
    files.extend(pipeline.without_recipes(discovery.folders))
    files.sort(key=lambda file: file.path)
    return Run(tuple(files), pipeline.findings(discovery.folders), skipped, pipeline.own_rules())


def check_content(
    data: bytes, place: Path, shown: str, in_force: FileSettings, request: RunRequest
) -> Run:
    """Check what came from no file of ours, such as standard input.

    place: where it would lie. shown: as reports name it.
    """
    found = Found(shown, place.as_posix(), "", content=data, named=True)
    return check_files(Discovery((found,)), lambda path: in_force, request)
