"""One cause, one finding: which findings are only echoes of another one and are left out.

A rule looks at the brew day alone and does not know what other rules say. Here stands, in one
place, what follows from what. A cause that is only possible, and so hidden unless asked for,
silences nothing that is surer.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from recipe_tools.findings import Confidence, Finding


class Echo(NamedTuple):
    """A rule whose finding follows from that of another.

    cause, echo: rule ids. same: value both findings must have in common; empty: none. beside: the
    echo only counts where it stands at a place that the cause names.
    """

    cause: str
    echo: str
    same: str = ""
    beside: bool = False


_ION_LIMITS = (
    "calcium-low",
    "calcium-high",
    "magnesium-high",
    "sodium-high",
    "sodium-with-sulfate",
    "chloride-high",
    "sulfate-high",
)
_MAIN = ("calcium", "magnesium", "sodium", "potassium", "chloride", "sulfate")
_TRACES = ("nitrate", "nitrite", "iron", "manganese", "copper", "zinc")

_OF_UNITS = (
    "recipe/thickness-unusual",
    "recipe/volumes-do-not-add-up",
    "recipe/gravity-against-grist",
    "recipe/bitterness-against-hops",
    "recipe/colour-against-malts",
    "recipe/malt-colour-scale",
    "mash-ph/thickness-outside-model",
    "mash-ph/below-range",
    "mash-ph/above-range",
    "mash-ph/near-edge",
)

ECHOES: tuple[Echo, ...] = (
    *(Echo(f"ions/{name}", "ions/outside-style", "ion") for name in _ION_LIMITS),
    *(
        Echo("water/ion-above-drinking-limit", f"ions/{ion}-high", "ion")
        for ion in ("nitrate", "nitrite", "copper", "manganese")
    ),
    *(
        Echo("water/ion-impossible", echo, "ion")
        for echo in (
            "water/ion-above-drinking-limit",
            "water/limit-of-another-body",
            "water/taste-limit",
            "ions/outside-style",
            *(f"ions/{ion}-high" for ion in (*_MAIN, *_TRACES)),
        )
    ),
    *(
        Echo("water/ion-impossible", echo)
        for echo in (
            "water/charge-imbalance",
            "water/dissolved-solids",
            "water/conductivity",
            "water/hardness-softened",
            "water/nitrate-with-nitrite",
            "ions/sodium-with-sulfate",
            "ions/total-minerals-high",
            "ions/ratio-against-style",
        )
    ),
    *(
        Echo(f"ions/{ion}-high", echo, "ion")
        for ion in _TRACES
        for echo in ("water/taste-limit", "water/limit-of-another-body")
    ),
    Echo("water/ion-above-drinking-limit", "water/limit-of-another-body", "ion"),
    Echo("water/limit-of-another-body", "water/taste-limit", "ion"),
    Echo("water/limit-of-another-body", "water/chlorine-untreated", "ion"),
    Echo("water/ion-above-drinking-limit", "water/taste-limit", "ion"),
    Echo("water/ion-above-drinking-limit", "water/chlorine-untreated", "ion"),
    *(
        Echo(f"water/{cause}", "water/bottled-water-as-addition")
        for cause in ("source-unknown", "source-all-zero")
    ),
    Echo("water/charge-imbalance", "water/dissolved-solids"),
    Echo("water/charge-imbalance", "water/conductivity"),
    *(
        Echo(f"water/{cause}", "water/charge-imbalance")
        for cause in ("alkalinity-unknown", "carbonate-at-low-ph", "report-contradiction")
    ),
    Echo("water/nitrate-with-nitrite", "ions/nitrate-high"),
    Echo("water/nitrate-with-nitrite", "ions/nitrite-high"),
    Echo("ions/calcium-low", "ions/outside-style", "side"),
    Echo("ions/total-minerals-high", "ions/outside-style", "side"),
    Echo("ions/sodium-high", "ions/sodium-with-sulfate"),
    Echo("ions/sulfate-high", "ions/total-minerals-high"),
    Echo("ions/chloride-high", "ions/total-minerals-high"),
    Echo("ions/outside-style", "ions/ratio-against-style"),
    Echo("ions/sulfate-high", "ions/ratio-against-style"),
    Echo("ions/chloride-high", "ions/ratio-against-style"),
    Echo("ions/total-minerals-high", "ions/ratio-against-style"),
    Echo("mash-ph/above-range", "ions/residual-alkalinity-against-style"),
    Echo("mash-ph/above-range", "mash-ph/stated-target-differs"),
    Echo("mash-ph/below-range", "mash-ph/stated-target-differs"),
    Echo("mash-ph/acid-overshoots", "mash-ph/below-range"),
    Echo("mash-ph/acid-overshoots", "mash-ph/stated-target-differs"),
    Echo("sparge/alkalinity-high", "sparge/ph-high"),
    Echo("sparge/base-added", "sparge/alkalinity-high"),
    Echo("recipe/no-mash-water", "mash-ph/not-predictable"),
    Echo("recipe/thickness-unusual", "mash-ph/thickness-outside-model"),
    Echo("recipe/malt-colour-scale", "recipe/colour-against-malts", "quantity"),
    Echo("recipe/volumes-do-not-add-up", "recipe/gravity-against-grist"),
    Echo("recipe/volumes-do-not-add-up", "recipe/bitterness-against-hops"),
    Echo("recipe/gravity-against-grist", "recipe/abv-against-gravities"),
    *(
        Echo(f"recipe/{name}", "recipe/colour-or-gravity-outside-style", "quantity")
        for name in (
            "malt-colour-scale",
            "colour-against-malts",
            "gravity-against-grist",
            "bitterness-against-hops",
        )
    ),
    *(Echo("recipe/us-units", name) for name in _OF_UNITS),
    Echo("recipe/us-units", "standard/impossible-value", beside=True),
    Echo("water/chloramine-treatment", "water/chlorine-untreated"),
    Echo("addition/cleaner-as-agent", "addition/not-food-grade-name"),
    Echo("addition/pieces-as-litres", "addition/mass-flag-contradiction"),
)
_CAUSES_OF: dict[str, tuple[Echo, ...]] = {
    rule: tuple(item for item in ECHOES if item.echo == rule)
    for rule in {item.echo for item in ECHOES}
}


def without_echoes(findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings of one recipe without those that only repeat another one's cause."""
    if not any(item.rule in _CAUSES_OF for item in findings):
        return list(findings)
    by_rule: dict[str, list[Finding]] = {}
    for item in findings:
        by_rule.setdefault(item.rule, []).append(item)
    return [item for item in findings if not _is_echo(item, by_rule)]


def _is_echo(item: Finding, by_rule: dict[str, list[Finding]]) -> bool:
    for echo in _CAUSES_OF.get(item.rule, ()):
        for cause in by_rule.get(echo.cause, ()):
            if cause.confidence < min(item.confidence, Confidence.LIKELY):
                continue
            if echo.beside and item.pointer not in _places(cause):
                continue
            if not echo.same or cause.values.get(echo.same) == item.values.get(echo.same):
                return True
    return False


def _places(cause: Finding) -> tuple[str, ...]:
    return cause.pointer, *(place.pointer for place in cause.related)
