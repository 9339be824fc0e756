"""recipe-tools.toml: what it means, and what is refused in which words."""

from __future__ import annotations

import pickle
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from recipe_tools.config import ConfigError, MaltLot, Options, RuleSettings, load_config
from recipe_tools.config.load import options_from_table
from recipe_tools.findings import Example, Option, Rule, Severity

RULES = {
    "ions/calcium-low": Rule(
        id="ions/calcium-low",
        severity=Severity.WARNING,
        summary="",
        why="",
        source="",
        remedy="",
        passes=Example(""),
        fails=Example(""),
        aliases=("ions/little-calcium",),
        options={
            "low": Option(50, "mg/L", "", ""),
            "alkalinity": Option(50, "mg/L as CaCO3", "", ""),
            "body": Option("WHO", "", "", ""),
            "strict": Option(False, "", "", ""),
            "volume": Option(1.0, "L", "", ""),
        },
    ),
    "sparge/ph-high": Rule(
        id="sparge/ph-high",
        severity=Severity.WARNING,
        summary="",
        why="",
        source="",
        remedy="",
        passes=Example(""),
        fails=Example(""),
    ),
}

FULL = """
[water]
records = "target"
report = { calcium = "62 mg/L", alkalinity = "4 °dH" }
chlorine_mg_l = "0.5 mg/L"
chloramine = true
treatment = "lime"

[equipment]
sparge = false
grain_absorption_l_kg = "0.12 gal/lb"
dead_space_l = "1 qt"
crush = "fine"
units = "us"

[[malt]]
name = "Pale malt, Aldermoor lot 3"
di_ph = 5.78
buffer_meq_kg_ph = 42
di_water_l_kg = 8.345

[[shelf]]
agent = "lactic acid 88 %"
form = "solution"
[[shelf]]
agent = "gypsum"
scale_g = "0.01 oz"
purity_percent = 98

[style.pale_ale]
calcium = [50, 100]
sulfate = "100 - 200 mg/L"
chloride = { high = "3 mEq/L" }
residual_alkalinity_meq_l = ["-2 °dH", "1 °dH"]
sulfate_to_chloride = { low = 1.5 }

[rules."ions/calcium-low"]
severity = "note"
options = { low = "40 ppm", alkalinity = "2 °dH", strict = true, volume = "1 gal" }

[[paths]]
globs = ["lagers/**", "*.lager.json"]
equipment.sparge = true
style.pale_ale.sodium = [0, 50]
[paths.rules."ions/calcium-low"]
severity = "off"

[[suppress]]
rule = "ions"
path = "archive/"
recipe = "Old Mill Bitter"
reason = "brewed long ago"
until = 2030-12-31
[[suppress]]
rule = "sparge/ph-high"
recipe = 0
reason = "soft water"
"""


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    (tmp_path / ".git").mkdir()
    return tmp_path


def write(folder: Path, text: str | bytes) -> Path:
    path = folder / "recipe-tools.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def message(folder: Path, text: str | bytes, **named: Any) -> str:
    with pytest.raises(ConfigError) as caught:
        load_config(write(folder, text), known_rules=RULES, **named)
    return str(caught.value)


def test_every_key(repository: Path) -> None:
    options = load_config(write(repository, FULL), known_rules=RULES)
    assert options.records == "target"
    assert options.water is not None
    assert options.water.ions_mg_l["calcium"].best == 62
    assert options.water.alkalinity_meq_l.best == pytest.approx(4 / 2.8038, rel=1e-3)
    assert options.chlorine_mg_l == 0.5
    assert options.chloramine is True
    assert options.treatment == "lime"
    assert options.sparge is False
    # 0.12 x 3.785411784 L / 0.45359237 kg, and a quarter of 3.785411784 L
    assert options.grain_absorption_l_kg == pytest.approx(1.00145, rel=1e-4)
    assert options.dead_space_l == pytest.approx(0.946353, rel=1e-5)
    assert options.crush == "fine"
    assert options.units == "us"
    assert options.malts == (MaltLot("Pale malt, Aldermoor lot 3", 5.78, 42.0, 8.345),)
    acid, gypsum = options.shelf
    assert (acid.agent, acid.strength_percent) == ("lactic_acid", 88.0)
    assert gypsum.scale_g == pytest.approx(0.01 * 28.349523, rel=1e-5)
    assert gypsum.purity_percent == 98
    ranges = options.styles["pale_ale"]
    assert ranges["calcium"] == (50, 100)
    assert ranges["sulfate"] == (100, 200)
    assert ranges["chloride"][0] is None
    assert ranges["chloride"][1] == pytest.approx(3 * 35.45)
    assert ranges["residual_alkalinity_meq_l"] == pytest.approx((-0.7133, 0.3567), abs=1e-3)
    assert ranges["sulfate_to_chloride"] == (1.5, None)
    settings = options.rules["ions/calcium-low"]
    assert settings.severity == "note"
    assert settings.options["low"] == pytest.approx(40.0)
    assert settings.options["alkalinity"] == pytest.approx(35.7, abs=0.01)
    assert settings.options["strict"] is True
    assert settings.options["volume"] == pytest.approx(3.785411784)
    first, second = options.suppressions
    assert (first.rule, first.until, first.index) == ("ions", date(2030, 12, 31), 0)
    assert (second.recipe, second.index) == (0, 1)
    assert options.source_path == "recipe-tools.toml"


