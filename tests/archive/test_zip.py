"""Zip archives: read like folders, within limits, whatever they say about themselves."""

from __future__ import annotations

import io
import stat
import struct
import tracemalloc
import zipfile
from pathlib import Path

import pytest

from recipe_tools.archive.zip_archive import DEFAULT_ZIP_LIMITS, ZipError, ZipLimits, ZipReader
from recipe_tools.findings import Finding
from recipe_tools.limits import MEBIBYTE
from tests.archive.conftest import FAULTY, PLAIN, XML, write
from tests.cli.conftest import Run

BIG = 64 * MEBIBYTE


def packed(members: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Return a zip archive."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as archive:
        for name, data in members.items():
            archive.writestr(zipfile.ZipInfo(name), data, compress_type=method)
    return buffer.getvalue()


def contents(
    path: Path,
    limits: ZipLimits = DEFAULT_ZIP_LIMITS,
    max_bytes: int = BIG,
) -> dict[str, bytes | Finding]:
    with ZipReader(path, limits) as reader:
        return {item.name: reader.read(item, max_bytes) for item in reader.members()}


def refusals(path: Path, **limits: int) -> dict[str, str]:
    """Return the rule that refuses each member that is not read."""
    return {
        name: content.rule
        for name, content in contents(path, ZipLimits(**limits)).items()
        if isinstance(content, Finding)
    }


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "club.zip"


def test_an_archive_gives_what_its_folder_gives(run: Run, here: Path) -> None:
    members = {"ales/mild.xml": XML, "b.json": FAULTY, "photo.jpg": b"\xff\xd8", "notes": PLAIN}
    write(here / "club", members)
    (here / "packed").mkdir()
    (here / "packed" / "club.zip").write_bytes(packed(members))
    from_folder = run("audit", "club", "--format", "json").json
    from_zip = run("audit", "packed/club.zip", "--format", "json").json
    for report in (from_folder, from_zip):
        for entry in report["files"]:
            entry["path"] = entry["path"].removeprefix("packed/").replace("club.zip/", "club/")
    assert from_zip["files"] == from_folder["files"]
    assert from_zip["summary"] == from_folder["summary"]


def test_an_archive_is_met_in_a_folder(run: Run, here: Path) -> None:
    write(here / "club", {"a.xml": XML, "box.zip": packed({"in/b.xml": XML}), "c.xml": XML})
    report = run("audit", "club", "--format", "json").json
    assert [entry["path"] for entry in report["files"]] == [
        "club/a.xml",
        "club/box.zip/in/b.xml",
        "club/c.xml",
    ]


@pytest.mark.parametrize(
    "name", ["/etc/mild.xml", "../mild.xml", "a/../../mild.xml", "C:/mild.xml", "\\mild.xml"]
)
def test_hostile_names_are_not_read(file: Path, name: str) -> None:
    file.write_bytes(packed({name: XML, "good.xml": XML}))
    assert list(refusals(file).values()) == ["archive/member-name"]


def test_a_link_is_not_followed(file: Path) -> None:
    link = zipfile.ZipInfo("link.xml")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(link, "/etc/passwd")
    assert refusals(file) == {"link.xml": "archive/member-name"}


@pytest.mark.parametrize("name", ["", "\0mild.xml"])
def test_a_member_without_a_name_costs_itself_only(run: Run, here: Path, name: str) -> None:
    """Python 3.11 fails on such a member when it is asked whether it is a folder."""
    stand_in = "x" * len(name)
    data = packed({"a.xml": XML, stand_in: XML})
    if name:
        data = data.replace(stand_in.encode(), name.encode())
    (here / "club.zip").write_bytes(data)
    done = run("audit", "club.zip", "--format", "json")
    assert done.code == 0
    assert [entry["path"] for entry in done.json["files"]] == ["club.zip/a.xml"]
    assert done.json["summary"]["other"] == 1


def test_archives_within_are_not_opened(file: Path) -> None:
    file.write_bytes(packed({"inner.zip": packed({"mild.xml": XML}), "mild.xml": XML}))
    assert refusals(file) == {"inner.zip": "archive/damaged"}


def test_a_bomb_ends_at_its_ratio(file: Path) -> None:
    file.write_bytes(packed({"bomb.xml": b" " * (8 * MEBIBYTE), "mild.xml": XML}))
    assert file.stat().st_size < 20_000
    assert refusals(file) == {"bomb.xml": "archive/over-limit"}


def test_a_small_file_of_blanks_is_no_bomb(file: Path) -> None:
    file.write_bytes(packed({"blank.xml": b" " * 500_000}))
    assert refusals(file) == {}


def test_members_are_limited_each_and_together(file: Path) -> None:
    import random

    noise = random.Random(1).randbytes(300_000)
    file.write_bytes(packed({f"{place}.xml": noise for place in range(4)}))
    assert set(refusals(file, max_total_bytes=700_000).values()) == {"archive/over-limit"}
    assert len(refusals(file, max_total_bytes=700_000)) == 2
    assert refusals(file, max_total_bytes=1_200_000) == {}
    found = contents(file, max_bytes=100_000)
    assert {item.rule for item in found.values() if isinstance(item, Finding)} == {
        "archive/over-limit"
    }


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_methods_that_unpack_without_a_bound_are_not_read(file: Path, method: int) -> None:
    """Python bounds what a read gives for deflate alone; others give gigabytes from a chunk."""
    file.write_bytes(packed({"bomb.xml": b" " * (32 * MEBIBYTE), "mild.xml": XML}, method))
    tracemalloc.start()
    try:
        assert refusals(file) == dict.fromkeys(("bomb.xml", "mild.xml"), "archive/damaged")
        with ZipReader(file) as reader:
            assert [reader.start(item, 10) for item in reader.members()] == [b"", b""]
        assert tracemalloc.get_traced_memory()[1] < MEBIBYTE
    finally:
        tracemalloc.stop()


def test_members_that_share_their_packed_bytes_are_limited_together(file: Path) -> None:
    """A directory may name the same packed bytes a thousand times, each time within its ratio."""
    import random

    once = packed({"0000.xml": random.Random(1).randbytes(60_000) + b" " * (8 * MEBIBYTE)})
    at = once.index(b"PK\x01\x02")
    # Of one entry: 46 bytes, the name, no extra field (APPNOTE.TXT 4.3.12).
    entry, end = once[at : at + 46 + 8], bytearray(once[once.rindex(b"PK\x05\x06") :])
    entries = b"".join(entry.replace(b"0000.xml", b"%04d.xml" % place) for place in range(500))
    struct.pack_into("<HHL", end, 8, 500, 500, len(entries))
    file.write_bytes(once[:at] + entries + end)
    found = contents(file)
    unpacked = sum(len(content) for content in found.values() if isinstance(content, bytes))
    assert unpacked <= DEFAULT_ZIP_LIMITS.total_floor
    assert len(found) == 500
    # Later versions of Python refuse such members themselves.
    assert {item.rule for item in found.values() if isinstance(item, Finding)} <= {
        "archive/over-limit",
        "archive/damaged",
    }


def test_headers_that_lie_about_sizes_are_not_believed(file: Path) -> None:
    data = bytearray(packed({"mild.xml": b" " * (8 * MEBIBYTE)}))
    # The unpacked size, in the local header and in the directory (APPNOTE.TXT 4.3.7 and 4.3.12).
    struct.pack_into("<L", data, data.index(b"PK\x03\x04") + 22, 10)
    struct.pack_into("<L", data, data.index(b"PK\x01\x02") + 24, 10)
    file.write_bytes(bytes(data))
    assert len(refusals(file)) == 1


def test_the_number_of_members_is_limited(file: Path) -> None:
    file.write_bytes(packed({f"{place}.xml": b"" for place in range(50)}, zipfile.ZIP_STORED))
    with pytest.raises(ZipError) as caught, ZipReader(file, ZipLimits(max_members=20)) as reader:
        reader.members()
    assert caught.value.finding.rule == "archive/over-limit"


def test_a_directory_of_many_members_is_not_even_read(file: Path) -> None:
    data = bytearray(packed({"mild.xml": XML}))
    # Size of the directory in the end record (APPNOTE.TXT 4.3.16).
    struct.pack_into("<L", data, data.rindex(b"PK\x05\x06") + 12, 0xFFFFFFF0)
    file.write_bytes(bytes(data))
    with pytest.raises(ZipError) as caught:
        ZipReader(file)
    assert caught.value.finding.rule == "archive/over-limit"


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"PK\x05\x06" + b"\0" * 4, b"PK\x05\x06" * 9])
def test_what_is_no_archive_is_said(file: Path, data: bytes) -> None:
    file.write_bytes(data)
    with pytest.raises(ZipError) as caught:
        ZipReader(file)
    assert caught.value.finding.rule == "archive/damaged"


