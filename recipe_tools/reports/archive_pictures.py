"""Inline SVG histograms of an archive, each with its content as text too."""

from __future__ import annotations

from recipe_tools.archive.distributions import Distribution
from recipe_tools.judgement.mash import WINDOW_PH
from recipe_tools.reports.escaping import html_text

_WIDTH, _HEIGHT = 560, 150
_LEFT, _RIGHT, _TOP, _BASE = 8, 552, 22, 118


def histogram(name: str, title: str, spread: Distribution) -> str:
    """Return a histogram. name: prefix of the ids in it.

    Bins beyond either end are drawn as one bar more, marked as such. The window of the mash pH is
    shaded, the level an ion is warned of is dashed.
    """
    counts, first = _bars(spread)
    width = (_RIGHT - _LEFT) / max(len(counts), 1)
    most = max(counts, default=0) or 1
    parts = _shading(spread, first, width)
    for place, count in enumerate(counts):
        if not count:
            continue
        x = _LEFT + place * width
        height = max((_BASE - _TOP) * count / most, 1.0)
        parts.append(
            f'<rect class="band" x="{x + 1:.1f}" y="{_BASE - height:.1f}"'
            f' width="{width - 2:.1f}" height="{height:.1f}"/>'
        )
        parts.append(
            f'<text class="mid faint" x="{x + width / 2:.1f}" y="{_BASE - height - 4:.1f}">'
            f"{count}</text>"
        )
    parts.append(f'<path class="axis" d="M{_LEFT} {_BASE}H{_RIGHT}"/>')
    parts += _labels(spread, first, width, len(counts))
    return (
        f'<svg role="img" viewBox="0 0 {_WIDTH} {_HEIGHT}" aria-labelledby="{name}t {name}d">'
        f'<title id="{name}t">{html_text(title)}</title>'
        f'<desc id="{name}d">{html_text(words(spread))}</desc>{"".join(parts)}</svg>'
    )


def _bars(spread: Distribution) -> tuple[list[int], float]:
    """Return the bars to draw, without empty ones at the upper end, and where the first begins."""
    histogram = spread.histogram
    counts = list(histogram.counts)
    start = histogram.start
    if histogram.under:
        counts.insert(0, histogram.under)
        start -= histogram.step
    if histogram.beyond:
        counts.append(histogram.beyond)
    return counts, start


def _shading(spread: Distribution, first: float, width: float) -> list[str]:
    def at(value: float) -> float:
        place = _LEFT + (value - first) / spread.histogram.step * width
        return min(max(place, float(_LEFT)), float(_RIGHT))

    if spread.quantity == "mash_ph":
        low, high = (at(end) for end in WINDOW_PH)
        return [
            f'<rect class="target" x="{low:.1f}" y="{_TOP - 12}" width="{high - low:.1f}"'
            f' height="{_BASE - _TOP + 12}"/>'
        ]
    if spread.limit is None:
        return []
    return [f'<path class="limit" d="M{at(spread.limit):.1f} {_TOP - 12}V{_BASE}"/>']


def _labels(spread: Distribution, first: float, width: float, bars: int) -> list[str]:
    digits = 1 if spread.quantity == "mash_ph" else 0
    every = max(1, round(bars / 8))
    parts = []
    for place in range(0, bars + 1, every):
        value = first + place * spread.histogram.step
        if spread.histogram.under and place == 0:
            continue
        if spread.histogram.beyond and place == bars:
            continue
        x = min(max(_LEFT + place * width, _LEFT + 8.0), _RIGHT - 10.0)
        parts.append(
            f'<text class="mid faint" x="{x:.1f}" y="{_BASE + 18}">{value:.{digits}f}</text>'
        )
    return parts


def words(spread: Distribution) -> str:
    """Return the content of a histogram as a sentence."""
    digits, unit = (2, "") if spread.quantity == "mash_ph" else (0, " mg/L")
    if spread.quartiles is None:
        return "No recipe has a value."
    lower, middle, upper = (f"{value:.{digits}f}" for value in spread.quartiles)
    text = (
        f"{spread.count} recipes; median {middle}{unit}, the middle half from {lower} to"
        f" {upper}{unit}."
    )
    range_name = "the window" if spread.quantity == "mash_ph" else "the range of their style family"
    text += f" {spread.below} lie below {range_name}, {spread.within} within, {spread.above} above."
    if spread.limit is not None:
        text += f" {spread.over_limit} are above {spread.limit:.0f}{unit}, which is warned of."
    return text
