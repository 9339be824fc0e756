"""What was learnt from kept readings, and how well the last ones were predicted."""

from __future__ import annotations

import json
from collections.abc import Iterator
from math import sqrt
from typing import TYPE_CHECKING, Any, NamedTuple

from recipe_tools import __version__
from recipe_tools.readings.learning import HALF_WIDTH_SD, LOT_MARK, OFFSET, OFFSET_SD
from recipe_tools.reports.escaping import json_visible, markdown_inline
from recipe_tools.reports.json_report import number
from recipe_tools.reports.terminal import PLAIN, Ink, visible, wrapped
from recipe_tools.results import SCHEMA_VERSION

if TYPE_CHECKING:
    from recipe_tools.readings import KeptReading, Readings

SHOWN = 10


class Shift(NamedTuple):
    """What was learnt of one input. ph: shift of a typical mash, with its 95 % half-width."""

    id: str
    label: str
    ph: float
    half_width: float


class Past(NamedTuple):
    """A kept reading beside what was expected of it then."""

    reading: KeptReading
    ph: float
    expected: float
    half_width: float
    without: float
    outlier: bool


def shifts(readings: Readings) -> list[Shift]:
    """Return what was learnt of each input that moves a mash by 0.01 or more, largest first."""
    typical: dict[str, list[float]] = {OFFSET: [OFFSET_SD]}
    for item in readings.entries:
        for name, s in item.expected.sensitivities.items():
            typical.setdefault(name, []).append(s)
    found = []
    for name in readings.learnt.belief.names:
        if name not in typical:
            continue
        s = sqrt(sum(value * value for value in typical[name]) / len(typical[name]))
        sign = 1.0 if sum(typical[name]) >= 0.0 else -1.0
        mean, deviation = readings.learnt.belief.input(name)
        shift = Shift(name, label_of(name), sign * s * mean, HALF_WIDTH_SD * s * deviation)
        if abs(shift.ph) >= 0.005 or shift.half_width >= 0.05:
            found.append(shift)
    return sorted(found, key=lambda item: (-abs(item.ph), item.id))


def label_of(name: str) -> str:
    """Return an input in words."""
    plain, _, lot = name.partition(LOT_MARK)
    kind, _, group = plain.partition(":")
    words = {
        OFFSET: "your meter and habits",
        "crush": "your crush",
        "calcium_magnesium": "how strongly calcium and magnesium act",
        "calcium_above_linear": "what calcium above 100 mg/L still does",
        "dilution": "how far thinning moves the pH",
        "alkalinity": "alkalinity of the water",
        "water_ph": "pH of the water",
    }
    text = words.get(plain)
    if text is None:
        malt = group.replace("_", " ") or kind
        text = f"{'buffer' if kind == 'malt_buffer' else 'pH'} of {malt} malt"
    if lot:
        text += f", lot {lot}" if kind.startswith("malt") else " of one report"
    return text


def past(readings: Readings) -> list[Past]:
    """Return the last readings as they were expected, oldest first."""
    from recipe_tools.readings import cooled

    found = []
    for item in readings.learnt.comparisons[-SHOWN:]:
        kept = readings.entries[item.reading]
        ph = cooled(kept.mash_ph, kept.celsius).best
        found.append(
            Past(kept, ph, item.expected, item.half_width, kept.expected.predicted, item.is_outlier)
        )
    return found


def errors(rows: list[Past]) -> tuple[float, float]:
    """Return the root mean square error with and without what was learnt."""
    taught = sqrt(sum((row.ph - row.expected) ** 2 for row in rows) / len(rows))
    plain = sqrt(sum((row.ph - row.without) ** 2 for row in rows) / len(rows))
    return taught, plain


def render(name: str, readings: Readings, ink: Ink = PLAIN) -> str:
    """Return what was learnt as ``text``, ``json``, ``markdown`` or ``html``."""
    if name == "json":
        return _json(readings)
    if name == "markdown":
        return "\n".join(_markdown(readings)) + "\n"
    if name == "html":
        return _html(readings)
    return "\n".join(_text(readings, ink)) + "\n"


