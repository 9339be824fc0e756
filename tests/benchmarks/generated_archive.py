"""An archive of invented recipes for the benchmarks: varied, of both formats, the same every time.

Run from the root of the repository to look at one: python -m tests.benchmarks.generated_archive
FOLDER [RECIPES]. All breweries, waters and recipes belong to the invented Aldermoor Brewing Circle.

The mix follows what exported files look like: most lack something their standard requires, carry
tags of their own, and state water in one file out of three. One file in 25 repeats the grist and
water of an earlier one, one in 200 cannot be read, one in 200 is no recipe.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape
from pathlib import Path
from typing import Any

SEED = 20_240_229
PER_FOLDER = 200

Json = dict[str, Any]

_BASES = (
    ("Pale ale malt", 2.8),
    ("Pilsner malt", 1.7),
    ("Pilsner Malz", 1.7),
    ("Extra pale malt", 1.9),
    ("Vienna malt", 3.8),
    ("Munich malt", 8.0),
    ("Wheat malt", 2.0),
    ("Mild ale malt", 4.0),
)
_SPECIALS = (
    ("Light caramel malt", 12.0, "caramel"),
    ("Crystal malt 150", 57.0, "caramel"),
    ("Crystal 80 L", 80.0, "caramel"),
    ("Aromatic malt", 20.0, "specialty"),
    ("Chocolate malt", 350.0, "roasted"),
    ("Roasted barley", 500.0, "roasted"),
    ("Black malt", 530.0, "roasted"),
    ("Flaked oats", 1.0, "adjunct"),
    ("Flaked barley", 1.7, "adjunct"),
    ("Rye malt", 3.5, "specialty"),
    ("Acidulated malt", 2.0, "specialty"),
    ("Smoked malt", 4.0, "smoked"),
)
_STYLES = (
    ("American Pale Ale", "Pale American Ale", 18, "B"),
    ("Blonde Ale", "Pale American Ale", 18, "A"),
    ("American IPA", "IPA", 21, "A"),
    ("German Pils", "Pale Bitter European Beer", 5, "D"),
    ("Munich Dunkel", "Dark European Lager", 8, "A"),
    ("Ordinary Bitter", "British Bitter", 11, "A"),
    ("Best Bitter", "British Bitter", 11, "B"),
    ("English Porter", "Brown British Beer", 13, "C"),
    ("Irish Stout", "Irish Beer", 15, "B"),
    ("Imperial Stout", "American Porter and Stout", 20, "C"),
    ("Weissbier", "German Wheat Beer", 10, "A"),
    ("Saison", "Strong Belgian Ale", 25, "B"),
    ("Belgian Dubbel", "Monastic Ale", 26, "B"),
    ("Harvest Ale of the Circle", "", 0, ""),
)
_SALTS = (
    ("Gypsum", 6.0),
    ("Gypsum (Calcium Sulfate)", 6.0),
    ("Calcium Chloride", 5.0),
    ("CaCl₂ dihydrate", 5.0),
    ("Epsom Salt", 3.0),
    ("Baking Soda", 2.0),
    ("Chalk", 3.0),
    ("Table Salt", 1.5),
    ("Pickling lime", 1.5),
    ("Potassium metabisulfite", 0.4),
)
_ACIDS = ("Lactic Acid 88%", "Lactic acid", "Phosphoric acid 10 %", "Lactic acid 80 %")
_OTHERS = ("Irish Moss", "Yeast nutrient", "Orange peel, bitter", "Coriander seed", "Isinglass")
_WATERS = (
    ("Aldermoor well", (25.0, 4.0, 12.0, 22.0, 30.0, 52.0), 7.2),
    ("Aldermoor tap, upper zone", (62.0, 9.5, 21.0, 34.0, 52.0, 165.0), 7.6),
    ("Aldermoor tap, lower zone", (104.0, 9.0, 18.0, 32.0, 58.0, 290.0), 7.4),
    ("Millrace spring", (14.0, 2.0, 6.0, 9.0, 11.0, 30.0), 6.9),
    ("Reedbank waterworks", (88.0, 14.0, 31.0, 48.0, 96.0, 214.0), 7.5),
    ("Distilled water", (0.0, 0.0, 0.0, 0.0, 0.0, 0.0), 7.0),
    ("Target for pale ales", (110.0, 18.0, 16.0, 50.0, 275.0, 20.0), 8.0),
    ("Ferry Lane", (0.0, 0.0, 0.0, 0.0, 0.0, 0.0), 7.0),
)
_IONS = ("calcium", "magnesium", "sodium", "chloride", "sulfate", "bicarbonate")
_HOPS = (("Bittering hop", 12.0), ("Noble hop", 4.0), ("Aroma hop", 5.5), ("Citrus hop", 11.0))
_PLACES = ("Millrace", "Reedbank", "Heron", "Ferry", "Toll House", "Lockkeeper", "Dark Lane")
_BEERS = ("Pale", "Stout", "Bitter", "Pils", "Wheat", "Porter", "Saison", "Dubbel", "Blonde")
_PROSE = (
    "Mash in slowly and stir. Rest until conversion, then run off clear before sparging. "
    "Cool fast, pitch at eighteen degrees and leave it alone for two weeks."
)
_WORDS = _PROSE.split()


@dataclass(frozen=True, slots=True)
class Draft:
    """A recipe before it is written in a format. Amounts in kg, g, mL and L."""

    name: str
    brewer: str
    date: str
    style: tuple[str, str, int, str]
    malts: tuple[tuple[str, float, float, str], ...]
    hops: tuple[tuple[str, float, float, int], ...]
    salts: tuple[tuple[str, float, str], ...]
    acid: tuple[str, float, str] | None
    others: tuple[str, ...]
    water: tuple[str, tuple[float, ...], float] | None
    batch_l: float
    mash_l: float
    sparge_l: float
    efficiency: float
    attenuation: float
    notes: str

    @property
    def gravity(self) -> float:
        """Original gravity that follows from the grist (384 points·L/kg for pure extract)."""
        extract = sum(kilograms * 0.79 for _, kilograms, _, _ in self.malts)
        return 1.0 + extract * 0.384 * self.efficiency / 100.0 / self.batch_l

    @property
    def ebc(self) -> float:
        """Colour by Morey's equation, EBC."""
        units = sum(kg * 2.20462 * lovibond for _, kg, lovibond, _ in self.malts)
        return 1.97 * 1.4922 * float((units / (self.batch_l * 0.264172)) ** 0.6859)