def test_an_empty_file_gives_the_defaults(repository: Path) -> None:
    options = load_config(write(repository, b""))
    assert replace(options, source_path="") == Options()


def test_overrides_apply_to_matching_files_only(repository: Path) -> None:
    options = load_config(write(repository, FULL), known_rules=RULES)
    assert options.for_path("ales/mild.xml") is options
    lager = options.for_path("lagers/2024/pils.xml")
    assert lager.sparge is True
    assert lager.crush == "fine"
    assert lager.styles["pale_ale"]["calcium"] == (50, 100)
    assert lager.styles["pale_ale"]["sodium"] == (0, 50)
    settings = lager.rules["ions/calcium-low"]
    assert settings.severity == "off"
    assert settings.options["strict"] is True
    assert options.for_path("a/b/x.lager.json") is lager
    plain = Options()
    assert plain.for_path("anything") is plain


def test_a_report_in_a_file_is_found_beside_the_configuration(repository: Path) -> None:
    (repository / "waters").mkdir()
    (repository / "waters" / "tap.toml").write_text('alkalinity = "3 mmol/L"\n')
    path = write(repository, '[water]\nreport = "waters/tap.toml"\n')
    options = load_config(path)
    assert options.water is not None
    assert options.water.alkalinity_meq_l.best == 3.0


def test_digests_differ_where_options_do() -> None:
    one = Options()
    others = [
        replace(one, crush="fine"),
        replace(one, today=date(2030, 1, 1)),
        replace(one, rules={"x": RuleSettings("off")}),
        replace(one, rules={"x": RuleSettings("note")}),
        replace(one, malts=(MaltLot("x", 5.7),)),
        options_from_table({"water": {"report": {"calcium": 1}}}),
        options_from_table({"water": {"report": {"calcium": 2}}}),
    ]
    digests = [options.digest() for options in (one, *others)]
    assert len(set(digests)) == len(digests)
    assert Options().digest() == one.digest()


