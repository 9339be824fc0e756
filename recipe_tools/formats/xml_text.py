"""The bytes of an XML file as text: the encoding they are in, whatever the file declares."""

import codecs
import functools
import re
from collections.abc import Mapping
from typing import Final, NamedTuple

_DECLARATION = re.compile(
    rb"""\s*<\?xml\s[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._:-]{1,40})["']""", re.I
)
_WIDE_DECLARATION = re.compile(
    r"""\s*<\?xml\s[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._:-]{1,40})["']""", re.I
)
_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16, whose mark it starts with
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_ZEROS: Final[Mapping[tuple[bool, ...], str]] = {
    (True, False, True, False): "utf-16-be",
    (False, True, False, True): "utf-16-le",
    (True, True, True, False): "utf-32-be",
    (False, True, True, True): "utf-32-le",
}
_SINGLE_BYTE: Final = frozenset(
    [f"iso8859-{part}" for part in range(1, 17)]
    + [f"cp{page}" for page in (437, 850, 852, 855, 858, 866, *range(1250, 1259))]
    + ["koi8-r", "koi8-u", "mac-roman", "mac-cyrillic", "mac-latin2"]
)
_MULTI_BYTE: Final = frozenset(
    ["shift_jis", "cp932", "euc_jp", "gb2312", "gbk", "gb18030", "big5", "euc_kr", "cp949"]
)
_WIDE: Final = frozenset(["utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-32-le", "utf-32-be"])

WINDOWS_1252: Final = "windows-1252"
LATIN_1: Final = "iso8859-1"


@functools.cache
def _windows_1252_table() -> str:
    # Five bytes mean nothing in Windows-1252; as the control characters of Latin-1 they are kept.
    ignored = bytes(range(256)).decode("cp1252", "replace")
    return "".join(
        chr(code) if letter == "\ufffd" else letter for code, letter in enumerate(ignored)
    )


class NotTextError(ValueError):
    """The bytes are not text in the encoding their first bytes show."""


class Doubt(NamedTuple):
    """Why the declared encoding was not used.

    declared: as the file writes it, or "none". used: the encoding read with. garbles: False where
    no character depends on it (the file is plain ASCII).
    """

    declared: str
    used: str
    garbles: bool


class Decoded(NamedTuple):
    """A file as text.

    data: the bytes of the file. utf8: the same text in UTF-8 without byte order mark. encoding:
    codec of the bytes behind a byte order mark of ``mark`` bytes.
    """

    data: bytes
    utf8: bytes
    encoding: str
    mark: int = 0
    doubt: Doubt | None = None

    @property
    def text(self) -> str:
        """The text, without byte order mark."""
        return self.utf8.decode("utf-8")

    def byte_offsets(self, text: str, offsets: list[int]) -> dict[int, int]:
        """Return the place in the bytes of the file for each offset into ``text`` (code points)."""
        one_byte_each = self.encoding in _SINGLE_BYTE or self.encoding == WINDOWS_1252
        if one_byte_each or (self.encoding == "utf-8" and self.utf8.isascii()):
            return {offset: self.mark + offset for offset in offsets}
        places = {}
        done, size = 0, self.mark
        for offset in sorted(set(offsets)):
            size += len(text[done:offset].encode(self.encoding))
            done = offset
            places[offset] = size
        return places


def decode(data: bytes) -> Decoded:
    """Return the file as text.

    A byte order mark wins, then zero bytes (UTF-16, UTF-32), then strict UTF-8 whatever is
    declared, then the declared encoding, then Windows-1252. Raises NotTextError where a wide
    encoding is broken.
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return _marked(data, encoding, len(mark))
    width = _width_by_zeros(data)
    if width is not None:
        return _wide(data, width, 0)
    declared = _declared(data)
    codec = _codec(declared)
    if data.isascii():
        fits = declared is None or (codec is not None and codec not in _WIDE)
        return Decoded(
            data, data, "utf-8", 0, None if fits else Doubt(declared or "none", "ASCII", False)
        )
    return _narrow(data, declared, codec)


def _declared(data: bytes) -> str | None:
    match = _DECLARATION.match(data)
    return match[1].decode("ascii") if match else None


def _codec(declared: str | None) -> str | None:
    # Only plain character sets: Python also knows codecs that unpack archives or run escapes.
    if declared is None:
        return None
    try:
        name = codecs.lookup(declared).name
    except (LookupError, ValueError):
        return None
    allowed = name in _SINGLE_BYTE or name in _MULTI_BYTE or name in _WIDE
    return name if allowed or name in ("utf-8", "ascii") else None


def _marked(data: bytes, encoding: str, size: int) -> Decoded:
    if encoding != "utf-8":
        return _wide(data, encoding, size)
    body = data[size:]
    declared = _declared(body)
    try:
        body.decode("utf-8")
    except UnicodeDecodeError:
        text = codecs.charmap_decode(body, "strict", _windows_1252_table())[0]
        doubt = Doubt("UTF-8 (by its byte order mark)", "Windows-1252", True)
        return Decoded(data, text.encode("utf-8"), WINDOWS_1252, size, doubt)
    if declared is None or _codec(declared) == "utf-8":
        return Decoded(data, body, "utf-8", size)
    return Decoded(data, body, "utf-8", size, Doubt(declared, "UTF-8", not body.isascii()))


def _width_by_zeros(data: bytes) -> str | None:
    """Return the wide encoding that the zero bytes around the first two ASCII characters show."""
    return _ZEROS.get(tuple(byte == 0 for byte in data[:4]))


def _wide(data: bytes, encoding: str, size: int) -> Decoded:
    try:
        text = data[size:].decode(encoding)
        utf8 = text.encode("utf-8")
    except UnicodeError as error:
        raise NotTextError(encoding.upper()) from error
    match = _WIDE_DECLARATION.match(text)
    family = encoding[:6]
    if match is None or (_codec(match[1]) or "").startswith(family):
        return Decoded(data, utf8, encoding, size)
    return Decoded(data, utf8, encoding, size, Doubt(match[1], family.upper(), not text.isascii()))


def _narrow(data: bytes, declared: str | None, codec: str | None) -> Decoded:
    if codec in _MULTI_BYTE:
        assert codec is not None
        try:
            return Decoded(data, data.decode(codec).encode("utf-8"), codec)
        except UnicodeError:
            pass
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return _eight_bit(data, declared, codec)
    if declared is None or codec == "utf-8":
        return Decoded(data, data, "utf-8")
    return Decoded(data, data, "utf-8", 0, Doubt(declared, "UTF-8", True))


def _eight_bit(data: bytes, declared: str | None, codec: str | None) -> Decoded:
    if codec in _SINGLE_BYTE and codec not in (LATIN_1, "cp1252"):
        assert codec is not None
        try:
            return Decoded(data, data.decode(codec).encode("utf-8"), codec)
        except UnicodeDecodeError:
            pass
    text = codecs.charmap_decode(data, "strict", _windows_1252_table())[0]
    utf8 = text.encode("utf-8")
    if codec == "cp1252":
        return Decoded(data, utf8, WINDOWS_1252)
    if codec == LATIN_1 and text == data.decode("latin-1"):
        return Decoded(data, utf8, LATIN_1)
    return Decoded(data, utf8, WINDOWS_1252, 0, Doubt(declared or "none", "Windows-1252", True))