def draft(chance: random.Random, place: int) -> Draft:
    """Return a recipe. place: number in the archive, which shows in the name."""
    batch = chance.choice((10.0, 19.0, 20.0, 23.0, 25.0, 40.0))
    kilograms = batch * chance.uniform(0.17, 0.34)
    specials = chance.sample(_SPECIALS, chance.choice((0, 1, 1, 2, 2, 3, 4)))
    shares = [chance.uniform(0.01, 0.12) for _ in specials]
    base = chance.choice(_BASES)
    malts = [(base[0], round(kilograms * (1.0 - sum(shares)), 2), base[1], "base")]
    malts += [
        (name, round(kilograms * share, 3), colour, group)
        for (name, colour, group), share in zip(specials, shares, strict=True)
    ]
    hops = tuple(
        (name, round(chance.uniform(0.5, 2.0) * batch, 1), alpha, chance.choice((60, 20, 10, 0)))
        for name, alpha in chance.sample(_HOPS, chance.randint(1, 4))
    )
    salts = tuple(
        (name, round(batch / 20.0 * chance.uniform(0.1, 1.2) * most, 2), stage)
        for name, most in chance.sample(_SALTS, chance.choice((0, 0, 1, 2, 2, 3)))
        for stage in (("mash", "sparge") if chance.random() < 0.15 else ("mash",))
    )
    acid = None
    if chance.random() < 0.25:
        acid = (chance.choice(_ACIDS), round(batch / 20.0 * chance.uniform(0.5, 6.0), 1), "mash")
    return Draft(
        name=f"{chance.choice(_PLACES)} {chance.choice(_BEERS)} {place}",
        brewer=f"Brewer {chance.randint(1, 60)} of Aldermoor",
        date=f"{chance.randint(2008, 2024)}-{chance.randint(1, 12):02}-{chance.randint(1, 28):02}",
        style=chance.choice(_STYLES),
        malts=tuple(malts),
        hops=hops,
        salts=salts,
        acid=acid,
        others=tuple(chance.sample(_OTHERS, chance.choice((0, 0, 1, 2)))),
        water=chance.choice(_WATERS) if chance.random() < 0.65 else None,
        batch_l=batch,
        mash_l=round(kilograms * chance.uniform(2.3, 4.2), 1),
        sparge_l=round(batch * chance.uniform(0.3, 0.9), 1),
        efficiency=float(chance.randint(60, 82)),
        attenuation=float(chance.randint(68, 82)),
        notes=" ".join(chance.choices(_WORDS, k=chance.choice((0, 20, 60, 200)))),
    )


