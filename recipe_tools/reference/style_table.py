"""The styles of the BJCP guidelines by code and by name, with the family each belongs to."""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Literal, NamedTuple

from recipe_tools.reference.tables import number, table
from recipe_tools.reference.wording import key, tokens
from recipe_tools.units import EBC_PER_SRM

How = Literal["code", "name", "older-code", "file-ranges", "numbers"]

OLD_GUIDE = "BJCP 2008"
_PADDING = frozenset({"style", "beer", "the", "a", "and", "or", "of", "s", "type", "bjcp", "ale"})


class FamilyMatch(NamedTuple):
    """The family of a style and how it was found.

    family: row of style_water_targets, or ``base_style`` (follows the declared base beer).
    code, style_name: of the BJCP guidelines 2021, empty where only the family is known.
    how: ``code``, ``name``, ``older-code`` (of BJCP 2008 or 2015), ``file-ranges`` (ranges the file
    states for the style) or ``numbers`` (gravity, bitterness and colour of the beer).
    exempt: ions that are an ingredient of the style and not judged. ion_family, ra_family: other
    families whose ions or residual alkalinity suit the style better; ratio_high: its own upper
    sulfate to chloride ratio.
    """

    family: str
    code: str
    style_name: str
    how: How
    exempt: frozenset[str] = frozenset()
    ion_family: str = ""
    ra_family: str = ""
    ratio_high: float | None = None
    note: str = ""


class StyleEntry(NamedTuple):
    code: str
    name: str
    family: str
    exempt: frozenset[str]
    ion_family: str
    ra_family: str
    ratio_high: float | None
    og: tuple[float, float] | None
    ibu: tuple[float, float] | None
    ebc: tuple[float, float] | None
    note: str

    def found(self, how: How) -> FamilyMatch:
        return FamilyMatch(
            self.family,
            self.code,
            self.name,
            how,
            self.exempt,
            self.ion_family,
            self.ra_family,
            self.ratio_high,
            self.note,
        )


class OlderStyle(NamedTuple):
    guide: str
    name: str


@cache
def style_entries() -> tuple[StyleEntry, ...]:
    return tuple(
        StyleEntry(
            code=row["code"],
            name=row["name"],
            family=row["family"],
            exempt=frozenset(row["exempt"].split()),
            ion_family=row["ion_family"],
            ra_family=row["ra_family"],
            ratio_high=number(row["sulfate_to_chloride_high"]),
            og=_span(row["og_low"], row["og_high"]),
            ibu=_span(row["ibu_low"], row["ibu_high"]),
            ebc=_span(row["srm_low"], row["srm_high"], EBC_PER_SRM),
            note=row["note"],
        )
        for row in table("style_codes")
    )


def _span(low: str, high: str, factor: float = 1.0) -> tuple[float, float] | None:
    return (float(low) * factor, float(high) * factor) if low and high else None


@cache
def styles_by_code() -> Mapping[str, tuple[StyleEntry, ...]]:
    found: dict[str, tuple[StyleEntry, ...]] = {}
    for entry in style_entries():
        for code in _spellings(entry.code):
            found[code] = (*found.get(code, ()), entry)
    return found


def _spellings(code: str) -> tuple[str, ...]:
    """Return a code, and the bare number of a category that has historic beers only."""
    return (code, code[:-1]) if code.startswith("27") else (code,)


@cache
def older_styles_by_code() -> Mapping[str, tuple[tuple[OlderStyle, StyleEntry], ...]]:
    by_name = {(entry.code, entry.name): entry for entry in style_entries()}
    found: dict[str, tuple[tuple[OlderStyle, StyleEntry], ...]] = {}
    for row in table("style_codes_older"):
        pair = (
            OlderStyle(row["guide"], row["name"]),
            by_name[(row["code_2021"], row["name_2021"])],
        )
        found[row["code"]] = (*found.get(row["code"], ()), pair)
    return found


@cache
def styles_by_name() -> Mapping[str, StyleEntry]:
    """Return styles by the key of each name they have; names of the current guide come first."""
    by_name = {(entry.code, entry.name): entry for entry in style_entries()}
    found: dict[str, StyleEntry] = {}
    for entry in style_entries():
        found.setdefault(key(entry.name), entry)
        short = entry.name.rpartition(": ")[2]
        found.setdefault(key(short), entry)
    for row in (*table("style_codes_older"), *table("style_names")):
        code = row.get("code_2021") or row["code"]
        found.setdefault(key(row["name"]), by_name[(code, row["name_2021"])])
    return found


@cache
def style_word_sets() -> tuple[tuple[frozenset[str], StyleEntry], ...]:
    by_name = {(entry.code, entry.name): entry for entry in style_entries()}
    sets = [(frozenset(telling(tokens(entry.name))), entry) for entry in style_entries()]
    sets.extend(
        (
            frozenset(telling(tokens(row["name"]))),
            by_name[(row["code_2021"], row["name_2021"])],
        )
        for row in table("style_codes_older")
    )
    return tuple(sets)


def telling(words: Iterable[str]) -> list[str]:
    return [word for word in words if word not in _PADDING] or list(words)


_CAPITALS = {"ipas": "IPAs", "belgian": "Belgian", "scottish": "Scottish"}


def family_words(family: str) -> str:
    """Return a family, or a style of a club's own, as it is shown: "bitters and IPAs"."""
    return " ".join(_CAPITALS.get(word, word) for word in family.split("_"))
