"""Inline SVG pictures of a brew day: ions in their ranges, mash pH on its scale, what moves it.

Each picture carries its content as text too (title and desc). Colours, line widths and type come
from the classes of the page, as its content security policy allows no style in the elements.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.reports.escaping import html_text

PH_SCALE = (4.8, 6.2)
_USUAL = "{:g} to {:g}".format(*WINDOW_PH)

_WIDTH = 440
_ION_LEFT, _ION_RIGHT = 90, 262
_COLUMNS = (304, 384, 438)
_BOTH_COLUMNS = (312, 358, 438)
_BAR_LEFT, _BAR_RIGHT = 140, 340
_STRIP_WIDTH, _STRIP_HEIGHT = 112, 14


@dataclass(frozen=True, slots=True)
class IonRow:
    """One ion of a liquor in mg/L. target: range of the style family; limit: of safe brewing.

    low, value, high: None where nobody states the ion. An open end of a target is None.
    side: ``above`` or ``below`` where a rule found the ion outside, else empty. instead: what is
    said in place of a scale where there is neither range nor limit. was: what it was before doses,
    in a picture of both.
    """

    label: str
    value: float | None
    low: float | None = None
    high: float | None = None
    target: tuple[float | None, float | None] | None = None
    limit: float | None = None
    side: str = ""
    instead: str = "no range"
    was: float | None = None


def ion_picture(name: str, title: str, rows: Sequence[IonRow]) -> str:
    """Return a picture with one scale from zero per ion. name: prefix of the ids in it.

    Where rows know what was before, that stands beside what is, and no figure of the limit.
    """
    both = any(row.was is not None for row in rows)
    names = ("before", "after", "range") if both else ("mg/L", "range", "limit")
    heads = zip(names, _columns(both), strict=True)
    body = [f'<text class="end faint" x="{x}" y="12">{head}</text>' for head, x in heads]
    body += [_ion_row(row, 36 + 24 * place, both) for place, row in enumerate(rows)]
    text = " ".join(_ion_words(row) for row in rows)
    return _svg(name, 24 * len(rows) + 22, title, text, body)


def _columns(both: bool) -> tuple[int, int, int]:
    return _BOTH_COLUMNS if both else _COLUMNS


def _ion_row(row: IonRow, y: int, both: bool) -> str:
    label = f'<text x="0" y="{y}">{html_text(row.label)}</text>'
    if row.value is None:
        return f'{label}<text class="faint" x="{_ION_LEFT}" y="{y}">not stated</text>'
    figures = (f"{row.value:.0f}", _range_figures(row.target), _figure(row.limit))
    if both:
        figures = (_figure(row.was), *figures[:2])
    parts = [label]
    # A scale that ends where the value happens to lie would look like a verdict.
    if row.target is None and row.limit is None:
        parts.append(f'<text class="faint" x="{_ION_LEFT}" y="{y}">{row.instead}</text>')
    else:
        parts += _ion_scale(row, row.value, y - 4)
    parts += [
        f'<text class="end{" strong" if place == both else ""}" x="{x}" y="{y}">{text}</text>'
        for place, (text, x) in enumerate(zip(figures, _columns(both), strict=True))
        if text
    ]
    if row.side:
        tip, foot = (y - 11, y) if row.side == "above" else (y, y - 11)
        x = _COLUMNS[0] + 5
        parts.append(f'<path class="arrow" d="M{x} {foot}h8l-4 {tip - foot}z"/>')
    return "".join(parts)


def _ion_scale(row: IonRow, value: float, line: int) -> list[str]:
    top = _top_of_scale(row)

    def at(level: float) -> float:
        return _ION_LEFT + (_ION_RIGHT - _ION_LEFT) * min(max(level, 0.0), top) / top

    parts = [f'<path class="axis" d="M{_ION_LEFT} {line}H{_ION_RIGHT}"/>']
    if row.target is not None:
        low, high = row.target
        start, end = at(low or 0.0), at(top if high is None else high)
        width = _number(max(end - start, 2.0))
        parts.append(
            f'<rect class="target" x="{_number(start)}" y="{line - 6}" width="{width}"'
            ' height="12"/>'
        )
    if row.limit is not None:
        parts.append(f'<path class="limit" d="M{_number(at(row.limit))} {line - 9}v18"/>')
    if row.low is not None and row.high is not None and row.high > row.low:
        ends = f"M{_number(at(row.low))} {line}H{_number(at(row.high))}"
        parts.append(f'<path class="band" d="{ends}"/>')
    kind = "value outside" if row.side else "value"
    parts.append(f'<path class="{kind}" d="M{_number(at(value))} {line - 9}v18"/>')
    if row.was is not None:
        parts.append(_before_mark(at(row.was), line))
    return parts


def _before_mark(x: float, y: float) -> str:
    return f'<circle class="was" cx="{_number(x)}" cy="{_number(y)}" r="4.5"/>'


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.0f}"


def _range_figures(ends: tuple[float | None, float | None] | None) -> str:
    if ends is None or ends == (None, None):
        return ""
    low, high = ends
    if high is None:
        return f"≥ {low:.0f}"
    return f"≤ {high:.0f}" if low is None else f"{low:.0f}–{high:.0f}"


def _top_of_scale(row: IonRow) -> float:
    marks = [row.value or 0.0, row.high or 0.0, row.limit or 0.0, row.was or 0.0]
    if row.target is not None:
        marks += [end for end in row.target if end is not None]
    return max(max(marks) * 1.1, 1.0)


def _ion_words(row: IonRow) -> str:
    if row.value is None:
        return f"{row.label}: not stated."
    before = "" if row.was is None else f" {row.was:.0f} before,"
    words = f"{row.label}{before} {row.value:.0f} mg/L"
    if row.target is not None:
        words += f", style family {_range_words(row.target)}"
    if row.limit is not None:
        words += f", limit {row.limit:.0f}"
    if row.side:
        words += f", {row.side} it"
    return f"{words}."


def _range_words(ends: tuple[float | None, float | None]) -> str:
    low, high = ends
    if high is None:
        return "any" if low is None else f"from {low:.0f}"
    return f"up to {high:.0f}" if low is None else f"{low:.0f} to {high:.0f}"


def ph_picture(
    name: str, title: str, ph: float, low: float, high: float, was: float | None = None
) -> str:
    """Return the predicted pH and its band on a scale from 4.8 to 6.2 with its window.

    was: the pH without the doses of a plan.
    """
    left, right = 16, _WIDTH - 16
    at = _ph_scale(left, right)
    zone, zone_end = (at(value) for value in WINDOW_PH)
    parts = [
        f'<rect class="target" x="{_number(zone)}" y="26" width="{_number(zone_end - zone)}"'
        ' height="22"/>',
        f'<text class="mid faint" x="{_number((zone + zone_end) / 2)}" y="82">window</text>',
        f'<path class="axis" d="M{left} 48H{right}{_ticks(at)}"/>',
    ]
    for tenth in range(48, 63, 2):
        x = _number(at(tenth / 10))
        parts.append(f'<text class="mid" x="{x}" y="66">{tenth / 10:.1f}</text>')
    width = _number(max(at(high) - at(low), 2.0))
    parts.append(f'<rect class="band" x="{_number(at(low))}" y="34" width="{width}" height="6"/>')
    parts.append(f'<path class="value" d="M{_number(at(ph))} 24v24"/>')
    parts.append(f'<text class="mid strong" x="{_number(at(ph))}" y="17">{_beyond(ph)}</text>')
    before = ""
    if was is not None:
        parts.append(_before_mark(at(was), 37))
        before = f"Before {was:.2f}. "
    words = f"{before}Predicted {ph:.2f}, most likely {low:.2f} to {high:.2f}; window {_USUAL}."
    return _svg(name, 88, title, words, parts)


class PhRow(NamedTuple):
    """One pH with its band, as a row of a picture."""

    label: str
    low: float
    ph: float
    high: float


def ph_rows_picture(name: str, title: str, rows: Sequence[PhRow]) -> str:
    """Return pH values with their bands one below the other, on one scale with its window."""
    left, right = _BAR_LEFT, _WIDTH - 46
    at = _ph_scale(left, right)
    zone, zone_end = (at(value) for value in WINDOW_PH)
    bottom = 24 * len(rows) + 14
    parts = [
        f'<rect class="target" x="{_number(zone)}" y="8" width="{_number(zone_end - zone)}"'
        f' height="{bottom - 8}"/>',
        f'<path class="axis" d="M{left} {bottom}H{right}"/>',
    ]
    for tenth in range(48, 63, 2):
        x = _number(at(tenth / 10))
        parts.append(f'<path class="axis" d="M{x} {bottom}v5"/>')
        parts.append(f'<text class="mid" x="{x}" y="{bottom + 18}">{tenth / 10:.1f}</text>')
    for place, row in enumerate(rows):
        y = 24 * place + 24
        width = _number(max(at(row.high) - at(row.low), 2.0))
        parts.append(f'<text x="0" y="{y + 4}">{html_text(row.label)}</text>')
        parts.append(
            f'<rect class="band" x="{_number(at(row.low))}" y="{y - 3}" width="{width}"'
            ' height="6"/>'
        )
        parts.append(f'<path class="value" d="M{_number(at(row.ph))} {y - 9}v18"/>')
        parts.append(f'<text class="end strong" x="{_WIDTH}" y="{y + 4}">{row.ph:.2f}</text>')
    words = " ".join(
        f"{row.label}: {row.ph:.2f}, band {row.low:.2f} to {row.high:.2f}." for row in rows
    )
    return _svg(name, bottom + 24, title, f"{words} Window {_USUAL}.", parts)


def _ph_scale(left: float, right: float) -> Callable[[float], float]:
    """Return where a pH stands between two ends; beyond the scale, at its end."""
    start, end = PH_SCALE

    def at(value: float) -> float:
        return left + (right - left) * (min(max(value, start), end) - start) / (end - start)

    return at


def ph_strip(ph: float, low: float, high: float) -> str:
    """Return the same picture small enough for the row of a table that holds the numbers too."""
    at = _ph_scale(1, _STRIP_WIDTH - 1)
    zone, zone_end = (at(value) for value in WINDOW_PH)
    middle = _STRIP_HEIGHT // 2
    return (
        f'<svg class="strip" aria-hidden="true" viewBox="0 0 {_STRIP_WIDTH} {_STRIP_HEIGHT}">'
        f'<rect class="target" x="{_number(zone)}" y="0" width="{_number(zone_end - zone)}"'
        f' height="{_STRIP_HEIGHT}"/><path class="axis" d="M0 {middle}H{_STRIP_WIDTH}"/>'
        f'<path class="band" d="M{_number(at(low))} {middle}H{_number(at(high))}"/>'
        f'<path class="value" d="M{_number(at(ph))} 1v{_STRIP_HEIGHT - 2}"/></svg>'
    )


def _ticks(at: Callable[[float], float]) -> str:
    return "".join(f"M{_number(at(tenth / 10))} 48v5" for tenth in range(48, 63, 2))


def _beyond(ph: float) -> str:
    """Return the value, with an arrow where it lies beyond the scale."""
    if ph < PH_SCALE[0]:
        return f"← {ph:.2f}"
    return f"{ph:.2f} →" if ph > PH_SCALE[1] else f"{ph:.2f}"


SHARES: Mapping[str, str] = {
    "carbonate": "Alkalinity of water",
    "calcium_magnesium": "Calcium, magnesium",
    "acid": "Acids",
    "base": "Lime or soda",
    "readings": "Your readings",
}


def shares_picture(name: str, title: str, shifts_ph: Mapping[str, float]) -> str:
    """Return what moves the mash pH down (left) and up (right) from that of the grist alone."""
    rows = [
        (label, shifts_ph.get(key, 0.0))
        for key, label in SHARES.items()
        if key != "readings" or key in shifts_ph
    ]
    widest = max([abs(value) for _, value in rows] + [1e-9])
    middle = (_BAR_LEFT + _BAR_RIGHT) / 2
    reach = (_BAR_RIGHT - _BAR_LEFT) / 2
    bottom = 24 * len(rows) + 44
    grist = f"{shifts_ph['malt']:.2f}"
    parts = [
        f'<text class="end faint" x="{_number(middle - 8)}" y="12">lowers it</text>',
        f'<text class="faint" x="{_number(middle + 8)}" y="12">raises it</text>',
        f'<path class="axis" d="M{_number(middle)} 18V{bottom}"/>',
        '<text x="0" y="36">Grist alone</text>',
        f'<text class="end strong" x="{_WIDTH}" y="36">pH {grist}</text>',
    ]
    for place, (label, value) in enumerate(rows):
        y = 60 + 24 * place
        length = reach * abs(value) / widest
        x = middle if value >= 0 else middle - length
        side = "takes" if value >= 0 else "gives"
        parts.append(f'<text x="0" y="{y}">{label}</text>')
        parts.append(
            f'<rect class="{side}" x="{_number(x)}" y="{y - 11}" width="{_number(length)}"'
            ' height="13"/>'
        )
        parts.append(f'<text class="end" x="{_WIDTH}" y="{y}">{_signed(value)}</text>')
    words = "; ".join(f"{label} {_signed(value)}" for label, value in rows)
    return _svg(name, bottom + 4, title, f"The grist alone {grist}; {words}.", parts)


def _signed(value: float) -> str:
    """Return a value with its sign as print sets it; what rounds to zero has none."""
    text = f"{abs(value):.2f}"
    if text == "0.00":
        return text
    return f"+{text}" if value > 0 else f"−{text}"


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _svg(name: str, height: int, title: str, text: str, body: Sequence[str]) -> str:
    return (
        f'<svg role="img" viewBox="0 0 {_WIDTH} {height}" aria-labelledby="{name}t {name}d">'
        f'<title id="{name}t">{html_text(title)}</title><desc id="{name}d">{html_text(text)}</desc>'
        f"{''.join(body)}</svg>"
    )