def as_beerxml(recipe: Draft, chance: random.Random) -> bytes:
    """Return the recipe as a BeerXML file of one of three habits of exporting programs."""
    units, wordy, bare = (chance.random() < share for share in (0.4, 0.6, 0.3))
    final = 1.0 + (recipe.gravity - 1.0) * (1.0 - recipe.attenuation / 100.0)
    sets = [
        ("HOPS", [_xml_hop(hop, wordy, chance) for hop in recipe.hops]),
        ("FERMENTABLES", [_xml_malt(malt, wordy) for malt in recipe.malts]),
        ("MISCS", _xml_miscs(recipe)),
        ("YEASTS", [_xml_yeast(recipe)]),
        ("WATERS", [_xml_water(recipe)] if recipe.water else []),
    ]
    body = [
        _xml("NAME", recipe.name),
        _xml("VERSION", 1),
        _xml("TYPE", "All Grain"),
        *_xml_style(recipe.style, bare, wordy, chance),
        _xml("BREWER", recipe.brewer),
        _xml("BATCH_SIZE", f"{recipe.batch_l:.7f}"),
        _xml("BOIL_SIZE", f"{recipe.batch_l * 1.2:.7f}"),
        _xml("BOIL_TIME", "60.0"),
        _xml("EFFICIENCY", recipe.efficiency),
    ]
    for name, records in sets:
        if records or not bare:
            body += [f"<{name}>", *records, f"</{name}>"]
    body += [
        _xml_mash(recipe, bare),
        _xml("NOTES", recipe.notes),
        _xml("OG", f"{recipe.gravity:.3f}{' SG' if units else ''}"),
        _xml("FG", f"{final:.3f}"),
        _xml("DATE", recipe.date),
    ]
    if wordy:
        body.insert(3, _xml_equipment(recipe))
        body += [_xml("EST_OG", f"{recipe.gravity:.3f} SG"), _xml("EST_COLOR", recipe.ebc / 1.97)]
        body += [_xml(f"X_SHEET_{number}", "") for number in range(8)]
    text = '<?xml version="1.0" encoding="UTF-8"?>\n<RECIPES>\n<RECIPE>\n'
    return f"{text}{chr(10).join(body)}\n</RECIPE>\n</RECIPES>\n".encode()


def _xml(tag: str, value: object) -> str:
    return f" <{tag}>{escape(str(value), quote=False)}</{tag}>"


def _xml_record(tag: str, members: Sequence[tuple[str, object]]) -> str:
    return "\n".join((f"<{tag}>", *(_xml(*member) for member in members), f"</{tag}>"))


def _xml_style(
    style: tuple[str, str, int, str], bare: bool, wordy: bool, chance: random.Random
) -> list[str]:
    name, category, number, letter = style
    if bare and not number:
        return []
    members: list[tuple[str, object]] = [
        ("NAME", name),
        ("VERSION", 1),
        ("CATEGORY", category),
        ("CATEGORY_NUMBER", number or ""),
        ("STYLE_LETTER", letter),
        ("STYLE_GUIDE", "BJCP 2021"),
        ("TYPE", "Ale"),
    ]
    if not bare:
        members += [("OG_MIN", "1.040"), ("OG_MAX", "1.060"), ("FG_MIN", "1.008")]
        members += [("FG_MAX", "1.016"), ("IBU_MIN", "20.0"), ("IBU_MAX", "40.0")]
        members += [("COLOR_MIN", "3.0"), ("COLOR_MAX", "14.0")]
    if wordy:
        members += [
            ("CARB_MIN", "2.0"),
            ("CARB_MAX", "2.7"),
            ("ABV_MIN", "4.0"),
            ("ABV_MAX", "6.5"),
        ]
        members += [(tag, _prose(chance, 30)) for tag in ("NOTES", "PROFILE", "INGREDIENTS")]
    return [_xml_record("STYLE", members)]


