"""The bytes of a file as text, whatever it declares, and the way back from text to bytes."""

import codecs
import functools
import re
from bisect import bisect_right
from collections.abc import Iterable
from typing import Final, NamedTuple

_DECLARATION = re.compile(
    r"""\s*<\?xml\s[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._:-]{1,40})["']""", re.I
)
_DECLARATION_BYTES: Final = 4096
_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16, whose mark it starts with
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_SINGLE_BYTE: Final = frozenset(
    [f"iso8859-{part}" for part in range(1, 17)]
    + [f"cp{page}" for page in (437, 850, 852, 855, 858, 866, *range(1250, 1259))]
    + ["koi8-r", "koi8-u", "mac-roman", "mac-cyrillic", "mac-latin2"]
)
_MULTI_BYTE: Final = frozenset(
    ["shift_jis", "cp932", "euc_jp", "gb2312", "gbk", "gb18030", "big5", "euc_kr", "cp949"]
)
_WIDE: Final = frozenset(["utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-32-le", "utf-32-be"])
_WRONG_BYTE: Final = re.compile("[\udc80-\udcff]")
_BY_MARK: Final = "UTF-8 (by its byte order mark)"

WINDOWS_1252: Final = "windows-1252"
LATIN_1: Final = "iso8859-1"


class NotTextError(ValueError):
    """The bytes are not text in the encoding their first bytes show; ``encoding`` names it."""

    def __init__(self, encoding: str) -> None:
        super().__init__(encoding)
        self.encoding = encoding


class Mismatch(NamedTuple):
    """Why the declared encoding was not used.

    declared: as the file writes it, or "none". used: the encoding read with. garbles: False where
    no character depends on it (the file is plain ASCII).
    """

    declared: str
    used: str
    garbles: bool


class Decoded(NamedTuple):
    """A file as text.

    text: without byte order mark. encoding: codec of the bytes behind a byte order mark of ``mark``
    bytes. breaks: pairs (place in the text, place in the bytes) behind each byte that was no UTF-8
    and was read as Windows-1252; between two of them the text encodes back to the bytes.
    """

    data: bytes
    text: str
    encoding: str
    mark: int = 0
    breaks: tuple[tuple[int, int], ...] = ()
    mismatch: Mismatch | None = None

    @property
    def utf8(self) -> bytes:
        """The text in UTF-8."""
        if self.encoding == "utf-8" and not self.breaks:
            return self.data[self.mark :] if self.mark else self.data
        return self.text.encode("utf-8")

    def byte_offsets(self, offsets: Iterable[int]) -> dict[int, int]:
        """Return the place in the bytes of the file for each offset into the text."""
        one_byte_each = self.encoding in _SINGLE_BYTE or self.encoding == WINDOWS_1252
        if one_byte_each or (self.encoding == "utf-8" and self.text.isascii()):
            return {offset: self.mark + offset for offset in offsets}
        known = [(0, self.mark), *self.breaks]
        starts = [start for start, _ in known]
        places: dict[int, int] = {}
        for offset in sorted(set(offsets)):
            start, place = known[bisect_right(starts, offset) - 1]
            places[offset] = place + len(self.text[start:offset].encode(self.encoding))
            if not self.breaks:
                known, starts = [(offset, places[offset])], [offset]
        return places


