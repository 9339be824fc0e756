"""A water report as its table was copied from a PDF or a web page, or exported as CSV.

Each line is read by itself: a name that water works print, figures, a unit. What a line gives goes
into the same reader as the rows of a TOML report; why nothing was taken from a line is kept.
"""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from recipe_tools.reference.report_names import ReportRow, report_column
from recipe_tools.water_report.naming import row_called
from recipe_tools.water_report.not_toml import kind_of
from recipe_tools.water_report.pasted_figures import (
    SLOTS,
    Figures,
    Slot,
    figures_of,
    is_unit,
    without_noise,
    without_temperature,
)
from recipe_tools.water_report.pasted_headings import PLAIN_FIGURE, heading_of
from recipe_tools.water_report.printed import word_for_none
from recipe_tools.water_report.records import ReportError, WaterReport, report_from_table

MOST_LINES = 2_000
LONGEST_LINE = 400
LONGEST_NAME_WORDS = 12
_CODE_PAGES = ("cp1252", "cp1250")
_IN_MG_L = frozenset(
    {"calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate", "nitrate"}
    | {"bicarbonate", "carbonate", "silica", "chlorine"}
)
"""Rows that are printed in mg/L wherever no unit is printed (common practice, no source)."""
_WITHOUT_UNIT = frozenset({"ph", "end_point_ph"})
_AT_A_TEMPERATURE = frozenset({"conductivity", "total_dissolved_solids"})
_CONDITION = frozenset(
    {"dissolved", "filtered", "total", "totale", "totaal", "gesamt", "gelöst", "dissous"}
    | {"opgelost", "disuelto", "disciolto", "rozpuštěný", "rozpuszczony", "ion", "ions", "jon"}
)
_NUMBERING = re.compile(r"^\s*(?:[-*•·▪]|\d{1,3}[.)]?)\s+")
_DIGIT = re.compile(r"\d")
_ALIKE = 0.10
"""Part by which a figure stated twice may differ and still be the same (derived_default)."""


class PastedLine(NamedTuple):
    """What became of one line. number: from 1. key: our row, empty where nothing was taken.

    value: the figure as it goes into a report. why: why nothing was taken, empty where it was.
    """

    number: int
    text: str
    key: str = ""
    value: Any = ""
    why: str = ""
    taken_in_mg_l: bool = False


class Pasted(NamedTuple):
    """A copied table. lines: those with a figure; passed_over: number of those without."""

    report: WaterReport
    table: Mapping[str, Any]
    lines: tuple[PastedLine, ...]
    passed_over: int


def read_pasted(data: bytes) -> Pasted:
    """Return the report in a copied table. Raises ReportError where no line of it is understood."""
    if kind := kind_of(data):
        raise ReportError(kind)
    lines, passed_over, average = max(
        (_lines(text) for text in _decoded(data)),
        key=lambda found: sum(bool(line.key) for line in found[0]),
    )
    table: dict[str, Any] = {line.key: line.value for line in lines if line.key}
    if not table:
        raise ReportError(
            "holds no line that is understood; a line is a name, a figure and a unit, such as "
            "Calcium 62 mg/L"
        )
    if average:
        table["kind"] = "average"
    return Pasted(report_from_table(table), table, tuple(lines), passed_over)


def read_line(text: str, name: str) -> PastedLine:
    """Read a line that somebody typed; it is about the row of that name where it names none."""
    row, _ = _name(text)
    line = text if row else f"{name} {text}"
    return _line(1, line, [line], ())[0]


def shown_value(value: Any) -> str:
    """Return the figure of a line as people read it."""
    if not isinstance(value, Mapping):
        return str(value)
    ends = [f"{name} {text}" for name, text in value.items() if name != "unit"]
    return f"{', '.join(ends)} {value.get('unit', '')}".rstrip()