def _xml_malt(malt: tuple[str, float, float, str], wordy: bool) -> str:
    name, kilograms, lovibond, group = malt
    kind = "Adjunct" if group == "adjunct" else "Grain"
    members: list[tuple[str, object]] = [
        ("NAME", name),
        ("VERSION", 1),
        ("TYPE", kind),
        ("AMOUNT", f"{kilograms:.7f}"),
        ("YIELD", "79.0000000"),
        ("COLOR", f"{lovibond:.7f}"),
        ("ADD_AFTER_BOIL", "FALSE"),
    ]
    if wordy:
        members += [("ORIGIN", "Aldermoor"), ("SUPPLIER", "The Circle"), ("MOISTURE", "4.0000000")]
        members += [("COARSE_FINE_DIFF", "1.5"), ("DIASTATIC_POWER", "80.0"), ("PROTEIN", "11.0")]
        members += [("MAX_IN_BATCH", "100.0"), ("RECOMMEND_MASH", "TRUE"), ("NOTES", "")]
        members += [("DISPLAY_AMOUNT", f"{kilograms:.2f} kg"), ("INVENTORY", "0.0 kg")]
    return _xml_record("FERMENTABLE", members)


def _xml_hop(hop: tuple[str, float, float, int], wordy: bool, chance: random.Random) -> str:
    name, grams, alpha, minutes = hop
    members: list[tuple[str, object]] = [
        ("NAME", name),
        ("VERSION", 1),
        ("ALPHA", alpha),
        ("AMOUNT", f"{grams / 1000.0:.7f}"),
        ("USE", "Boil" if minutes else "Dry Hop"),
        ("TIME", f"{minutes or 5760:.7f}"),
    ]
    if wordy:
        members += [("NOTES", _prose(chance, 20)), ("TYPE", "Aroma"), ("FORM", "Pellet")]
        members += [("BETA", "4.5"), ("SUBSTITUTES", ""), ("HUMULENE", "20.0")]
        members += [("HSI", "35.0"), ("ORIGIN", "Aldermoor"), ("DISPLAY_TIME", f"{minutes} min")]
    return _xml_record("HOP", members)


def _xml_miscs(recipe: Draft) -> list[str]:
    records = []
    for name, grams, stage in recipe.salts:
        use = "Mash" if stage == "mash" else "Sparge"
        records.append(_xml_misc(name, "Water Agent", use, grams / 1000.0, "TRUE"))
    if recipe.acid:
        name, millilitres, _ = recipe.acid
        records.append(_xml_misc(name, "Water Agent", "Mash", millilitres / 1000.0, "FALSE"))
    records += [_xml_misc(name, "Fining", "Boil", 0.005, "TRUE") for name in recipe.others]
    return records


def _xml_misc(name: str, kind: str, use: str, amount: float, flag: str) -> str:
    return _xml_record(
        "MISC",
        (
            ("NAME", name),
            ("VERSION", 1),
            ("TYPE", kind),
            ("USE", use),
            ("TIME", "60.0"),
            ("AMOUNT", f"{amount:.7f}"),
            ("AMOUNT_IS_WEIGHT", flag),
        ),
    )


def _prose(chance: random.Random, words: int) -> str:
    return " ".join(chance.choices(_WORDS, k=words))


def _xml_equipment(recipe: Draft) -> str:
    return _xml_record(
        "EQUIPMENT",
        (
            ("NAME", "The Circle's kettle and tun"),
            ("VERSION", 1),
            ("BOIL_SIZE", f"{recipe.batch_l * 1.2:.7f}"),
            ("BATCH_SIZE", f"{recipe.batch_l:.7f}"),
            ("TUN_VOLUME", "45.0000000"),
            ("TUN_WEIGHT", "4.0000000"),
            ("TUN_SPECIFIC_HEAT", "0.3000000"),
            ("TOP_UP_WATER", "0.0000000"),
            ("TRUB_CHILLER_LOSS", "1.5000000"),
            ("EVAP_RATE", "9.0000000"),
            ("BOIL_TIME", "60.0000000"),
            ("CALC_BOIL_VOLUME", "TRUE"),
            ("LAUTER_DEADSPACE", "0.8000000"),
            ("TOP_UP_KETTLE", "0.0000000"),
            ("HOP_UTILIZATION", "100.0000000"),
            ("NOTES", ""),
        ),
    )


def _xml_yeast(recipe: Draft) -> str:
    return _xml_record(
        "YEAST",
        (
            ("NAME", "Clean ale yeast"),
            ("VERSION", 1),
            ("TYPE", "Ale"),
            ("FORM", "Dry"),
            ("AMOUNT", "0.0115"),
            ("AMOUNT_IS_WEIGHT", "TRUE"),
            ("ATTENUATION", recipe.attenuation),
        ),
    )