def test_damaged_and_encrypted_members_are_said(file: Path) -> None:
    data = bytearray(packed({"a.xml": XML, "b.xml": XML}, zipfile.ZIP_STORED))
    data[data.index(XML) + 30] ^= 1
    file.write_bytes(bytes(data))
    assert refusals(file) == {"a.xml": "archive/damaged"}
    encrypted = bytearray(packed({"a.xml": XML}))
    encrypted[encrypted.index(b"PK\x03\x04") + 6] |= 1
    encrypted[encrypted.index(b"PK\x01\x02") + 8] |= 1
    file.write_bytes(bytes(encrypted))
    assert refusals(file) == {"a.xml": "archive/damaged"}


@pytest.mark.parametrize("place", range(0, 400, 7))
def test_a_flipped_byte_never_escapes(file: Path, place: int) -> None:
    data = bytearray(packed({"a.xml": XML[:200], "b.xml": XML[:200]}))
    data[place % len(data)] ^= 0xFF
    file.write_bytes(bytes(data))
    try:
        contents(file)
    except ZipError as error:
        assert error.finding.rule.startswith("archive/")


def test_a_repeated_name_is_read_twice_and_told_apart(file: Path) -> None:
    with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(file, "w") as archive:
        archive.writestr("mild.xml", XML)
        archive.writestr("mild.xml", PLAIN)
    assert contents(file) == {"mild.xml": XML, "mild.xml (2)": PLAIN}


def test_a_damaged_archive_costs_itself_only(run: Run, here: Path) -> None:
    write(here / "club", {"box.zip": b"PK\x03\x04 no archive", "mild.xml": XML})
    done = run("audit", "club", "--format", "json")
    assert done.code == 3
    assert [(entry["path"], entry["status"]) for entry in done.json["files"]] == [
        ("club/box.zip", "not_checked"),
        ("club/mild.xml", "checked"),
    ]
