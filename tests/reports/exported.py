"""Invented recipes written as three kinds of program export them, the same every time.

The drafts are those of the benchmarks. What real files do beyond their standard is put in here: a
sheet that keeps fields and words of its own, a service that writes letters as numbers and leaves
out the water, and a service that exports BeerJSON without half of what its schema requires.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from typing import Any

from tests.benchmarks.generated_archive import Draft, as_beerjson, as_beerxml, draft

SEED = 19_061_201
PER_HABIT = 22
_MISC = (
    "<MISC>\n <NAME>{}</NAME>\n <VERSION>1</VERSION>\n <TYPE>{}</TYPE>\n <USE>{}</USE>\n"
    " <TIME>1800</TIME>\n <AMOUNT>{}</AMOUNT>\n <AMOUNT_IS_WEIGHT>FALSE</AMOUNT_IS_WEIGHT>\n"
    "</MISC>\n"
)
_OWN_TAGS = "".join(
    f" <ALD_FIELD_{number}>{number}.0</ALD_FIELD_{number}>\n" for number in range(14)
)


def exported() -> Iterator[tuple[str, bytes]]:
    """Yield name and content of the files, one recipe each."""
    chance = random.Random(SEED)
    for name, habit in _HABITS.items():
        for place in range(PER_HABIT):
            suffix = "json" if habit is _from_a_json_service else "xml"
            yield f"{name}-{place:02}.{suffix}", habit(draft(chance, place), chance)


def _from_a_sheet(recipe: Draft, chance: random.Random) -> bytes:
    """Keep fields of its own, show values with units, use words the standard does not list."""
    text = as_beerxml(recipe, chance).decode()
    text = text.replace("<FORM>Pellet</FORM>", "<FORM>Whole</FORM>")
    text = text.replace("<TYPE>Ale</TYPE>\n <FORM>Dry", "<TYPE>Ales</TYPE>\n <FORM>Dry")
    text = re.sub(r">(TRUE|FALSE)<", lambda found: found[0].lower(), text)
    text = text.replace(
        "</RECIPE>", f" <IBU>27.0 IBUs</IBU>\n <COLOR>12.3 SRM</COLOR>\n{_OWN_TAGS}</RECIPE>"
    )
    text = re.sub(r"(<OG>[0-9.]+)<", r"\1 SG<", text)
    if chance.random() < 0.3:
        pieces = _MISC.format("Campden tablets", "Other", "Mash", chance.randint(1, 3))
        text = text.replace("</MISCS>", f"{pieces}</MISCS>")
    return text.encode()


def _from_a_service(recipe: Draft, chance: random.Random) -> bytes:
    """Leave out the water, write letters as numbers, and numbers that are none."""
    text = as_beerxml(recipe, chance).decode()
    if chance.random() < 0.8:
        text = re.sub(r"<WATERS>.*</WATERS>\n", "", text, flags=re.DOTALL)
    text = re.sub(r"<EVAP_RATE>[0-9.]+<", "<EVAP_RATE>Infinity<", text)
    text = text.replace("</RECIPE>", " <IBU_GAL_PER_LB>NaN</IBU_GAL_PER_LB>\n</RECIPE>")
    text = re.sub(r"(?<=<NAME>)[^<]+", lambda found: _in_numbers(found[0]), text)
    text = re.sub(r"(<NOTES>[^<]+)(</NOTES>\n <OG>)", r"\1&#13;\n\2", text)
    more = ""
    if chance.random() < 0.2:
        more += _MISC.format("Bottled spring water", "Other", "Mash", recipe.mash_l)
    if chance.random() < 0.3:
        more += _MISC.format("Calcium Chloride (CaCl2) 33 %", "Water Agent", "Sparge", "0.004")
    return text.replace("</MISCS>", f"{more}</MISCS>").encode()


def _in_numbers(text: str) -> str:
    return "".join(f"&#{ord(letter)};" if letter in " 0123456789()" else letter for letter in text)


def _from_a_json_service(recipe: Draft, chance: random.Random) -> bytes:
    """Miss members, carry others, write empty strings and units the schema does not list."""
    document: Any = json.loads(as_beerjson(recipe, chance))
    whole = document["beerjson"]["recipes"][0]
    whole.pop("efficiency", None)
    whole["mash"].pop("grain_temperature", None)
    whole["mash"]["name"] = ""
    whole["equipment_id"] = None
    for step in whole["mash"]["mash_steps"]:
        step["name"] = ""
    for item in whole["ingredients"]["fermentable_additions"]:
        item.pop("yield", None)
        item["product_id"] = ""
    for item in whole["ingredients"]["hop_additions"]:
        if item["timing"].get("duration", {}).get("unit") == "day":
            item["timing"]["duration"]["unit"] = "days"
    for item in whole["ingredients"]["miscellaneous_additions"]:
        item["name"] = item["name"].replace("CaSO4", "CaSO₄").replace("Chalk", "CaCO₃")
        if item["type"] == "water agent" and chance.random() < 0.2:
            item["timing"] = {"use": "add_to_boil"}
    for item in whole["ingredients"].get("water_additions", ()):
        item.pop("amount", None)
        item["potassium"] = None
    if chance.random() < 0.5:
        whole["ingredients"].pop("water_additions", None)
    whole["style"].pop("category", None)
    return json.dumps(document, ensure_ascii=False, indent=1).encode()


_HABITS: dict[str, Callable[[Draft, random.Random], bytes]] = {
    "sheet": _from_a_sheet,
    "service": _from_a_service,
    "json": _from_a_json_service,
}