def _heading(readings: Readings) -> str:
    count = readings.learnt.used
    return f"Learnt from {count} reading{'' if count == 1 else 's'}"


def _closing(rows: list[Past]) -> str:
    taught, plain = errors(rows)
    return (
        f"The last {len(rows)} lay {taught:.2f} beside what was expected of them by then (root "
        f"mean square), {plain:.2f} beside what would have been without readings."
    )


def _shift_text(item: Shift) -> str:
    return f"{item.label}: {item.ph:+.2f}, give or take {item.half_width:.2f}"


def _text(readings: Readings, ink: Ink) -> Iterator[str]:
    yield ink(_heading(readings), "strong")
    for item in shifts(readings):
        yield from wrapped(visible(_shift_text(item)), first="  - ", rest="    ")
    rows = past(readings)
    yield ""
    yield ink("How they compare", "strong")
    yield f"  {'date':<12}{'read':>6}{'expected':>10}{'give or take':>14}{'without':>9}  recipe"
    for row in rows:
        mark = "  (far off: counted for less)" if row.outlier else ""
        name = visible(row.reading.name)[:24]
        yield (
            f"  {row.reading.date:<12}{row.ph:>6.2f}{row.expected:>10.2f}{row.half_width:>14.2f}"
            f"{row.without:>9.2f}  {name}{mark}"
        )
    yield from wrapped(_closing(rows), first="  ", rest="  ")


def _markdown(readings: Readings) -> Iterator[str]:
    yield f"# {_heading(readings)}"
    yield ""
    for item in shifts(readings):
        yield f"- {markdown_inline(_shift_text(item))}"
    rows = past(readings)
    yield ""
    yield "| date | recipe | read | expected | give or take | without readings |"
    yield "|---|---|--:|--:|--:|--:|"
    for row in rows:
        yield (
            f"| {row.reading.date} | {markdown_inline(row.reading.name)} | {row.ph:.2f} | "
            f"{row.expected:.2f} | {row.half_width:.2f} | {row.without:.2f} |"
        )
    yield ""
    yield _closing(rows)


def _json(readings: Readings) -> str:
    document: dict[str, Any] = {
        "schema_version": SCHEMA_VERSION,
        "tool": {"name": "recipe-tools", "version": __version__},
        "readings_used": readings.learnt.used,
        "learnt": [
            {
                "id": item.id,
                "label": item.label,
                "shift_ph": number(item.ph),
                "half_width": number(item.half_width),
            }
            for item in shifts(readings)
        ],
        "last": [
            {
                "recipe": row.reading.recipe,
                "name": row.reading.name,
                "date": row.reading.date,
                "ph_at_25": number(row.ph),
                "expected": number(row.expected),
                "half_width": number(row.half_width),
                "without_readings": number(row.without),
                "outlier": row.outlier,
            }
            for row in past(readings)
        ],
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
    return "".join(f"{json_visible(line)}\n" for line in text.split("\n"))


def _html(readings: Readings) -> str:
    from recipe_tools.reports.page import environment, part, policy
    from recipe_tools.reports.pictures import PhRow, ph_rows_picture

    style = part("report.css")
    rows = past(readings)
    pictured = [
        PhRow(
            row.reading.date, row.expected - row.half_width, row.ph, row.expected + row.half_width
        )
        for row in rows
    ]
    context = {
        "version": __version__,
        "style": style,
        "policy": policy(style),
        "heading": _heading(readings),
        "shifts": [_shift_text(item) for item in shifts(readings)],
        "picture": ph_rows_picture("learnt", "The last readings, oldest first", pictured),
        "rows": rows,
        "closing": _closing(rows),
    }
    page: str = environment().get_template("learnt.html").render(context)
    return page.rstrip("\n") + "\n"
