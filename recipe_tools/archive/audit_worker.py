"""What a worker process of an audit does: read, look up, check, keep."""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from recipe_tools import archive  # noqa: F401  (teaches pickle the read-only mappings of options)
from recipe_tools.archive.cache import CacheUnusable, ResultCache, key_of
from recipe_tools.archive.recording import packed
from recipe_tools.archive.records import Packed
from recipe_tools.archive.walk import Found
from recipe_tools.checking import check_many, not_read
from recipe_tools.checking.file_bytes import bytes_of
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.findings import Confidence, Finding
from recipe_tools.limits import MEBIBYTE

FILES_PER_PART = 32
FILES_TOGETHER = 16
"""Files of a part that are checked together: more make nothing faster."""
PART_BYTES = 4 * MEBIBYTE
"""Bytes of contents held at a time by a part and by a process."""

KEPT_SETTINGS = 64
"""Options held at a time by a process: an archive may have others for every file."""


class Setting(NamedTuple):
    """What holds for many files, as it is handed to workers. context: names it for the cache."""

    context: bytes
    options: bytes
    confidence: Confidence


class Item(NamedTuple):
    """A file on its way to a worker. more: what else its result hangs on (see `cache.key_of`)."""

    found: Found
    setting: Setting
    config_path: str
    accepted: tuple[tuple[str, int], ...]

    @property
    def request(self) -> FileRequest:
        """How the file is to be checked."""
        return FileRequest(
            confidence=self.setting.confidence,
            accepted=dict(self.accepted),
            config_path=self.config_path,
            named=self.found.named,
        )

    @property
    def more(self) -> str:
        """What the result hangs on beside content and setting."""
        if not (self.config_path or self.accepted or self.found.named):
            return ""
        return repr((self.config_path, self.accepted, self.found.named))


class Outcome(NamedTuple):
    """A file on its way back. reused: the result came from the cache."""

    kept: Packed
    reused: bool


_options: dict[bytes, Options] = {}
_caches: list[ResultCache] = []


def begin(cache_folder: Path | None) -> None:
    """Set this process up: with the cache of a folder, or without."""
    for opened in _caches:
        opened.close()
    _caches.clear()
    if cache_folder is not None:
        try:
            _caches.append(ResultCache(cache_folder))
        except CacheUnusable:
            return


def work(items: Sequence[Item]) -> list[Outcome]:
    """Return the outcome of each file of a part. Never raises for what a file contains."""
    outcomes: list[Outcome] = []
    waiting: list[tuple[Item, bytes]] = []
    size = 0
    for item in items:
        data = _data(item)
        if isinstance(data, Finding):
            # In order, and without holding more than the limit.
            outcomes += _settled(waiting)
            waiting, size = [], 0
            refused = not_read(data, item.found.shown, _options_of(item), item.request)
            outcomes.append(Outcome(packed(refused), False))
            continue
        waiting.append((item, data))
        size += len(data)
        if size > PART_BYTES:
            outcomes += _settled(waiting)
            waiting, size = [], 0
    return outcomes + _settled(waiting)


def _data(item: Item) -> bytes | Finding:
    found = item.found
    if found.refused is not None:
        return found.refused
    if found.inside:
        return found.content
    return bytes_of(found.path, _options_of(item).limits.max_bytes, found.root)


def _settled(waiting: Sequence[tuple[Item, bytes]]) -> list[Outcome]:
    """Return the outcomes of files of one setting, from the cache where it has them."""
    cache = _caches[0] if _caches else None
    if cache is None or not waiting:
        return [Outcome(made, False) for made, _ in _checked(waiting)]
    context = waiting[0][0].setting.context
    keys = [key_of(data, context, item.more) for item, data in waiting]
    known = cache.find(keys)
    new: dict[bytes, tuple[Item, bytes]] = {}
    for key, part in zip(keys, waiting, strict=True):
        if key not in known:
            new.setdefault(key, part)
    fresh = dict(zip(new, _checked(list(new.values())), strict=True))
    cache.keep(context, [(key, made) for key, (made, whole) in fresh.items() if whole])
    return [
        Outcome(known[key], True) if key in known else Outcome(fresh[key][0], False) for key in keys
    ]


def _checked(waiting: Sequence[tuple[Item, bytes]]) -> Iterator[tuple[Packed, bool]]:
    """Yield what is kept of each file, and whether nothing of ours failed in it."""
    for start in range(0, len(waiting), FILES_TOGETHER):
        batch = waiting[start : start + FILES_TOGETHER]
        options = _options_of(batch[0][0])
        files = [(data, item.found.shown, item.request) for item, data in batch]
        for file in check_many(files, options):
            failed = any(finding.rule.startswith("internal/") for finding in file.findings)
            yield packed(file), not failed


def _options_of(item: Item) -> Options:
    setting = item.setting
    options = _options.get(setting.context)
    if options is None:
        if len(_options) >= KEPT_SETTINGS:
            _options.clear()
        # From this program's own main process, never from a file.
        options = _options[setting.context] = pickle.loads(setting.options)
    return options
