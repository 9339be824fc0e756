"""Recipes within a zip archive, read without unpacking it to disk and within limits.

Everything an archive says about itself may be a lie, so sizes are counted while reading.
"""

from __future__ import annotations

import os
import stat
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath
from struct import Struct
from typing import IO

from recipe_tools.findings import Finding, find
from recipe_tools.limits import MEBIBYTE

SUFFIX = ".zip"
NESTED = frozenset({".zip", ".jar", ".7z", ".rar", ".tar", ".gz", ".tgz", ".bz2", ".xz", ".zst"})
"""Suffixes of archives, which are not opened within an archive."""


@dataclass(frozen=True, slots=True)
class ZipLimits:
    """Upper bounds for one zip archive (derived_default).

    max_members: files in it. max_total_bytes: of all members together, unpacked. max_ratio: bytes
    unpacked for each byte packed, judged once a member has given more than ratio_floor bytes, and
    all members together more than total_floor: members may share their packed bytes.
    """

    max_members: int = 200_000
    max_total_bytes: int = 4096 * MEBIBYTE
    max_ratio: int = 200
    ratio_floor: int = MEBIBYTE
    total_floor: int = 64 * MEBIBYTE


DEFAULT_ZIP_LIMITS = ZipLimits()

_CHUNK = 64 * 1024
_METHODS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
"""Of the others the library unpacks whatever a chunk gives at once: gigabytes from kilobytes."""
_ENTRY_BYTES = 512
"""Bytes of the directory granted to each member: its fixed part and a path of some length."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A member as the directory of the archive lists it, before any of it is read."""

    name: str
    info: zipfile.ZipInfo


class ZipReader:
    """An open zip archive. Use it as a context; close it to let go of the file.

    Raises ZipError where it is no archive that may be read.
    """

    def __init__(self, path: Path, limits: ZipLimits = DEFAULT_ZIP_LIMITS) -> None:
        self._limits = limits
        try:
            size = path.stat().st_size
            with path.open("rb") as file:
                _check_directory(file, size, limits)
            self._zip = zipfile.ZipFile(path)
        except ZipError:
            raise
        except OSError as error:
            reason = (error.strerror or "it cannot be opened").lower()
            raise ZipError(find(DAMAGED, _DAMAGED_TEXT, value=reason)) from None
        except Exception as error:  # whatever zipfile makes of hostile bytes
            raise ZipError(find(DAMAGED, _DAMAGED_TEXT, value=_words(error))) from None
        self._size = size
        self._most = min(
            limits.max_total_bytes, max(limits.total_floor, limits.max_ratio * self._size)
        )
        self._left = self._most

    def __enter__(self) -> ZipReader:
        return self

    def __exit__(self, *failure: object) -> None:
        self._zip.close()

    def members(self) -> list[Listed]:
        """Return the files in the archive sorted by name; repeated names are told apart.

        Raises ZipError where there are more than the limit.
        """
        # Not is_dir, which fails on a member without a name.
        listed = [item for item in self._zip.infolist() if not item.filename.endswith("/")]
        if len(listed) > self._limits.max_members:
            raise ZipError(_too_many(len(listed), self._limits.max_members))
        seen: dict[str, int] = {}
        named = []
        for info in listed:
            seen[info.filename] = place = seen.get(info.filename, 0) + 1
            named.append(
                Listed(info.filename if place == 1 else f"{info.filename} ({place})", info)
            )
        return sorted(named, key=lambda item: item.name)

    def read(self, listed: Listed, max_bytes: int) -> bytes | Finding:
        """Return the bytes of a member or why it is not read. Never raises."""
        refusal = _refusal(listed.info)
        if refusal is not None:
            return refusal
        try:
            with self._zip.open(listed.info) as member:
                return self._counted(member, listed.info, max_bytes)
        except Exception as error:  # whatever zipfile and its codecs make of hostile bytes
            return find(DAMAGED, _DAMAGED_TEXT, value=_words(error))

    def start(self, listed: Listed, size: int) -> bytes:
        """Return the first bytes of a member, none where they cannot be had."""
        if _refusal(listed.info) is not None or self._left < size:
            return b""
        try:
            with self._zip.open(listed.info) as member:
                data = member.read(size)
        except Exception:  # as in read; a file of another kind need not be sound
            return b""
        self._left -= len(data)
        return data

    def _counted(self, member: IO[bytes], info: zipfile.ZipInfo, max_bytes: int) -> bytes | Finding:
        parts = []
        size = 0
        packed = max(1, min(info.compress_size, self._size))
        while part := member.read(_CHUNK):
            size += len(part)
            self._left -= len(part)
            if self._left < 0:
                return _over("bytes of all members", self._most)
            if size > max_bytes:
                return _over("bytes of a member", max_bytes)
            if size > self._limits.ratio_floor and size > self._limits.max_ratio * packed:
                return _over("bytes unpacked for each byte packed", self._limits.max_ratio)
            parts.append(part)
        return b"".join(parts)