def _xml_water(recipe: Draft) -> str:
    assert recipe.water is not None
    name, levels, ph = recipe.water
    ions = [(ion.upper(), f"{level:.7f}") for ion, level in zip(_IONS, levels, strict=True)]
    amount = f"{recipe.batch_l:.7f}"
    members = (("NAME", name), ("VERSION", 1), ("AMOUNT", amount), *ions, ("PH", ph))
    return _xml_record("WATER", members)


def _xml_mash(recipe: Draft, bare: bool) -> str:
    step = _xml_record(
        "MASH_STEP",
        (
            ("NAME", "Saccharification"),
            ("VERSION", 1),
            ("TYPE", "Infusion"),
            ("INFUSE_AMOUNT", f"{recipe.mash_l:.7f}"),
            ("STEP_TIME", "60.0"),
            ("STEP_TEMP", "66.0"),
        ),
    )
    out = "" if bare else "\n" + _xml_record("MASH_STEP", _MASH_OUT)
    head = "\n".join((_xml("NAME", "Single infusion"), _xml("VERSION", 1)))
    more = "" if bare else f"{_xml('GRAIN_TEMP', '20.0')}\n{_xml('PH', '5.4')}\n"
    return f"<MASH>\n{head}\n{more}<MASH_STEPS>\n{step}{out}\n</MASH_STEPS>\n</MASH>"


_MASH_OUT: tuple[tuple[str, object], ...] = (
    ("NAME", "Mash out"),
    ("VERSION", 1),
    ("TYPE", "Temperature"),
    ("STEP_TIME", "10.0"),
    ("STEP_TEMP", "76.0"),
)


def as_beerjson(recipe: Draft, chance: random.Random) -> bytes:
    """Return the recipe as a BeerJSON file that misses what exported files miss."""
    bare, indent = chance.random() < 0.5, chance.choice((2, 2, None))
    final = 1.0 + (recipe.gravity - 1.0) * (1.0 - recipe.attenuation / 100.0)
    ingredients: Json = {
        "fermentable_additions": [_json_malt(malt, bare) for malt in recipe.malts],
        "hop_additions": [_json_hop(hop, bare, chance) for hop in recipe.hops],
        "miscellaneous_additions": _json_miscs(recipe),
        "culture_additions": [
            {
                "name": "Clean ale yeast",
                "type": "ale",
                "form": "dry",
                "amount": _quantity(11.5, "g"),
                "attenuation": _quantity(recipe.attenuation, "%"),
            }
        ],
    }
    if recipe.water:
        ingredients["water_additions"] = [_json_water(recipe, bare)]
    whole: Json = {
        "name": recipe.name,
        "type": "all grain",
        "author": recipe.brewer,
        "created": recipe.date,
        "batch_size": _quantity(recipe.batch_l, "l"),
        "efficiency": {"brewhouse": _quantity(recipe.efficiency, "%")},
        "style": _json_style(recipe.style),
        "ingredients": ingredients,
        "mash": _json_mash(recipe, bare),
        "notes": recipe.notes,
        "original_gravity": _quantity(round(recipe.gravity, 4), "sg"),
        "final_gravity": _quantity(round(final, 4), "sg"),
        "color_estimate": _quantity(round(recipe.ebc, 1), "EBC"),
    }
    if bare:
        del whole["efficiency"]
        whole["x_sheet"] = {"columns": ["a", "b"], "shown": True}
    document = {"beerjson": {"version": 1.0, "recipes": [whole]}}
    return json.dumps(document, indent=indent, ensure_ascii=False).encode()


def _quantity(value: float, unit: str) -> Json:
    return {"unit": unit, "value": value}


def _json_style(style: tuple[str, str, int, str]) -> Json:
    name, category, number, letter = style
    record: Json = {"name": name, "type": "beer", "style_guide": "BJCP 2021"}
    if number:
        record |= {"category": category, "category_number": number, "style_letter": letter}
    return record


def _json_malt(malt: tuple[str, float, float, str], bare: bool) -> Json:
    name, kilograms, lovibond, group = malt
    record: Json = {
        "name": name,
        "type": "grain",
        "color": _quantity(lovibond, "Lovi"),
        "amount": _quantity(kilograms, "kg"),
        "timing": {"use": "add_to_mash"},
    }
    if not bare:
        record["grain_group"] = group
        record["yield"] = {"fine_grind": _quantity(79.0, "%")}
        record["origin"] = "Aldermoor"
    return record


