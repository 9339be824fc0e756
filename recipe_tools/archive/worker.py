"""What one process does with the files handed to it: read, look up, check, keep."""

from __future__ import annotations

import copyreg
import pickle
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NamedTuple

from recipe_tools.archive.walk import Found
from recipe_tools.baseline import Acceptance
from recipe_tools.checking import check_many, not_read
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.findings import Confidence, Finding
from recipe_tools.limits import MEBIBYTE
from recipe_tools.results import CheckedFile

if TYPE_CHECKING:
    from recipe_tools.archive.cache import ResultCache
    from recipe_tools.archive.records import Packed

FILES_PER_PART = 32
"""Files handed over and checked together: enough to hide what that costs, few enough to share."""

PART_BYTES = 4 * MEBIBYTE
"""Bytes of contents held at a time by a part and by a process."""

KEPT_SETTINGS = 64
"""Options held at a time by a process: an archive may have others for every file."""


def _read_only(content: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(content)


def _reduced(mapping: MappingProxyType[Any, Any]) -> tuple[Any, ...]:
    return _read_only, (dict(mapping),)


# Recipes and findings hold read-only mappings; pickle refuses them, workers send them back.
copyreg.pickle(MappingProxyType, _reduced)


class Setting(NamedTuple):
    """What holds for many files, as it is handed to workers.

    context: tells it from all others; for the cache see `cache.context_of`. options: packed.
    itemised: as in `RunRequest`. doses: work out what would repair each recipe.
    """

    context: bytes
    options: bytes
    confidence: Confidence
    itemised: bool
    doses: bool = False


class Item(NamedTuple):
    """A file on its way to a worker. config_path: empty where nothing hangs on it."""

    found: Found
    setting: Setting
    config_path: str
    accepted: tuple[tuple[str, Acceptance], ...]

    @property
    def request(self) -> FileRequest:
        """How the file is to be checked."""
        return FileRequest(
            confidence=self.setting.confidence,
            accepted=dict(self.accepted),
            config_path=self.config_path,
            named=self.found.named,
            placed=self.setting.itemised,
        )

    @property
    def more(self) -> str:
        """What the result hangs on beside content and setting (see `cache.key_of`)."""
        doses = self.setting.doses
        if not (self.config_path or self.accepted or self.found.named or doses):
            return ""
        return repr((self.config_path, self.accepted, self.found.named, doses))


class Outcome(NamedTuple):
    """What is kept of a file, on its way back. reused: it came from the cache."""

    packed: Packed
    reused: bool = False


_Read = tuple[Item, bytes | Finding]

_options: dict[bytes, Options] = {}
_caches: list[ResultCache] = []


def begin(cache_folder: Path | None) -> None:
    """Set this process up: with the cache of a folder, or without."""
    for opened in _caches:
        opened.close()
    _caches.clear()
    if cache_folder is not None:
        from recipe_tools.archive.cache import CacheUnusable, ResultCache

        try:
            _caches.append(ResultCache(cache_folder))
        except CacheUnusable:
            return


def check_part(items: Sequence[Item]) -> list[CheckedFile]:
    """Check the files of a part. Never raises for what a file contains."""
    return [file for batch in _read(items) for file in _checked(batch)]


def record_part(items: Sequence[Item]) -> list[Outcome]:
    """Return what is kept of the files of a part. Never raises for what a file contains."""
    return [outcome for batch in _read(items) for outcome in _recorded(batch)]


def _read(items: Sequence[Item]) -> Iterator[list[_Read]]:
    """Yield the files with their bytes, no more at a time than may be held."""
    batch: list[_Read] = []
    size = 0
    for item in items:
        data = _content(item)
        batch.append((item, data))
        size += 0 if isinstance(data, Finding) else len(data)
        if size > PART_BYTES:
            yield batch
            batch, size = [], 0
    if batch:
        yield batch


def _content(item: Item) -> bytes | Finding:
    found = item.found
    if found.refused is not None:
        return found.refused
    if found.content is not None:
        return found.content
    return bytes_of(found.path, options_of(item).limits.max_bytes, found.root)


def _checked(batch: Sequence[_Read]) -> list[CheckedFile]:
    if not batch:
        return []
    options = options_of(batch[0][0])
    readable = [
        (data, item.found.shown, item.request)
        for item, data in batch
        if not isinstance(data, Finding)
    ]
    checked = iter(check_many(readable, options))
    return [
        not_read(data, item.found.shown, options, item.request)
        if isinstance(data, Finding)
        else next(checked)
        for item, data in batch
    ]


def _recorded(batch: Sequence[_Read]) -> list[Outcome]:
    """Return the outcomes of files of one setting, from the cache where it has them."""
    setting, options = batch[0][0].setting, options_of(batch[0][0])
    if not _caches:
        return [Outcome(_packed(file, setting, options)) for file in _checked(batch)]
    from recipe_tools.archive.cache import key_of

    cache = _caches[0]
    context = setting.context
    # What cannot be read has no key; its place tells it apart.
    keys = [
        str(place).encode() if isinstance(data, Finding) else key_of(data, context, item.more)
        for place, (item, data) in enumerate(batch)
    ]
    kept = cache.find(keys)
    # What an earlier run only counted does not serve one that lists findings.
    known = {key: found for key, found in kept.items() if found.findings or not setting.itemised}
    new = {key: read for key, read in zip(keys, batch, strict=True) if key not in known}
    fresh: dict[bytes, Packed] = {}
    sound = []
    for (key, (_, data)), file in zip(new.items(), _checked(list(new.values())), strict=True):
        fresh[key] = _packed(file, setting, options)
        failed = any(finding.rule.startswith("internal/") for finding in file.findings)
        if not failed and not isinstance(data, Finding):
            sound.append((key, fresh[key]))
    cache.keep(context, sound)
    return [Outcome(known[key], True) if key in known else Outcome(fresh[key]) for key in keys]


def _packed(file: CheckedFile, setting: Setting, options: Options) -> Packed:
    from recipe_tools.archive.recording import packed

    return packed(file, options, itemised=setting.itemised, doses=setting.doses)


def options_of(item: Item) -> Options:
    """Return the options of an item, unpacked once for all files that have them."""
    setting = item.setting
    options = _options.get(setting.context)
    if options is None:
        if len(_options) >= KEPT_SETTINGS:
            _options.clear()
        # From this program's own main process, never from a file.
        options = _options[setting.context] = pickle.loads(setting.options)
    return options