class ZipError(Exception):
    """An archive that is not read at all; finding says why."""

    def __init__(self, finding: Finding) -> None:
        super().__init__(finding.message)
        self.finding = finding


DAMAGED = "archive/damaged"
MEMBER_NAME = "archive/member-name"
OVER_LIMIT = "archive/over-limit"
_DAMAGED_TEXT = "It cannot be unpacked: {value}."
_UNKNOWN_METHOD = "its method of compression is not read; deflate is"


def _refusal(info: zipfile.ZipInfo) -> Finding | None:
    """Return why a member is not read, judging by the directory alone; None: it may be."""
    fault = _fault_of_name(info)
    if fault:
        return find(MEMBER_NAME, "The name of this member {value}; it was not read.", value=fault)
    if info.flag_bits & 0x1:
        return find(DAMAGED, _DAMAGED_TEXT, value="it is encrypted")
    if info.compress_type not in _METHODS:
        return find(DAMAGED, _DAMAGED_TEXT, value=_UNKNOWN_METHOD)
    if PurePosixPath(info.filename).suffix.lower() in NESTED:
        return find(DAMAGED, _DAMAGED_TEXT, value="it is an archive within an archive")
    return None


def _fault_of_name(info: zipfile.ZipInfo) -> str:
    name = info.orig_filename
    if stat.S_ISLNK(info.external_attr >> 16):
        return "is that of a link"
    if "\0" in name:
        return "holds a zero byte"
    if not name:
        return "is empty"
    if name.startswith(("/", "\\")) or PureWindowsPath(name).drive:
        return "is an absolute path"
    if ".." in name.replace("\\", "/").split("/"):
        return "leads upwards"
    return ""


def _over(what: str, limit: int) -> Finding:
    return find(
        OVER_LIMIT,
        "Reading stopped at the limit of {value} {what}; nothing of this file was checked.",
        value=limit,
        what=what,
    )


def _too_many(count: int, limit: int) -> Finding:
    return find(
        OVER_LIMIT,
        "The archive holds {count} files or more, over the limit of {value}; it was not read.",
        value=limit,
        count=count,
    )


def _words(error: Exception) -> str:
    if isinstance(error, NotImplementedError):
        return _UNKNOWN_METHOD
    if isinstance(error, zipfile.BadZipFile):
        return "it is damaged or no zip archive"
    if isinstance(error, (zlib.error, EOFError)):
        return "its packed bytes are damaged"
    return f"{type(error).__name__} while unpacking"


_END = Struct("<4s4H2LH")
_END64_LOCATOR = Struct("<4sLQL")
_END64 = Struct("<4sQ2H2L4Q")


def _check_directory(file: IO[bytes], size: int, limits: ZipLimits) -> None:
    """Raise ZipError for a directory larger than the limit on members allows.

    The library reads the whole directory into memory when it opens an archive, as many bytes as
    the record at the end of the file says.
    """
    tail_size = min(size, _END.size + _END64_LOCATOR.size + 0xFFFF)
    file.seek(size - tail_size)
    tail = file.read(tail_size)
    at = tail.rfind(b"PK\x05\x06")
    if at < 0 or at + _END.size > len(tail):
        raise ZipError(find(DAMAGED, _DAMAGED_TEXT, value="it is damaged or no zip archive"))
    directory = _END.unpack_from(tail, at)[5]
    locator_at = at - _END64_LOCATOR.size
    if locator_at >= 0 and tail.startswith(b"PK\x06\x07", locator_at):
        offset = _END64_LOCATOR.unpack_from(tail, locator_at)[2]
        file.seek(min(offset, size))
        record = file.read(_END64.size)
        if len(record) == _END64.size and record.startswith(b"PK\x06\x06"):
            directory = _END64.unpack(record)[8]
    if directory > limits.max_members * _ENTRY_BYTES:
        raise ZipError(_too_many(limits.max_members + 1, limits.max_members))


def looks_like_zip(path: str) -> bool:
    """Tell by name and first bytes whether a file is a zip archive."""
    if not path.lower().endswith(SUFFIX):
        return False
    try:
        # Opening a pipe would wait for somebody to write into it.
        if not stat.S_ISREG(os.stat(path).st_mode):  # noqa: PTH116  (as throughout a walk)
            return False
        with open(path, "rb") as file:  # noqa: PTH123
            return file.read(4) in (b"PK\x03\x04", b"PK\x05\x06")
    except OSError:
        return False