def test_options_can_be_handed_to_another_process(repository: Path) -> None:
    options = load_config(write(repository, FULL), known_rules=RULES)
    assert pickle.loads(pickle.dumps(options)) == options


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("recods = 1", "recods is not known here; the nearest is water.records"),
        ("records = 'source'", "records is not known here; the nearest is water.records"),
        ("[waters]", "waters is not known here; the nearest is water"),
        ("[water]\nrecods = 1", "water.recods is not known here; the nearest is records"),
        ("[water]\nrecords = 'tap'", 'water.records is not one of "source", "target", "ignore"'),
        ("[water]\nchlorine_mg_l = 50", "water.chlorine_mg_l is not between 0 and 10 mg/L"),
        ("[water]\nchloramine = 'yes'", "water.chloramine is not true or false"),
        ("[water]\nreport = 3", "water.report is neither the name of a file nor a table"),
        ("[water]\nreport = '/etc/passwd'", "water.report is not the name of a .toml file"),
        ("[water]\nreport = 'missing.toml'", "water.report: does not exist"),
        ("[water.report]\ncalcum = 3", "water.report: calcum is not known here; the nearest is"),
        ("water = 3", "water is not a table"),
        ("[equipment]\ncrush = 'course'", '"pulverised", "fine", "normal", "coarse"'),
        ("[equipment]\ndead_space_l = '1 kg'", "equipment.dead_space_l is not a volume"),
        ("[equipment]\ndead_space_l = -1", "equipment.dead_space_l is not between 0 and"),
        ("[equipment]\ndead_space_l = nan", "equipment.dead_space_l is not a finite number"),
        ("[equipment]\nsparge = 1", "equipment.sparge is not true or false"),
        ("[malt]\nname = 'x'", "malt is not a list of tables; write [[malt]]"),
        ("[[malt]]\ndi_ph = 5.7", "malt[0] has no name, which is mandatory"),
        ("[[malt]]\nname = 'x'\ndi_ph = 57", "malt[0].di_ph is not between 3 and 8"),
        (
            "[[malt]]\nname = 'x'\ndi_pH = 5.7",
            "malt[0].di_pH is not known here; the nearest is di_ph",
        ),
        ("[[shelf]]\nagent = 'unobtainium'", "shelf[0].agent is not a salt or acid that is known"),
        ("[[shelf]]\nagent = 'gypsum'\nform = 'gas'", '"solid", "solution", "tablet"'),
        ("[[shelf]]\nagent = 'gypsum'\npurity_percent = 130", "between 0 and 100 %"),
        ("[style.mild]\ncalcum = [1, 2]", "style.mild.calcum is not known here; the nearest is"),
        ("[style.mild]\ncalcium = [2, 1]", "first end is the greater one"),
        ("[style.mild]\ncalcium = '50 mg/L'", "one number where a range"),
        ("[style.mild]\ncalcium = 50", "style.mild.calcium is not a range"),
        (
            "[rules.'ions/calcium-lo']",
            "ions/calcium-lo is not the name of a rule; the nearest is ions/calcium-low",
        ),
        ("[rules.ions]", "ions is not the name of a rule"),
        ("[rules.'ions/calcium-low']\nseverity = 'fatal'", '"error", "warning", "note", "off"'),
        (
            "[rules.'ions/calcium-low']\nlow = 3",
            "low is not known here; the nearest is options.low",
        ),
        (
            "[rules.'ions/calcium-low'.options]\nlaw = 3",
            "law is not known here; the nearest is low",
        ),
        ("[rules.'ions/calcium-low'.options]\nlow = '3 L'", "low is not a concentration"),
        ("[rules.'ions/calcium-low'.options]\nstrict = 1", "strict is not true or false"),
        (
            "[[suppress]]\nrule = 'ions/calcium-low'",
            "suppress[0] has no reason, which is mandatory",
        ),
        ("[[suppress]]\nrule = 'ions'\nreason = '  '", "suppress[0].reason is empty"),
        (
            "[[suppress]]\nrule = 'iron'\nreason = 'x'",
            "suppress[0].rule: iron is not the name of a rule",
        ),
        ("[[suppress]]\nrule = 'ions'\nreason = 'x'\nuntil = 'soon'", "is not a date such as"),
        ("[[suppress]]\nrule = 'ions'\nreason = 'x'\nrecipe = -1", "is not a place from 0 on"),
        ("[[paths]]\nequipment.sparge = true", "paths[0] has no globs"),
        ("[[paths]]\nglobs = []", "paths[0].globs is not a list of texts"),
        ("[[paths]]\nglobs = ['x']\nmalt = 3", "paths[0].malt is not known here"),
        ("[[paths]]\nglobs = ['x']\nwater.records = 'x'", "paths[0].water.records is not one of"),
    ],
)
def test_what_is_wrong_is_named(repository: Path, text: str, said: str) -> None:
    found = message(repository, text)
    assert found.startswith("recipe-tools.toml: ")
    assert said in found


def test_rules_known_by_id_alone_and_by_their_former_names(repository: Path) -> None:
    path = write(repository, "[rules.'ions/little-calcium']\noptions.low = 40\n")
    assert load_config(path, known_rules=RULES).rules["ions/little-calcium"].options == {"low": 40}
    with pytest.raises(ConfigError):
        load_config(path, known_rules={"ions/calcium-low"})
    assert load_config(path).rules


def test_values_are_never_repeated(repository: Path) -> None:
    secret = "hunter2"
    for text in (
        f"[water]\nrecords = '{secret}'",
        f"[water]\nreport = '{secret}'",
        f"[water]\nreport = '{secret}.toml'",
        f"[equipment]\ndead_space_l = '{secret}'",
        f"[[suppress]]\nrule = 'ions'\nreason = 'x'\nuntil = '{secret}'",
        f"[[shelf]]\nagent = '{secret}'",
        f"password = {secret}",
        f"[style.x]\ncalcium = '{secret}'",
    ):
        assert secret not in message(repository, text)


def test_options_alone_load_nothing_heavy() -> None:
    code = (
        "import sys; from recipe_tools.config import Options, find_config; "
        "Options().for_path('a').digest(); "
        "heavy = ('pint', 'highspy', 'jinja2', 'tomllib', 'jsonschema'); "
        "print([name for name in heavy if name in sys.modules])"
    )
    root = str(Path(__file__).parents[2])
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root
    )
    assert result.stdout.strip() == "[]"


def test_plain_units_need_no_pint(repository: Path) -> None:
    path = write(
        repository,
        "[water.report]\ncalcium = '62 mg/L'\nalkalinity = '135 mg/L as CaCO3'\n"
        "temperature = '12 °C'\nconductivity = '480 µS/cm'\n"
        "[equipment]\ndead_space_l = '0.4 L'\n",
    )
    code = (
        "import sys; from pathlib import Path; from recipe_tools.config import load_config; "
        f"load_config(Path({str(path)!r})); "
        "print([m for m in ('pint', 'highspy', 'jinja2', 'jsonschema') if m in sys.modules])"
    )
    root = str(Path(__file__).parents[2])
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root
    )
    assert result.stdout.strip() == "[]"
