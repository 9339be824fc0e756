"""``recipe-tools reading`` as a brewer uses it, in both standards."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from recipe_tools.rules.examples import PLAIN_RECIPE, document, xml_file
from recipe_tools.schema_files import schema_text
from tests.cli.conftest import Run

FILES = {"plain.json": document(PLAIN_RECIPE), "plain.xml": xml_file()}


@pytest.fixture(params=FILES)
def recipe(request: pytest.FixtureRequest, here: Path) -> str:
    (here / request.param).write_bytes(FILES[request.param])
    (here / "recipe-tools.toml").write_text("")
    return str(request.param)


def test_inside_the_window_nothing_is_proposed(run: Run, recipe: str) -> None:
    result = run("reading", recipe, "--ph", "5.42", "--celsius", "22", "--minutes", "10")
    assert result.code == 0
    assert "Leave it alone" in result.text
    assert "lactic" not in result.text.lower()


def test_above_it_acid_goes_in_by_two_thirds_with_its_cautions(run: Run, recipe: str) -> None:
    answer = run("reading", recipe, "--ph", "5.7", "--format", "json").json
    first, second = answer["correction"]["steps"]
    assert first["agent"] == second["agent"] == "Lactic acid 80 %"
    assert (first["when"], second["when"]) == ("now", "after reading again")
    assert second["ph_after"] == pytest.approx(answer["correction"]["target_ph"], abs=0.03)
    assert answer["correction"]["stays_inside"]
    assert first["low"] < first["ph_after"] < first["high"] < 5.7
    for layout in ("text", "markdown", "html"):
        shown = run("reading", recipe, "--ph", "5.7", "--format", layout).text
        assert f"{first['millilitres']:.1f} mL of lactic acid 80 %".replace(".", "") in (
            shown.replace("\\.", ".").replace(".", "")
        )
        assert "Goggles and gloves" in shown


def test_below_it_baking_soda_brings_it_back(run: Run, recipe: str) -> None:
    """Common practice, no source."""
    answer = run("reading", recipe, "--ph", "5.05", "--format", "json").json
    assert answer["correction"]["steps"][0]["agent"].startswith("Baking soda")
    assert answer["correction"]["steps"][0]["ph_after"] > 5.05


def test_a_wish_inside_the_window_is_called_one(run: Run, recipe: str) -> None:
    result = run("reading", recipe, "--ph", "5.5", "--target-ph", "5.3")
    assert result.code == 0
    assert "a wish" in result.text
    assert "of lactic acid" in result.text


def test_what_was_added_moves_the_prediction(run: Run, recipe: str) -> None:
    plain = run("reading", recipe, "--ph", "5.4", "--format", "json").json
    dosed = run(
        *("reading", recipe, "--ph", "5.4", "--format", "json"),
        *("--added", "3 mL lactic acid 80 %"),
    ).json
    assert dosed["prediction"]["predicted"] < plain["prediction"]["predicted"] - 0.1


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--ph", "9"), "No mash reads pH 9"),
        (("--ph", "3.9"), "No mash reads"),
        (("--ph", "5.5", "--celsius", "85"), "cool it"),
        (("--ph", "5.5", "--minutes", "4"), "not yet that of the mash"),
        (("--ph", "5.5", "--added", "some acid"), "write amount, unit and name"),
        (("--ph", "5.5", "--added", "3 mL beer"), "no salt, acid or base of that name"),
        (("--ph", "5.5", "--lot", "Moon malt=3"), "no malt of the recipe is called so"),
        (("--ph", "5.5", "--lot", "Moon malt"), "MALT=LOT"),
        ((), "what the meter shows"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(
    run: Run, recipe: str, given: tuple[str, ...], said: str
) -> None:
    result = run("reading", recipe, *given)
    assert (result.code, result.out) == (2, b"")
    assert said in result.err


def test_a_hot_sample_is_counted_and_warned_of(run: Run, recipe: str) -> None:
    result = run("reading", recipe, "--ph", "5.3", "--celsius", "45")
    # 0.005 +- 0.003 per degree, derived_default: 5.3 at 45 °C is 5.40 at 25
    assert "5.40 at 25 °C, give or take 0.08" in result.text
    assert "The sample was warm" in " ".join(result.text.split())


def test_a_kept_reading_is_used_by_later_checks_and_can_be_left_out(run: Run, recipe: str) -> None:
    before = run("check", recipe, "--format", "json").json
    mash = before["files"][0]["recipes"][0]["mash_ph"]
    assert (mash["readings_used"], mash["without_readings"]["predicted"]) == (0, mash["predicted"])
    read = mash["predicted"] + 0.12
    assert run("reading", recipe, "--ph", f"{read:.2f}", "--keep").code in (0, 1)
    after = run("check", recipe, "--format", "json").json["files"][0]["recipes"][0]["mash_ph"]
    assert after["readings_used"] == 1
    assert after["without_readings"]["predicted"] == mash["predicted"]
    assert mash["predicted"] < after["predicted"] < read
    assert sum(after["contributions_meq_kg"].values()) == pytest.approx(0.0, abs=1e-3)
    assert "from one reading of yours" in run("check", recipe).text
    plain = run("check", recipe, "--format", "json", "--no-readings").json
    assert plain["files"][0]["recipes"][0]["mash_ph"] == mash


def test_the_same_reading_is_kept_once(run: Run, recipe: str, here: Path) -> None:
    for _ in range(2):
        run("reading", recipe, "--ph", "5.5", "--date", "2026-11-01", "--keep")
    assert (here / "readings.toml").read_text("utf-8").count("[[reading]]") == 1


def test_keeping_needs_a_configuration_and_says_how_to_make_one(
    run: Run, recipe: str, here: Path
) -> None:
    (here / "recipe-tools.toml").unlink()
    result = run("reading", recipe, "--ph", "5.5", "--keep")
    assert result.code == 2
    assert "an empty file" in result.err
    assert not (here / "readings.toml").exists()


def test_a_broken_file_of_readings_is_a_wrong_configuration(
    run: Run, recipe: str, here: Path
) -> None:
    (here / "readings.toml").write_text("[[reading]]\nrecipe = 'secret'\nmash_ph = 12\n")
    result = run("check", recipe)
    assert (result.code, result.out) == (2, b"")
    assert "readings.toml: line 1:" in result.err
    assert "secret" not in result.err


def test_several_recipes_need_a_choice(run: Run, here: Path) -> None:
    body = json.loads(document(PLAIN_RECIPE))
    body["beerjson"]["recipes"] *= 2
    (here / "two.json").write_text(json.dumps(body))
    result = run("reading", "two.json", "--ph", "5.5")
    assert result.code == 2
    assert "--recipe" in result.err
    assert run("reading", "two.json", "--ph", "5.5", "--recipe", "2").code == 0


def test_an_unreadable_recipe_is_incomplete(run: Run, here: Path) -> None:
    (here / "torn.json").write_text("{")
    assert run("reading", "torn.json", "--ph", "5.5").code == 3


def test_the_list_shows_what_was_learnt(run: Run, recipe: str) -> None:
    assert run("reading", "--list").code == 0
    for day in ("01", "02", "03"):
        run("reading", recipe, "--ph", "5.55", "--date", f"2026-11-{day}", "--keep")
    text = run("reading", "--list").text
    assert "Learnt from 3 readings" in text
    assert "without" in text
    listed = run("reading", "--list", "--format", "json").json
    assert [item["date"] for item in listed["last"]] == ["2026-11-01", "2026-11-02", "2026-11-03"]
    errors = [abs(item["ph_at_25"] - item["expected"]) for item in listed["last"]]
    assert errors[-1] < errors[0]


def test_the_answer_keeps_to_its_schema(run: Run, recipe: str) -> None:
    from jsonschema import Draft202012Validator

    schema = json.loads(schema_text("reading.schema.json"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    for ph in ("5.4", "5.9", "5.0", "6.4"):
        answer = run("reading", recipe, "--ph", ph, "--format", "json").json
        assert list(validator.iter_errors(answer)) == []


def test_the_file_of_readings_keeps_to_its_schema(run: Run, recipe: str, here: Path) -> None:
    import tomllib

    from jsonschema import Draft202012Validator

    schema = json.loads(schema_text("readings.schema.json"))
    Draft202012Validator.check_schema(schema)
    arguments = ("--celsius", "24", "--minutes", "12", "--added", "1 mL lactic acid 80 %")
    run("reading", recipe, "--ph", "5.5", *arguments, "--keep")
    kept = tomllib.loads((here / "readings.toml").read_text("utf-8"))
    plain = json.loads(json.dumps(kept, default=str))
    assert list(Draft202012Validator(schema).iter_errors(plain)) == []


def stating(start: float | None = None, end: float | None = None) -> bytes:
    body = json.loads(document(PLAIN_RECIPE))
    mash = body["beerjson"]["recipes"][0]["mash"]["mash_steps"][0]
    for key, ph in (("start_ph", start), ("end_ph", end)):
        if ph is not None:
            mash[key] = {"value": ph, "unit": "pH"}
    return json.dumps(body).encode()


def test_a_ph_that_a_recipe_states_is_kept_only_where_it_was_meant(run: Run, here: Path) -> None:
    (here / "recipe-tools.toml").write_text("")
    (here / "a.json").write_bytes(stating(end=5.47))
    (here / "b.xml").write_bytes(xml_file())
    shown = run("reading", "--from-recipes", ".")
    assert shown.code == 0
    assert "a.json: Millrace Blonde: pH 5.47" in shown.text
    assert "Nobody can tell" in shown.text
    assert "b.xml" not in shown.text
    assert not (here / "readings.toml").exists()
    listed = run("reading", "--from-recipes", "a.json", "--format", "json").json["found"]
    assert [(item["ph"], item["pointer"].endswith("end_ph")) for item in listed] == [(5.47, True)]
    kept = run("reading", "--from-recipes", "a.json", "--meant", "--date", "2026-11-01")
    assert kept.code == 0
    assert "mash_ph = 5.47" in (here / "readings.toml").read_text("utf-8")


def test_no_paths_are_wrong_use(run: Run, here: Path) -> None:
    assert run("reading", "--from-recipes").code == 2
    assert run("reading", "a.json", "--ph", "5.5", "--meant").code == 2


def test_an_edited_recipe_is_named_and_what_was_learnt_stays(
    run: Run, recipe: str, here: Path
) -> None:
    run("reading", recipe, "--ph", "5.5", "--date", "2026-11-01", "--keep")
    assert "reading/recipe-changed" not in run("check", recipe, "--format", "json").rules
    before = (here / "readings.toml").read_bytes()
    data = (here / recipe).read_text("utf-8")
    edited = re.sub(r"<INFUSE_AMOUNT>[0-9.]+", "<INFUSE_AMOUNT>22", data)
    if recipe.endswith("json"):
        body = json.loads(data)
        body["beerjson"]["recipes"][0]["mash"]["mash_steps"][0]["amount"]["value"] = 22
        edited = json.dumps(body)
    assert edited != data
    (here / recipe).write_text(edited)
    assert "reading/recipe-changed" in run("check", recipe, "--format", "json").rules
    assert (here / "readings.toml").read_bytes() == before


def test_a_reading_far_off_is_named_with_its_line(run: Run, recipe: str, here: Path) -> None:
    for day in range(1, 7):
        run("reading", recipe, "--ph", "5.45", "--date", f"2026-11-0{day}", "--keep")
    run("reading", recipe, "--ph", "6.8", "--date", "2026-11-20", "--keep")
    result = run("check", recipe, "--format", "json")
    (item,) = (i for i in result.json["findings"] if i["rule"] == "reading/outlier")
    lines = (here / "readings.toml").read_text("utf-8").splitlines()
    assert lines[item["values"]["line"] - 1] == "[[reading]]"
    assert "mash_ph = 6.8" in lines[item["values"]["line"] - 1 :][4]


def test_a_lot_of_no_malt_is_named(run: Run, recipe: str, here: Path) -> None:
    run("reading", recipe, "--ph", "5.45", "--keep")
    kept = (here / "readings.toml").read_text("utf-8")
    (here / "readings.toml").write_text(
        kept.replace("expected =", 'lots = { "Moon malt" = "17" }\nexpected =')
    )
    assert "reading/unused-lot" in run("check", recipe, "--format", "json").rules


def test_readings_belong_to_the_key_of_kept_results(run: Run, recipe: str, here: Path) -> None:
    """A result kept from before a reading is not shown after it."""
    first = run("audit", ".", "--format", "json").json
    run("reading", recipe, "--ph", "5.9", "--keep")
    second = run("audit", ".", "--format", "json").json
    shown = [json.dumps(report["files"]) for report in (first, second)]
    assert shown[0] != shown[1]
