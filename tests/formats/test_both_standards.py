"""A fault that both standards can express gets the same rule, severity and confidence in both.

Each is made in the BeerXML and the BeerJSON of one recipe, through the check of whole files. How
much it weighs follows from what the field is good for, not from the standard it is written in.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from lxml import etree

from recipe_tools.checking import check_bytes
from recipe_tools.checking.judging import FileRequest
from recipe_tools.config import Options
from recipe_tools.findings import Confidence, Severity
from recipe_tools.formats.deviations import DEVIATIONS
from recipe_tools.limits import Limits

NOTE, WARNING, ERROR = Severity.NOTE, Severity.WARNING, Severity.ERROR
ROWS = {
    "recipe name": ("NAME", "name", "Weir Bitter"),
    "recipe type": ("TYPE", "type", "all grain"),
    "brewer": ("BREWER", "author", "Aldermoor Brewing Circle"),
    "batch": ("BATCH_SIZE", "batch_size", (20.0, "l")),
    "boil size": ("BOIL_SIZE", "boil/pre_boil_size", (25.0, "l")),
    "boil time": ("BOIL_TIME", "boil/boil_time", (60.0, "min")),
    "efficiency": ("EFFICIENCY", "efficiency/brewhouse", (72.0, "%")),
    "og": ("OG", "original_gravity", (1.042, "sg")),
    "fg": ("FG", "final_gravity", (1.010, "sg")),
    "style name": ("STYLE/NAME", "style/name", "Best Bitter"),
    "category": ("STYLE/CATEGORY", "style/category", "British Bitter"),
    "category number": ("STYLE/CATEGORY_NUMBER", "style/category_number", 11),
    "style letter": ("STYLE/STYLE_LETTER", "style/style_letter", "B"),
    "guide": ("STYLE/STYLE_GUIDE", "style/style_guide", "BJCP 2021"),
    "style type": ("STYLE/TYPE", "style/type", "beer"),
    "malt": ("FERMENTABLES/FERMENTABLE/NAME", "ingredients/fermentable_additions/0/name", "Pale"),
    "malt type": (
        "FERMENTABLES/FERMENTABLE/TYPE",
        "ingredients/fermentable_additions/0/type",
        "grain",
    ),
    "malt amount": (
        "FERMENTABLES/FERMENTABLE/AMOUNT",
        "ingredients/fermentable_additions/0/amount",
        (3.6, "kg"),
    ),
    "malt yield": (
        "FERMENTABLES/FERMENTABLE/YIELD",
        "ingredients/fermentable_additions/0/yield/fine_grind",
        (80.0, "%"),
    ),
    "malt colour": (
        "FERMENTABLES/FERMENTABLE/COLOR",
        "ingredients/fermentable_additions/0/color",
        (3.0, "Lovi"),
    ),
    "hop": ("HOPS/HOP/NAME", "ingredients/hop_additions/0/name", "Mill Garden"),
    "alpha": ("HOPS/HOP/ALPHA", "ingredients/hop_additions/0/alpha_acid", (5.5, "%")),
    "hop amount": ("HOPS/HOP/AMOUNT", "ingredients/hop_additions/0/amount", (0.04, "kg")),
    "hop form": ("HOPS/HOP/FORM", "ingredients/hop_additions/0/form", "pellet"),
    "hop use": ("HOPS/HOP/USE", "ingredients/hop_additions/0/timing/use", "add_to_boil"),
    "hop time": ("HOPS/HOP/TIME", "ingredients/hop_additions/0/timing/time", (60.0, "min")),
    "salt": ("MISCS/MISC/NAME", "ingredients/miscellaneous_additions/0/name", "Gypsum"),
    "salt type": (
        "MISCS/MISC/TYPE",
        "ingredients/miscellaneous_additions/0/type",
        "water agent",
    ),
    "salt amount": (
        "MISCS/MISC/AMOUNT",
        "ingredients/miscellaneous_additions/0/amount",
        (0.004, "kg"),
    ),
    "salt use": (
        "MISCS/MISC/USE",
        "ingredients/miscellaneous_additions/0/timing/use",
        "add_to_mash",
    ),
    "salt time": (
        "MISCS/MISC/TIME",
        "ingredients/miscellaneous_additions/0/timing/time",
        (60.0, "min"),
    ),
    "yeast": ("YEASTS/YEAST/NAME", "ingredients/culture_additions/0/name", "House yeast"),
    "yeast type": ("YEASTS/YEAST/TYPE", "ingredients/culture_additions/0/type", "ale"),
    "yeast form": ("YEASTS/YEAST/FORM", "ingredients/culture_additions/0/form", "liquid"),
    "yeast amount": ("YEASTS/YEAST/AMOUNT", "ingredients/culture_additions/0/amount", (0.1, "l")),
    "attenuation": (
        "YEASTS/YEAST/ATTENUATION",
        "ingredients/culture_additions/0/attenuation",
        (75.0, "%"),
    ),
    "water": ("WATERS/WATER/NAME", "ingredients/water_additions/0/name", "Aldermoor mains"),
    "water amount": ("WATERS/WATER/AMOUNT", "ingredients/water_additions/0/amount", (28.0, "l")),
    **{
        ion: (
            f"WATERS/WATER/{ion.upper()}",
            f"ingredients/water_additions/0/{ion}",
            (size, "mg/l"),
        )
        for ion, size in (
            *(("calcium", 61.0), ("magnesium", 6.0), ("sodium", 14.0)),
            *(("chloride", 27.0), ("sulfate", 42.0), ("bicarbonate", 155.0)),
        )
    },
    "mash": ("MASH/NAME", "mash/name", "One rest"),
    "grain temperature": ("MASH/GRAIN_TEMP", "mash/grain_temperature", (18.0, "C")),
    "step": ("MASH/MASH_STEPS/MASH_STEP/NAME", "mash/mash_steps/0/name", "Rest"),
    "step type": ("MASH/MASH_STEPS/MASH_STEP/TYPE", "mash/mash_steps/0/type", "infusion"),
    "strike": (
        "MASH/MASH_STEPS/MASH_STEP/INFUSE_AMOUNT",
        "mash/mash_steps/0/amount",
        (10.8, "l"),
    ),
    "step temperature": (
        "MASH/MASH_STEPS/MASH_STEP/STEP_TEMP",
        "mash/mash_steps/0/step_temperature",
        (66.0, "C"),
    ),
    "step time": (
        "MASH/MASH_STEPS/MASH_STEP/STEP_TIME",
        "mash/mash_steps/0/step_time",
        (60.0, "min"),
    ),
}
"""What the recipe holds, by name: tags in BeerXML, members in BeerJSON, value (and its unit)."""

WORDS = {
    "all grain": "All Grain",
    "beer": "Ale",
    "pellet": "Pellet",
    "add_to_boil": "Boil",
    "water agent": "Water Agent",
    "add_to_mash": "Mash",
}
RECORDS = ("STYLE", "FERMENTABLE", "HOP", "MISC", "YEAST", "WATER", "MASH", "MASH_STEP")


class Xml:
    """The recipe in BeerXML."""

    def __init__(self) -> None:
        self.root = etree.Element("RECIPES")
        self.recipe = etree.SubElement(self.root, "RECIPE")
        etree.SubElement(self.recipe, "VERSION").text = "1"
        for name, (path, _, value) in ROWS.items():
            listed = path.startswith(("HOPS", "MISCS", "YEASTS", "MASH", "FERM", "STYLE"))
            text = str(value[0] if isinstance(value, tuple) else value)
            text = WORDS.get(text, text.title() if listed and "type" in name else text)
            self._at(path).text = "Liquid" if text == "liquid" else text
        etree.SubElement(self._at("MISCS/MISC"), "AMOUNT_IS_WEIGHT").text = "TRUE"
        for tag in ("OG_MIN", "OG_MAX", "FG_MIN", "FG_MAX"):
            etree.SubElement(self._at("STYLE"), tag).text = "1.040"
        for tag in ("IBU_MIN", "IBU_MAX", "COLOR_MIN", "COLOR_MAX"):
            etree.SubElement(self._at("STYLE"), tag).text = "30"

    def _at(self, path: str) -> etree._Element:
        element = self.recipe
        for tag in path.split("/"):
            inner = element.find(tag)
            if inner is None:
                inner = etree.SubElement(element, tag)
                if tag in RECORDS:
                    etree.SubElement(inner, "VERSION").text = "1"
            element = inner
        return element

    def put(self, name: str, text: str) -> None:
        self._at(ROWS[name][0]).text = text

    def drop(self, name: str) -> None:
        element = self._at(ROWS[name][0])
        holder = element.getparent()
        assert holder is not None
        holder.remove(element)

    def rename(self, name: str, tag: str) -> None:
        self._at(ROWS[name][0]).tag = tag.upper()

    def more(self, name: str, member: str, text: str) -> None:
        holder = self._at(ROWS[name][0]).getparent()
        assert holder is not None
        etree.SubElement(holder, member.upper()).text = text

    def data(self) -> bytes:
        return etree.tostring(self.root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


class Json:
    """The recipe in BeerJSON."""

    def __init__(self) -> None:
        self.recipe: dict[str, Any] = {}
        for _, path, value in ROWS.values():
            holder, key = self._holder(path)
            if isinstance(value, tuple):
                holder[key] = {"value": value[0], "unit": value[1]}
            else:
                holder[key] = value
        self.version: Any = 1.0
        self.malts: list[dict[str, Any]] = []

    def _holder(self, path: str) -> tuple[Any, str]:
        holder: Any = self.recipe
        parts = path.split("/")
        for place, part in enumerate(parts[:-1]):
            if isinstance(holder, list):
                if not holder:
                    holder.append({})
                holder = holder[0]
            else:
                holder = holder.setdefault(part, [] if parts[place + 1] == "0" else {})
        return holder, parts[-1]

    def put(self, name: str, value: Any) -> None:
        holder, key = self._holder(ROWS[name][1])
        if isinstance(holder[key], dict):
            holder[key]["value"] = value
        else:
            holder[key] = value

    def whole(self, name: str, value: Any) -> None:
        holder, key = self._holder(ROWS[name][1])
        holder[key] = value

    def drop(self, name: str) -> None:
        holder, key = self._holder(ROWS[name][1])
        del holder[key]

    def rename(self, name: str, member: str) -> None:
        holder, key = self._holder(ROWS[name][1])
        holder[member] = holder.pop(key)

    def more(self, name: str, member: str, value: Any) -> None:
        self._holder(ROWS[name][1])[0][member] = value

    def data(self) -> bytes:
        whole = {"version": self.version, "recipes": [self.recipe], "fermentables": self.malts}
        if self.version is None:
            del whole["version"]
        return json.dumps({"beerjson": whole}, indent=1).encode()


def found(data: bytes, options: Options | None = None) -> set[tuple[str, Severity, Confidence]]:
    """Return rule, severity and confidence of what a reader says of a file."""
    file = check_bytes(
        data, "weir", options or Options(), FileRequest(confidence=Confidence.POSSIBLE)
    )
    return {
        (item.rule, item.severity or DEVIATIONS[item.rule].severity, item.confidence)
        for item in file.findings
        if item.rule in DEVIATIONS
    }


def test_the_twins_keep_to_their_standards() -> None:
    assert found(Xml().data()) == found(Json().data()) == set()


Made = tuple[Callable[[Xml], object], Callable[[Json], object]]


def number(name: str, size: float) -> Made:
    return lambda x: x.put(name, repr(size)), lambda j: j.put(name, size)


def text(name: str, written: str) -> Made:
    return lambda x: x.put(name, written), lambda j: j.put(name, written)


def with_unit(name: str, written: str) -> Made:
    return lambda x: x.put(name, written), lambda j: j.whole(name, written)


def not_finite(name: str) -> Made:
    return lambda x: x.put(name, "NaN"), lambda j: j.put(name, float("nan"))


def absent(name: str) -> Made:
    return lambda x: x.drop(name), lambda j: j.drop(name)


def renamed(name: str, member: str) -> Made:
    return lambda x: x.rename(name, member), lambda j: j.rename(name, member)


NUMBERS = [name for name, row in ROWS.items() if isinstance(row[2], tuple)]
FAULTS: dict[str, tuple[str, Made]] = {}
for name in NUMBERS:
    if name not in ("og", "fg", "step temperature", "grain temperature"):
        FAULTS[f"{name} negative"] = ("standard/impossible-value", number(name, -4.0))
    FAULTS[f"{name} beyond all measure"] = ("standard/impossible-value", number(name, 1e12))
    FAULTS[f"{name} not finite"] = ("standard/not-finite", not_finite(name))
    FAULTS[f"{name} in words"] = ("standard/wrong-type", text(name, "a pinch"))
    FAULTS[f"{name} behind a comma"] = ("standard/decimal-comma", text(name, "50,5"))
    FAULTS[f"{name} empty"] = ("standard/empty-number", text(name, ""))
for name in ("efficiency", "malt yield", "attenuation"):
    FAULTS[f"{name} as a fraction"] = ("standard/fraction-for-percent", number(name, 0.72))
FAULTS |= {
    "alpha as a fraction": ("standard/fraction-for-percent", number("alpha", 0.055)),
    "og in points": ("standard/gravity-not-sg", number("og", 1048.0)),
    "og in Plato": ("standard/gravity-not-sg", number("og", 11.6)),
    "fg below any beer": ("standard/impossible-value", number("fg", 0.93)),
    "og of 0": ("standard/impossible-value", number("og", 0.0)),
    "attenuation of 110 %": ("", number("attenuation", 110.0)),
    "a strike of nothing": ("standard/impossible-value", number("strike", 1e-12)),
    "litres behind the batch": ("standard/number-with-unit", with_unit("batch", "20.0 L")),
    "gallons for the batch": ("standard/number-with-unit", with_unit("batch", "5.5 gal")),
    "pounds of malt": ("standard/number-with-unit", with_unit("malt amount", "8 lb")),
    "ounces of hops": ("standard/number-with-unit", with_unit("hop amount", "1.5 oz")),
    "hours of boil": ("standard/number-with-unit", with_unit("boil time", "1 hr")),
    "buckets of batch": ("standard/wrong-type", with_unit("batch", "2 buckets")),
    "salt for the sparge": (
        "standard/value-not-listed",
        (lambda x: x.put("salt use", "Sparge"), lambda j: j.put("salt use", "add_to_sparge")),
    ),
    "hops of no form": ("standard/value-not-listed", text("hop form", "powdery")),
    "step of no kind": ("standard/value-not-listed", text("step type", "Strike")),
    "type in another case": ("standard/value-not-listed", text("recipe type", "ALL GRAIN")),
    "sulphate": ("standard/misspelt-tag", renamed("sulfate", "sulphate")),
    "malt colour misspelt": ("standard/misspelt-tag", renamed("malt colour", "colour")),
    "batch misspelt": ("standard/misspelt-tag", renamed("batch", "batch_sise")),
    "Boolean in lower case": (
        "standard/boolean-spelling",
        (
            lambda x: x.more("malt", "recommend_mash", "true"),
            lambda j: j.malts.append({"name": "Pale", "recommend_mash": "TRUE"}),
        ),
    ),
    "pH of 15": (
        "standard/impossible-value",
        (
            lambda x: x.more("water", "PH", "15"),
            lambda j: j.more("water", "pH", {"value": 15, "unit": "pH"}),
        ),
    ),
    "no version": (
        "file/unknown-version",
        (
            lambda x: x.recipe.remove(x.recipe.find("VERSION")),
            lambda j: setattr(j, "version", None),
        ),
    ),
    "a later version": (
        "file/unknown-version",
        (
            lambda x: setattr(x.recipe.find("VERSION"), "text", "7"),
            lambda j: setattr(j, "version", 7.0),
        ),
    ),
}
for name in ("batch", "brewer", "efficiency", "malt amount", "malt colour", "salt amount", "alpha"):
    FAULTS[f"no {name}"] = ("standard/required-missing", absent(name))
for name in ("calcium", "category", "grain temperature", "step temperature", "yeast form"):
    FAULTS[f"no {name}"] = ("standard/required-missing", absent(name))


def test_a_fault_weighs_the_same_in_both_standards() -> None:
    different = {}
    for name, (rule, (in_xml, in_json)) in FAULTS.items():
        xml, beerjson = Xml(), Json()
        in_xml(xml)
        in_json(beerjson)
        one, other = found(xml.data()), found(beerjson.data())
        of_rule = [{item for item in side if item[0] == rule} for side in (one, other)]
        if rule and of_rule[0] == of_rule[1] != set():
            continue
        if rule or one or other:
            different[name] = (sorted(one), sorted(other))
    assert different == {}


def doubled(data: bytes, line: bytes) -> bytes:
    """Return a file with the line that holds some bytes twice."""
    whole = next(item for item in data.split(b"\n") if line in item)
    return data.replace(whole, whole + b"\n" + whole, 1)


@pytest.mark.parametrize(
    ("tag", "member", "severity"),
    [
        (b"<BATCH_SIZE>", b'"batch_size"', WARNING),
        (b"<EFFICIENCY>", b'"efficiency"', NOTE),
        (b"<BREWER>", b'"author"', NOTE),
    ],
)
def test_a_value_given_twice(tag: bytes, member: bytes, severity: Severity) -> None:
    xml = doubled(Xml().data(), tag)
    compact = {key: json.dumps(value) for key, value in Json().recipe.items()}
    name = member.decode().strip('"')
    members = [f'"{key}": {value}' for key, value in compact.items()]
    members.append(f'"{name}": {compact[name]}')
    beerjson = f'{{"beerjson": {{"version": 1, "recipes": [{{{", ".join(members)}}}]}}}}'.encode()
    said = ("file/duplicate-member", severity, Confidence.CERTAIN)
    assert found(xml) == found(beerjson) == {said}


@pytest.mark.parametrize(
    ("xml", "beerjson", "rule"),
    [
        (Xml().data()[:900], Json().data()[:900], "file/unreadable"),
        (b"<A>" * 400 + b"</A>" * 400, b'{"beerjson":' * 400 + b"1" + b"}" * 400, "file/too-deep"),
        (b"<inventory/>", b'{"inventory": 1}', "file/not-a-recipe"),
        (b"<RECIPES/>", b'{"beerjson": {"version": 1, "recipes": []}}', "file/empty-document"),
        (
            Xml().data().replace(b"Weir", b"W\xfchr").replace(b"UTF-8", b"utf-8"),
            Json().data().replace(b"Weir", b"W\xfchr"),
            "file/encoding-repaired",
        ),
        (
            Xml().data().replace(b"<RECIPES>", b"").replace(b"</RECIPES>", b""),
            json.dumps(Json().recipe).encode(),
            "file/root-not-standard",
        ),
        (
            Xml().data().replace(b"Weir", b"We\x0bir"),
            Json().data().replace(b"Weir", b"We\x0bir"),
            "file/markup-repaired",
        ),
    ],
    ids=["cut short", "too deep", "no recipe", "empty", "letters", "no root", "control character"],
)
def test_a_fault_of_the_whole_file(xml: bytes, beerjson: bytes, rule: str) -> None:
    assert found(xml) == found(beerjson)
    assert {item[0] for item in found(xml)} == {rule}


def test_more_records_than_the_limit() -> None:
    xml, beerjson = Xml(), Json()
    misc = xml.recipe.find("MISCS/MISC")
    assert misc is not None
    for _ in range(3):
        misc.addnext(etree.fromstring(etree.tostring(misc)))
    beerjson.recipe["ingredients"]["miscellaneous_additions"] *= 4
    few = Options(limits=Limits(max_additions=2))
    assert found(xml.data(), few) == found(beerjson.data(), few)
    assert {item[0] for item in found(xml.data(), few)} == {"file/too-many-records"}


def test_a_file_of_more_bytes_than_the_limit() -> None:
    for data in (Xml().data(), Json().data()):
        assert found(data, Options(limits=Limits(max_bytes=len(data)))) == set()
        less = found(data, Options(limits=Limits(max_bytes=len(data) - 1)))
        assert less == {("file/too-large", ERROR, Confidence.CERTAIN)}
