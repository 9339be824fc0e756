"""The file of readings: appended without touching what is there, or refused with a line."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recipe_tools.measuring.keeping import keep
from recipe_tools.readings.file import ReadingsError, appended, parse_readings, written
from recipe_tools.readings.records import Expected, KeptReading

TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=12).filter(
    lambda text: "\0" not in text
)
NAMES = TEXTS.filter(str.strip)
READINGS = st.builds(
    KeptReading,
    recipe=NAMES,
    name=TEXTS,
    date=st.dates().map(lambda day: day.isoformat()),
    mash_ph=st.floats(4.0, 7.0),
    expected=st.builds(
        lambda best, down, up, shifts: Expected(best, best - down, best + up, shifts),
        st.floats(4.0, 7.0),
        st.floats(0.0, 1.0),
        st.floats(0.0, 1.0),
        st.dictionaries(
            st.sampled_from(["crush", "malt_ph:munich@17", "alkalinity@ab12", "thickness"]),
            st.floats(-1.0, 1.0),
            max_size=4,
        ),
    ),
    celsius=st.none() | st.floats(0.0, 80.0),
    minutes=st.none() | st.floats(5.0, 90.0),
    added=st.lists(TEXTS, max_size=3).map(tuple),
    lots=st.dictionaries(TEXTS, NAMES, max_size=2),
    line=st.just(0),
)
ONE = KeptReading(
    "ales/mild.xml", "Mild", "2026-11-01", 5.62, Expected(5.7, 5.5, 5.9, {"crush": -0.01})
)


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(READINGS, max_size=3))
def test_what_is_appended_is_read_back_and_nothing_else_moves(readings: list[KeptReading]) -> None:
    data = b""
    for reading in readings:
        grown = appended(data, reading)
        assert grown.startswith(data)
        data = grown
    found = parse_readings(data) if data else ()
    assert [item._replace(line=0) for item in found] == readings
    for item in found:
        assert data.decode("utf-8").split("\n")[item.line - 1] == "[[reading]]"


def test_a_file_edited_by_hand_is_understood() -> None:
    data = (
        b"\xef\xbb\xbf# mine\r\n[[reading]]\r\nrecipe='a.xml'\r\nname=''\r\ndate='2026-01-02'\r\n"
        b"mash_ph = 5.5\r\nexpected = {predicted = 5.6, low = 5.4, high = 5.8}\r\n"
    )
    (found,) = parse_readings(data)
    assert (found.recipe, found.date, found.mash_ph, found.line) == ("a.xml", "2026-01-02", 5.5, 2)
    grown = appended(data, ONE)
    assert grown.startswith(data)
    assert b"\n" not in grown[len(data) :].replace(b"\r\n", b"")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("mash_ph = 5.62", "mash_ph = 9.1"), "line 3: mash_ph is not a number from 4 to 7"),
        (("mash_ph = 5.62", "mash_pH = 5.62"), "line 3: mash_pH is not known here"),
        (("date = 2026-11-01", 'date = "tomorrow"'), "line 3: date is not a day"),
        (('recipe = "ales/mild.xml"', "recipe = 3"), "line 3: recipe is not a text"),
        (("low = 5.5", "low = 5.8"), "line 3: expected: predicted does not lie between"),
        (("crush -0.01", "crush"), "line 3: expected.sensitivities is not a text of names"),
        (("expected =", "expect ="), "line 3: expect is not known here; the nearest is expected"),
        (("[[reading]]", "[[readings]]"), "readings is not known here; the nearest is reading"),
        (("mash_ph = 5.62", "mash_ph = "), "is not valid TOML (line 7"),
    ],
)
def test_an_entry_that_cannot_be_understood_is_refused_with_its_line(
    change: tuple[str, str], said: str
) -> None:
    text = "# kept\n\n" + written(ONE)
    assert change[0] in text
    with pytest.raises(ReadingsError) as error:
        parse_readings(text.replace(*change).encode())
    assert said in str(error.value)
    for secret in ("ales/mild.xml", "tomorrow", "9.1"):
        assert secret not in str(error.value)


def test_the_same_reading_is_kept_once(tmp_path: Path) -> None:
    path = tmp_path / "readings.toml"
    assert keep(path, ONE, root=tmp_path)
    before = path.read_bytes()
    assert not keep(path, ONE, root=tmp_path)
    assert path.read_bytes() == before
    assert keep(path, ONE._replace(minutes=20.0), root=tmp_path)


def test_a_broken_file_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "readings.toml"
    path.write_bytes(b"[[reading]]\nmash_ph = 1\n")
    with pytest.raises(ReadingsError):
        keep(path, ONE, root=tmp_path)
    assert path.read_bytes() == b"[[reading]]\nmash_ph = 1\n"


@pytest.mark.skipif(sys.platform == "win32", reason="the system has no SIGKILL")
def test_a_killed_run_loses_no_reading(tmp_path: Path) -> None:
    """Killed at any moment, the file holds all readings that were kept before, whole."""
    path = tmp_path / "readings.toml"
    script = (
        "import sys; from pathlib import Path\n"
        "from recipe_tools.measuring.keeping import keep\n"
        "from recipe_tools.readings.records import *\n"
        "e = Expected(5.7, 5.5, 5.9, {'crush': -0.01})\n"
        "for n in range(int(sys.argv[1]), 2000):\n"
        "    keep(Path('readings.toml'), KeptReading('a.xml', 'A', '2026-11-01', 5.5, e,"
        " minutes=5.0 + n / 10), root=Path())\n"
        "    print(n, flush=True)\n"
    )
    env = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])}
    chance = random.Random(3)
    start = 0
    for _ in range(4):
        process = subprocess.Popen(
            [sys.executable, "-c", script, str(start)],
            cwd=tmp_path,
            env=env,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(chance.random() * 0.3)
        process.kill()
        said = process.stdout.read()
        process.wait(10)
        found = parse_readings(path.read_bytes())
        minutes = [item.minutes or 0.0 for item in found]
        assert minutes == sorted(minutes)
        least = 1 + (max((int(line) for line in said.split()), default=start))
        assert len(found) >= least
        start = len(found)
    assert start > 8


def test_what_a_long_file_teaches_is_remembered_and_never_trusted(tmp_path: Path) -> None:
    from recipe_tools.readings.remembered import WORTH_BYTES, read_remembered

    path, memory = tmp_path / "readings.toml", tmp_path / "memory"
    dice = random.Random(5)
    data = b""
    while len(data) <= WORTH_BYTES:
        number = dice.uniform(5.4, 5.8)
        data = appended(data, ONE._replace(mash_ph=number, recipe=f"{number}.xml"))
    path.write_bytes(data)
    plain = read_remembered(path, None)
    first, again = (read_remembered(path, memory) for _ in range(2))
    (kept,) = memory.iterdir()
    for found in (first, again):
        assert found.entries == plain.entries
        assert found.digest == plain.digest
        assert found.learnt.comparisons == plain.learnt.comparisons
        assert found.learnt.expect(5.5, {"crush": 0.1}) == plain.learnt.expect(5.5, {"crush": 0.1})
    for damage in (b"", b"{}", kept.read_bytes()[:-9], b'{"entries": 3}'):
        kept.write_bytes(damage)
        assert read_remembered(path, memory).entries == plain.entries
    path.write_bytes(appended(data, ONE))
    assert len(read_remembered(path, memory).entries) == len(plain.entries) + 1