def _json_hop(hop: tuple[str, float, float, int], bare: bool, chance: random.Random) -> Json:
    name, grams, alpha, minutes = hop
    timing: Json = {"use": "add_to_boil" if minutes else "add_to_fermentation"}
    timing["duration"] = _quantity(minutes or 4, "min" if minutes else "day")
    record: Json = {
        "name": name,
        "alpha_acid": _quantity(alpha, "%"),
        "amount": _quantity(grams, "g"),
        "form": "pellet",
        "timing": timing,
    }
    if not bare:
        record |= {"beta_acid": _quantity(4.5, "%"), "notes": _prose(chance, 20)}
    return record


def _json_miscs(recipe: Draft) -> list[Json]:
    records = [
        {
            "name": name,
            "type": "water agent",
            "amount": _quantity(grams, "g"),
            "timing": {"use": "add_to_mash", "step": 1 if stage == "mash" else 2},
        }
        for name, grams, stage in recipe.salts
    ]
    if recipe.acid:
        name, millilitres, _ = recipe.acid
        records.append(
            {
                "name": name,
                "type": "water agent",
                "amount": _quantity(millilitres, "ml"),
                "timing": {"use": "add_to_mash", "step": 1},
            }
        )
    records += [
        {
            "name": name,
            "type": "spice",
            "amount": _quantity(5, "g"),
            "timing": {"use": "add_to_boil", "time": _quantity(10, "min")},
        }
        for name in recipe.others
    ]
    return records


def _json_water(recipe: Draft, bare: bool) -> Json:
    assert recipe.water is not None
    name, levels, ph = recipe.water
    record: Json = {"name": name}
    record |= {ion: _quantity(level, "mg/l") for ion, level in zip(_IONS, levels, strict=True)}
    record["pH"] = ph
    if not bare:
        record["amount"] = _quantity(recipe.mash_l + recipe.sparge_l, "l")
    return record


def _json_mash(recipe: Draft, bare: bool) -> Json:
    steps: list[Json] = [
        {
            "name": "Saccharification",
            "type": "infusion",
            "amount": _quantity(recipe.mash_l, "l"),
            "step_temperature": _quantity(66, "C"),
            "step_time": _quantity(60, "min"),
        },
        {
            "name": "Sparge",
            "type": "sparge",
            "amount": _quantity(recipe.sparge_l, "l"),
            "step_temperature": _quantity(76, "C"),
            "step_time": _quantity(20, "min"),
        },
    ]
    mash: Json = {"mash_steps": steps}
    if not bare:
        mash |= {"name": "Single infusion", "grain_temperature": _quantity(20, "C")}
    return mash


def files(count: int, seed: int = SEED) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of ``count`` files, one recipe each but for the odd one out."""
    chance = random.Random(seed)
    earlier: list[Draft] = []
    for place in range(count):
        folder = f"shelf-{place // PER_FOLDER:04}"
        fate = chance.random()
        if fate < 0.005:
            yield f"{folder}/torn-{place:06}.xml", b"<RECIPES><RECIPE><NAME>Torn</NAME><HOPS>"
            continue
        if fate < 0.01:
            yield f"{folder}/other-{place:06}.json", b'{"tool": "scale", "readings": [1, 2]}'
            continue
        recipe = draft(chance, place)
        if earlier and fate < 0.05:
            recipe = _like(chance.choice(earlier), recipe, chance)
        elif len(earlier) < 500:
            earlier.append(recipe)
        if chance.random() < 0.5:
            yield f"{folder}/recipe-{place:06}.xml", as_beerxml(recipe, chance)
        else:
            yield f"{folder}/recipe-{place:06}.json", as_beerjson(recipe, chance)


def _like(earlier: Draft, recipe: Draft, chance: random.Random) -> Draft:
    """Return an earlier recipe under another name, half of them with other hops and notes."""
    again = replace(earlier, name=recipe.name)
    if chance.random() < 0.5:
        return again
    return replace(again, hops=recipe.hops, notes=recipe.notes, brewer=recipe.brewer)


def write(folder: Path, count: int, seed: int = SEED) -> int:
    """Write an archive into an empty folder and return its size in bytes."""
    total = 0
    known: set[Path] = set()
    for name, data in files(count, seed):
        path = folder / name
        if path.parent not in known:
            path.parent.mkdir(parents=True, exist_ok=True)
            known.add(path.parent)
        path.write_bytes(data)
        total += len(data)
    return total


if __name__ == "__main__":
    written = write(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1000)
    print(f"{written / 1e6:.1f} MB")
