"""Findings of a whole run: handling notes, and what the configuration holds in vain."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from recipe_tools.archive.walk import Folder
from recipe_tools.baseline import Baseline, Entry
from recipe_tools.checking.checklist import checklist, own_declarations
from recipe_tools.checking.judging import expired
from recipe_tools.checking.kept_readings import of_configuration
from recipe_tools.config import Options, Suppression
from recipe_tools.findings import Finding, Rule, find
from recipe_tools.key_names import nearest_key
from recipe_tools.reference import families


class RunNotes:
    """Gathers, file by file, what belongs to no single file.

    baseline_shown: the file of accepted findings. partial: files were left out on purpose, so that
    nothing is said about what was not met.
    """

    def __init__(self, baseline: Baseline, *, partial: bool, baseline_shown: str = "") -> None:
        self._baseline = baseline
        self._baseline_shown = baseline_shown or None
        self._partial = partial
        self._safety: dict[tuple[str, str], Finding] = {}
        self._by_source: dict[str, tuple[Options, Path | None]] = {}
        self._used: dict[str, set[str]] = {}
        self._entries: dict[str, dict[str, Finding]] = {}
        self._latest: Options | None = None
        self._accepting = {entry.path for entry in baseline.entries}
        self._left: dict[str, Mapping[str, int]] = {}
        self._options_by_path: dict[str, Options] = {}
        self._first: Options | None = None

    def take_safety(self, shown: str, items: Iterable[Finding]) -> None:
        """Take in the handling notes of a file; each is said once, of the first it is about."""
        for item in items:
            self._safety.setdefault((item.rule, item.message), item._replace(about=shown))

    def take(
        self,
        shown: str,
        options: Options,
        folder: Path | None,
        used: Iterable[str],
        left: Mapping[str, int] | None,
    ) -> None:
        """Take in what became of the configuration and of accepted findings in one file.

        folder: of its configuration. used: keys of its entries that matched. left: accepted
        findings that did not occur, None where the file was not checked.
        """
        self._first = self._first or options
        source = options.source_path
        if source:
            self._by_source.setdefault(source, (options, folder))
            self._used.setdefault(source, set()).update(used)
            if options is not self._latest:
                self._latest = options
                self._entries.setdefault(source, {}).update(_entries(options))
        if shown in self._accepting:
            self._options_by_path[shown] = options
            if left is not None:
                self._left[shown] = left

    def take_path(self, options: Options, path: str) -> None:
        """Take in a file by its path relative to the folder of its configuration."""
        places = options.overrides_for(path)
        used = self._used.setdefault(options.source_path, set())
        used.update(f"paths[{place}]" for place in places)

    def own_rules(self) -> tuple[Rule, ...]:
        """Return the rules that the configurations bring; of one id the first."""
        found: dict[str, Rule] = {}
        for _, (options, _) in sorted(self._by_source.items(), key=lambda it: it[0]):
            for rule in own_declarations(options):
                found.setdefault(rule.id, rule)
        return tuple(found.values())

    def findings(self, folders: Sequence[Folder]) -> Iterator[Finding]:
        """Yield the findings of the run. folders: those that were walked."""
        walked = () if self._partial else folders
        for key in sorted(self._safety):
            yield self._safety[key]._replace(pointer="", related=())
        yield from self._configured(walked)
        yield from self._stale(walked)

    def _configured(self, walked: Sequence[Folder]) -> Iterator[Finding]:
        """Yield suppressions that are expired, and what is unused where all files were seen."""
        for source, (options, configured) in sorted(self._by_source.items(), key=lambda it: it[0]):
            rules = checklist(options)
            whole = any(_lies_in(configured, folder.path) for folder in walked)
            for suppression in options.suppressions:
                unused = whole and f"suppress[{suppression.index}]" not in self._used[source]
                item = _suppression(suppression, source, options, unused)
                if item is None or rules.severities.get(suppression.rule, True) is None:
                    continue
                severity = rules.severity(item)
                if severity is not None:
                    yield item._replace(severity=severity, about=source)

            for item in of_configuration(options):
                severity = rules.severity(item)
                if severity is not None:
                    yield item._replace(severity=severity, about=source)

            for key, item in self._entries[source].items():
                severity = rules.severity(item)
                if whole and key not in self._used[source] and severity is not None:
                    yield item._replace(severity=severity, about=source)

    def _stale(self, walked: Sequence[Folder]) -> Iterator[Finding]:
        """Yield what is accepted in vain: one finding for each rule and file."""
        gone: dict[tuple[str, str], dict[str, int]] = {}
        for entry, count in self._in_vain(walked):
            gone.setdefault((entry.path, entry.rule), {})[entry.fingerprint] = count
        for (path, rule), counts in gone.items():
            total = sum(counts.values())
            item = find(
                "baseline/stale",
                "The baseline accepts {accepted} in {file}, {times}.",
                accepted=rule,
                file=path,
                times="which no longer occurs there"
                if total == 1
                else f"{total} of which no longer occur there",
                value=rule,
                fingerprints=counts,
            )
            options = self._options_by_path.get(path, self._first or Options())
            severity = checklist(options).severity(item)
            if severity is not None:
                about = path if path in self._options_by_path else self._baseline_shown
                yield item._replace(severity=severity, about=about)

    def _in_vain(self, walked: Sequence[Folder]) -> Iterator[tuple[Entry, int]]:
        """Yield entries with the number of findings they accept that did not occur."""
        fallback = self._first or Options()
        for entry in self._baseline.entries:
            if entry.path in self._options_by_path:
                count = self._left.get(entry.path, {}).get(entry.fingerprint, 0)
            else:
                gone = any(
                    folder.shown == "." or entry.path.startswith(f"{folder.shown}/")
                    for folder in walked
                )
                count = entry.count if gone else 0
            rules = checklist(self._options_by_path.get(entry.path, fallback))
            if count == 0 or rules.severities.get(entry.rule, True) is None:
                continue
            yield entry, count


def _lies_in(folder: Path | None, walked: Path) -> bool:
    return folder is not None and folder.is_relative_to(walked)


def _entries(options: Options) -> Iterator[tuple[str, Finding]]:
    """Yield the keys of entries that should fit something, and what is said where they do not."""
    for place, lot in enumerate(options.malts):
        yield (
            f"malt[{place}]",
            _unused("[[malt]]", lot.name, "names no malt of any recipe", options),
        )
    for place, override in enumerate(options.paths):
        globs = ", ".join(override.globs)
        yield f"paths[{place}]", _unused("[[paths]]", globs, "matches no file", options)
    for name in options.styles:
        if name in families():
            continue  # one of ours, of which there is no beer at present
        nearest = nearest_key(name, families())
        hint = f"; the nearest family is {nearest}" if nearest else ""
        what = f"is no style family and the style of no recipe{hint}"
        yield f"style.{name}", _unused("[style]", name, what, options)


def _unused(table: str, name: str, what: str, options: Options) -> Finding:
    return find(
        "configuration/unused",
        '{table} "{value}" in {config} {what}.',
        table=table,
        value=name,
        config=options.source_path,
        what=what,
    )


def _suppression(
    suppression: Suppression, source: str, options: Options, unused: bool
) -> Finding | None:
    where = f"{suppression.rule}" + (f" in {suppression.path}" if suppression.path else "")
    if expired(suppression, options):
        return find(
            "suppression/expired",
            "The suppression of {value} in {config} ended on {until}; its findings count again.",
            value=where,
            config=source,
            until=suppression.until.isoformat() if suppression.until else "",
        )
    if unused:
        return find(
            "suppression/unused",
            "The suppression of {value} in {config} matches no finding.",
            value=where,
            config=source,
        )
    return None
