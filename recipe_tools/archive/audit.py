"""The bulk run over an archive: what is kept of its files added up into totals.

Workers read, look up, check and keep; memory does not grow with the number of files.
"""

from __future__ import annotations

from collections.abc import Callable

from recipe_tools.archive.cache import CacheUnusable, ResultCache
from recipe_tools.archive.pipeline import Pipeline
from recipe_tools.archive.recording import packed
from recipe_tools.archive.records import unpacked
from recipe_tools.archive.run_request import OptionsOf, RunRequest
from recipe_tools.archive.totals import Totals
from recipe_tools.archive.walk import Walk
from recipe_tools.archive.worker import Outcome, record_part
from recipe_tools.archive.worker_pool import Stopped
from recipe_tools.findings import Finding


def audit(
    walk: Walk,
    options_of: OptionsOf,
    request: RunRequest,
    totals: Totals,
    stop: Callable[[], bool] = lambda: False,
    progress: Callable[[int], None] = lambda count: None,
) -> tuple[Finding, ...]:
    """Check what the walk finds, fill the totals, and return the findings of the whole run.

    stop: asked all the time; once True the run ends early, and the totals say so. progress: called
    with the number of files that were just finished.
    """
    pipeline = Pipeline(options_of, request)
    summary = totals.summary
    taken = 0
    try:
        for item, outcome in pipeline.results(walk.found(), record_part, stop):
            kept, reused = outcome or Outcome(packed(pipeline.lost(item)))
            record = unpacked(kept.record)
            listed = request.list_skipped or record.status != "skipped"
            totals.take(item.found.shown, record, kept.findings, listed=listed)
            pipeline.take(item, record)
            summary.reused += reused
            taken += 1
            progress(1)
            if stop():
                raise Stopped
    except Stopped:
        again = walk.again()
        summary.not_reached = sum(1 for _ in again.found(contents=False)) - taken
        summary.interrupted = summary.not_reached > 0
    summary.other, summary.ignored = walk.other, walk.ignored
    folders = () if summary.interrupted else walk.folders()
    for file in pipeline.without_recipes(folders):
        empty = packed(file)
        totals.take(file.path, unpacked(empty.record), empty.findings)
    findings = pipeline.findings(folders)
    totals.finish(findings)
    _trim(request, pipeline)
    return findings


def _trim(request: RunRequest, pipeline: Pipeline) -> None:
    """Keep the cache within its size, from here alone, when nobody else of this run writes."""
    if request.cache_folder is None:
        return
    try:
        cache = ResultCache(request.cache_folder)
    except CacheUnusable:
        return
    cache.trim(pipeline.contexts())
    cache.close()