def _decoded(data: bytes) -> Iterator[str]:
    """Yield the text, or what it may be in code pages that spreadsheets write."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        yield data.decode("utf-16", "replace")
        return
    try:
        yield data.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError:
        yield from (data.decode(page, "replace") for page in _CODE_PAGES)


def _lines(text: str) -> tuple[list[PastedLine], int, bool]:
    """Return what became of the lines with a figure, how many have none, and if they are means."""
    texts = text.splitlines()
    if len(texts) > MOST_LINES:
        raise ReportError(f"has more than {MOST_LINES} lines, the most that are read")
    separator = _separator(texts)
    heading: list[Slot] = []
    result: list[PastedLine] = []
    passed_over = 0
    average = False
    for number, line in _joined(texts, separator):
        cells = _cells(line, separator)
        if columns := heading_of(cells):
            heading = columns
            average |= any(slot.kind in ("mean", "min", "max") for slot in columns)
            passed_over += 1
        elif len(line) > LONGEST_LINE:
            result.append(PastedLine(number, line[:80], why="it is too long"))
        elif _DIGIT.search(without_noise(line)) or any(map(word_for_none, cells[1:])):
            for read in _line(number, line, cells, heading):
                _keep(read, result)
        else:
            average |= any(report_column(word) == "mean" for word in line.split())
            passed_over += bool(line.strip())
    average |= any(isinstance(line.value, dict) for line in result)
    return result, passed_over, average


def _keep(read: PastedLine, result: list[PastedLine]) -> None:
    """Take a line in, without its figure where that stands already; of chlorine the larger one."""
    place = next((at for at, line in enumerate(result) if line.key and line.key == read.key), None)
    result.append(read)
    if place is not None:
        out, kept = len(result) - 1, place
        if read.key == "chlorine" and _middle(read) > _middle(result[place]):
            out, kept = kept, out
        otherwise = "" if _alike(result[place], read) else ", and otherwise"
        why = f"{read.key.replace('_', ' ')} is taken from line {result[kept].number}{otherwise}"
        result[out] = result[out]._replace(key="", value="", why=why)


def _alike(one: PastedLine, other: PastedLine) -> bool:
    first, second = _middle(one), _middle(other)
    return abs(first - second) <= _ALIKE * max(first, second)


def _middle(line: PastedLine) -> float:
    """Return the best value of a line in the unit of its row."""
    report = report_from_table({line.key: line.value})
    found = (
        report.ions_mg_l[line.key].best if line.key in report.ions_mg_l else None,
        report.chlorine_mg_l,
        None if report.hardness_meq_l is None else report.hardness_meq_l.best,
        None if report.ph is None else report.ph.best,
        report.conductivity_us_cm,
        report.total_dissolved_solids_mg_l,
        report.temperature_c,
    )
    return next((value for value in found if value is not None), report.alkalinity_meq_l.best)


def _separator(texts: Sequence[str]) -> str:
    """Return the sign between the cells of a table, an empty text for one without."""
    lines = [line for line in texts if _DIGIT.search(line)][:200]
    for sign in "\t;|":
        if 2 * sum(sign in line for line in lines) > len(lines):
            return sign
    # Not the comma of a decimal, nor one within a sentence.
    commas = sum(bool(re.match(r'[^,]*[^\d,],(?!\s)|[^,]*[A-Z]\w*\d,"?\d', line)) for line in lines)
    return "," if 2 * commas > len(lines) else ""


def _cells(line: str, separator: str) -> list[str]:
    if not separator or separator not in line or len(line) > LONGEST_LINE:
        return [line.strip()]
    try:
        cells = next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        cells = line.split(separator)
    return [" ".join(cell.split()) for cell in cells]


def _joined(texts: Sequence[str], separator: str) -> Iterator[tuple[int, str]]:
    """Yield numbered lines; cells that were copied one below the other are put together."""
    place = 0
    while place < len(texts):
        number, line = place + 1, texts[place][: LONGEST_LINE + 1]
        place += 1
        if not separator and _is_name(line):
            for following in texts[place : place + 4]:
                text = following.strip()
                if not text or _is_name(text) or not (_is_figure(text) or is_unit(text)):
                    break
                line += f" {text}"
                place += 1
        yield number, line


def _is_name(line: str) -> bool:
    return len(line) <= 100 and row_called(line.strip(" :.…")) is not None


def _is_figure(text: str) -> bool:
    """Tell whether a line is nothing but a figure, with or without its unit."""
    figures = figures_of(text, "", ())
    return len(text) <= 40 and bool(figures.values) and row_called(text.split()[0]) is None


def _line(
    number: int, line: str, cells: Sequence[str], heading: Sequence[Slot]
) -> Sequence[PastedLine]:
    """Return what a line says: a row, and the temperature its conductivity was measured at."""
    shown = PastedLine(number, " ".join(line.split())[:200])
    in_cells = len(cells) > 2 and len(cells) == len(heading)
    text = " ".join(cells)
    if in_cells:
        kinds = [slot.kind for slot in heading]
        text = cells[kinds.index("name") if "name" in kinds else 0]
    row, rest = _name(_NUMBERING.sub("", text, count=1) if not _name(text)[0] else text)
    if row is None:
        return [shown._replace(why="its name is none of the figures that count for brewing water")]
    at = ""
    if in_cells:
        figures, at = _in_cells(cells, heading, row)
    else:
        rest = without_noise(rest)
        if row.key in _AT_A_TEMPERATURE:
            rest, at = without_temperature(rest)
        figures = figures_of(rest, row.key, [slot for slot in heading if slot.kind in SLOTS])
    if row.key == "chloramine":
        why = "write it into the report by hand, under chlorine, and chloramine = true beside it"
        return [shown._replace(why=why)]
    if figures.why or not figures.values:
        return [shown._replace(why=figures.why or "it holds no figure")]
    read = _settled(shown, row, figures)
    if at and row.key == "conductivity" and read.key and at != "25":
        extra = shown._replace(key="conductivity_temperature", value=f"{at} °C")
        return [read, extra]
    return [read]


def _name(text: str) -> tuple[ReportRow | None, str]:
    """Return the row the longest beginning of a text names, and the rest of it."""
    words = text.split()
    for length in range(min(len(words), LONGEST_NAME_WORDS), 0, -1):
        row = _called(words[:length])
        if row is not None:
            if PLAIN_FIGURE.fullmatch(words[length - 1]) and not _DIGIT.search(
                "".join(words[length:])
            ):
                # ``Ca 2`` looks like its ion, but then the line had no figure.
                length -= _called(words[: length - 1]) is not None
            rest = words[length:]
            while rest and _says_nothing_new(rest[0], row):
                del rest[0]
            return row, " ".join(rest)
    return None, ""


def _called(words: Sequence[str]) -> ReportRow | None:
    if not words or not any(map(str.isalnum, words[-1])):
        return None
    return row_called(" ".join(words).strip(" :.…=,"))


def _says_nothing_new(word: str, row: ReportRow) -> bool:
    plain = word.strip("()[],:.…")
    if not plain:
        return True
    again = row_called(plain) if plain else None
    return (again is not None and again.key == row.key) or plain.casefold() in _CONDITION


def _in_cells(cells: Sequence[str], heading: Sequence[Slot], row: ReportRow) -> tuple[Figures, str]:
    """Return the figures of a row whose cells stand under a heading, each by itself."""
    values: dict[str, str] = {}
    unit = basis = at = ""
    for cell, slot in zip(cells, heading, strict=True):
        if slot.kind == "unit":
            if row.key in _AT_A_TEMPERATURE:
                cell, at = without_temperature(cell)
            said = figures_of(f"1 {cell}", row.key, ())
            unit, basis = said.unit, said.basis
            if said.why and row.key not in _WITHOUT_UNIT:
                return said, ""
        elif slot.kind in ("value", "min", "mean", "max") and cell:
            if word_for_none(cell) == "unstated":
                continue
            said = figures_of(cell, row.key, ())
            if said.why or said.values.keys() != {"value"}:
                return said._replace(
                    why=said.why or "a cell holds the figure of another column"
                ), ""
            values[slot.kind] = said.values["value"]
            unit = unit or said.unit or slot.unit
            basis = basis or said.basis
    return Figures(values, unit, basis), at


def _settled(shown: PastedLine, row: ReportRow, figures: Figures) -> PastedLine:
    """Return the line with the value it gives, or with the reason why it gives none."""
    values = dict(figures.values)
    if "mean" not in values and "value" in values:
        values["mean"] = values.pop("value")
    values.pop("value", None)
    unit, usual_unit = figures.unit, row.unit
    if row.key in _WITHOUT_UNIT:
        unit = usual_unit = ""
    elif not unit and not usual_unit:
        if row.key not in _IN_MG_L and not all(map(word_for_none, values.values())):
            return shown._replace(why="it has no unit")
        usual_unit = "mg/L"
    basis = figures.basis or ("" if unit and not _is_mass(unit) else row.basis)
    whole = unit or usual_unit
    whole = f"{whole} as {basis}" if basis and whole else whole
    value: Any = (
        {**values, "unit": whole} if len(values) > 1 else f"{values.get('mean', '')} {whole}"
    )
    if isinstance(value, str):
        if "mean" not in values:
            return shown._replace(why="it holds one end of a span only")
        value = values["mean"] if word_for_none(values["mean"]) else value.strip()
    elif not whole:
        del value["unit"]
    try:
        report_from_table({row.key: value})
    except ReportError as error:
        return shown._replace(why=f"the figure {str(error).removeprefix(row.key).strip()}")
    in_mg_l = not unit and not row.unit and row.key not in _WITHOUT_UNIT
    return shown._replace(key=row.key, value=value, taken_in_mg_l=in_mg_l)


def _is_mass(unit: str) -> bool:
    return bool(re.match(r"[mµμu]?g|pp[mb]", unit))
