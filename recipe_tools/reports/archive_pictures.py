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
    shaded, the level an ion is warned of is dashed. Recipes that are not judged stand on top of the
    others, drawn in outline.
    """
    layers, first = _bars(spread)
    bars = list(zip(*(counts for _, counts in layers), strict=True))
    width = (_RIGHT - _LEFT) / max(len(bars), 1)
    most = max(map(sum, bars), default=0) or 1
    parts = _shading(spread, first, width)
    for place, counts in enumerate(bars):
        if not sum(counts):
            continue
        x = _LEFT + place * width
        top = float(_BASE)
        for (kind, _), count in zip(layers, counts, strict=True):
            if not count:
                continue
            height = max((_BASE - _TOP) * count / most, 1.0)
            top -= height
            parts.append(
                f'<rect class="{kind}" x="{x + 1:.1f}" y="{top:.1f}"'
                f' width="{width - 2:.1f}" height="{height:.1f}"/>'
            )
        parts.append(
            f'<text class="mid faint" x="{x + width / 2:.1f}" y="{top - 4:.1f}">'
            f"{sum(counts)}</text>"
        )
    parts.append(f'<path class="axis" d="M{_LEFT} {_BASE}H{_RIGHT}"/>')
    parts += _labels(spread, first, width, len(bars))
    return (
        f'<svg role="img" viewBox="0 0 {_WIDTH} {_HEIGHT}" aria-labelledby="{name}t {name}d">'
        f'<title id="{name}t">{html_text(title)}</title>'
        f'<desc id="{name}d">{html_text(words(spread))}</desc>{"".join(parts)}</svg>'
    )


def _bars(spread: Distribution) -> tuple[list[tuple[str, list[int]]], float]:
    """Return the layers of the bars with the class of each, and where the first bar begins."""
    drawn = {"band": spread.histogram}
    drawn |= {f"apart {kind.replace(' ', '-')}": item for kind, item in spread.apart.items()}
    layers = []
    under, beyond = (
        any(getattr(item, end) for item in drawn.values()) for end in ("under", "beyond")
    )
    for name, item in drawn.items():
        counts = [item.under] * under + list(item.counts) + [item.beyond] * beyond
        layers.append((name, counts))
    return layers, spread.histogram.start - spread.histogram.step * under


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
    under = first < spread.histogram.start
    beyond = bars > under + len(spread.histogram.counts)
    parts = []
    for place in range(0, bars + 1, every):
        value = first + place * spread.histogram.step
        if under and place == 0:
            continue
        if beyond and place == bars:
            continue
        x = min(max(_LEFT + place * width, _LEFT + 8.0), _RIGHT - 10.0)
        parts.append(
            f'<text class="mid faint" x="{x:.1f}" y="{_BASE + 18}">{value:.{digits}f}</text>'
        )
    return parts


def words(spread: Distribution) -> str:
    """Return the content of a histogram as a sentence."""
    digits, unit = (2, "") if spread.quantity == "mash_ph" else (0, " mg/L")
    apart = " ".join(apart_words(spread))
    if spread.quartiles is None:
        return apart or "No recipe has a value."
    lower, middle, upper = (f"{value:.{digits}f}" for value in spread.quartiles)
    text = (
        f"{spread.count} recipes; median {middle}{unit}, the middle half from {lower} to"
        f" {upper}{unit}."
    )
    range_name = "the window" if spread.quantity == "mash_ph" else "the range of their style family"
    text += f" {spread.below} lie below {range_name}, {spread.within} within, {spread.above} above."
    if spread.limit is not None:
        text += f" {spread.over_limit} are above {spread.limit:.0f}{unit}, which is warned of."
    return f"{text} {apart}".rstrip()


def apart_words(spread: Distribution) -> list[str]:
    """Return what is said of recipes that have the quantity and are not judged by it."""
    exempt, unknown = (spread.not_judged(kind) for kind in ("exempt", "water unknown"))
    why = "soured on purpose" if spread.quantity == "mash_ph" else "of styles without such a range"
    said = []
    if exempt:
        said.append(f"{exempt} more are {why} and not judged.")
    if unknown:
        said.append(f"{unknown} more have unknown water and are not judged.")
    return said