def sniff(data: bytes) -> tuple[str, int] | None:
    """Return the encoding that the first bytes show and the length of a byte order mark.

    Both standards start with an ASCII character, so the place of the zero bytes gives the width
    away. None where the bytes show nothing.
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return encoding, len(mark)
    if data[:1] == b"\x00":
        return ("utf-32-be" if data[:2] == b"\x00\x00" else "utf-16-be"), 0
    if data[1:2] == b"\x00":
        return ("utf-32-le" if data[2:4] == b"\x00\x00" else "utf-16-le"), 0
    return None


def decode_json(data: bytes) -> Decoded:
    """Return the bytes of a JSON file as text: UTF-16 or UTF-32 where they show it, else UTF-8.

    Bytes that are no UTF-8 are read as Windows-1252 one by one, the rest stays UTF-8. Raises
    NotTextError where UTF-16 or UTF-32 is broken.
    """
    encoding, mark = sniff(data) or ("utf-8", 0)
    if encoding != "utf-8":
        return Decoded(data, _wide(data, encoding, mark), encoding, mark)
    try:
        return Decoded(data, data[mark:].decode("utf-8"), "utf-8", mark)
    except UnicodeDecodeError:
        return _mixed(data, mark)


def _mixed(data: bytes, mark: int) -> Decoded:
    # The handler turns a wrong byte into one lone surrogate, which UTF-8 itself cannot contain.
    marked = data[mark:].decode("utf-8", "surrogateescape")
    breaks: list[tuple[int, int]] = []
    done, place = 0, mark
    for match in _WRONG_BYTE.finditer(marked):
        place += len(marked[done : match.start()].encode("utf-8")) + 1
        done = match.end()
        breaks.append((done, place))
    letters = _windows_1252_table()
    text = _WRONG_BYTE.sub(lambda match: letters[ord(match[0]) - 0xDC00], marked)
    return Decoded(data, text, "utf-8", mark, tuple(breaks))


def decode_xml(data: bytes) -> Decoded:
    """Return the bytes of an XML file as text.

    A byte order mark wins, then zero bytes (UTF-16, UTF-32), then strict UTF-8 whatever is
    declared, then the declared encoding, then Windows-1252. Raises NotTextError where a wide
    encoding is broken.
    """
    encoding, mark = sniff(data) or ("", 0)
    if encoding not in ("", "utf-8"):
        return _wide_xml(data, encoding, mark)
    head = data[mark : mark + _DECLARATION_BYTES]
    declared = _declared(head.decode("latin-1"))
    codec = _codec(declared)
    if not mark and data.isascii():
        fits = declared is None or (codec is not None and codec not in _WIDE)
        mismatch = None if fits else Mismatch(declared or "none", "ASCII", False)
        return Decoded(data, data.decode("ascii"), "utf-8", mismatch=mismatch)
    if codec in _MULTI_BYTE and not mark and (text := _try(data, codec)) is not None:
        return Decoded(data, text, codec)
    text = _try(data[mark:] if mark else data, "utf-8")
    if text is None:
        return _eight_bit(data, mark, _BY_MARK if mark else declared, None if mark else codec)
    fits = declared is None or codec == "utf-8"
    mismatch = None if fits else Mismatch(declared or "none", "UTF-8", not text.isascii())
    return Decoded(data, text, "utf-8", mark, mismatch=mismatch)


def _declared(text: str) -> str | None:
    match = _DECLARATION.match(text)
    return match[1] if match else None


def _codec(declared: str | None) -> str:
    # Only plain character sets: Python also knows codecs that unpack archives or run escapes.
    if declared is None:
        return ""
    try:
        name = codecs.lookup(declared).name
    except (LookupError, ValueError):
        return ""
    allowed = name in _SINGLE_BYTE or name in _MULTI_BYTE or name in _WIDE
    return name if allowed or name in ("utf-8", "ascii") else ""


def _try(data: bytes, codec: str) -> str | None:
    try:
        text = data.decode(codec)
        if codec != "utf-8":
            text.encode("utf-8")  # no half of a character may be in it
    except UnicodeError:
        return None
    return text


def _wide(data: bytes, encoding: str, mark: int) -> str:
    text = _try(data[mark:], encoding)
    if text is None:
        raise NotTextError(encoding.upper())
    return text


def _wide_xml(data: bytes, encoding: str, mark: int) -> Decoded:
    text = _wide(data, encoding, mark)
    declared, family = _declared(text), encoding[:6]
    mismatch = None
    if declared is not None and not _codec(declared).startswith(family):
        mismatch = Mismatch(declared, family.upper(), not text.isascii())
    return Decoded(data, text, encoding, mark, mismatch=mismatch)


def _eight_bit(data: bytes, mark: int, declared: str | None, codec: str | None) -> Decoded:
    if codec in _SINGLE_BYTE and codec not in (LATIN_1, "cp1252"):
        text = _try(data, codec or "")
        if text is not None:
            return Decoded(data, text, codec or "")
    text = codecs.charmap_decode(data[mark:], "strict", _windows_1252_table())[0]
    if codec == "cp1252":
        return Decoded(data, text, WINDOWS_1252)
    if codec == LATIN_1 and text == data.decode("latin-1"):
        return Decoded(data, text, LATIN_1)
    mismatch = Mismatch(declared or "none", "Windows-1252", True)
    return Decoded(data, text, WINDOWS_1252, mark, mismatch=mismatch)


@functools.cache
def _windows_1252_table() -> str:
    # Five bytes mean nothing in Windows-1252; as the control characters of Latin-1 they are kept.
    ignored = bytes(range(256)).decode("cp1252", "replace")
    return "".join(
        chr(code) if letter == "\ufffd" else letter for code, letter in enumerate(ignored)
    )
