"""Where the published standards are expected, a comparison that does not take place is a fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import standards


@pytest.mark.parametrize("named", ["", "absent", "empty"])
@pytest.mark.parametrize("beside", ["nothing", "shared", "standards"])
def test_what_is_expected_and_absent_fails_and_else_is_skipped(
    named: str, beside: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(standards, "SHARED", tmp_path / "shared")
    (tmp_path / "empty").mkdir()
    if beside != "nothing":
        (tmp_path / "shared").mkdir()
    if beside == "standards":
        (tmp_path / "shared" / "standards" / "sarif-2.1.0").mkdir(parents=True)
    monkeypatch.setenv("RECIPE_TOOLS_STANDARDS", str(tmp_path / named) if named else "")
    if not named and beside == "standards":
        assert standards.require_standards("sarif-2.1.0").is_dir()
        with pytest.raises(pytest.fail.Exception, match="beerxml"):
            standards.require_standards("beerxml-1.0.md")
    elif named or beside != "nothing":
        with pytest.raises(pytest.fail.Exception, match="expected here"):
            standards.require_standards("sarif-2.1.0")
    else:
        with pytest.raises(pytest.skip.Exception, match="set RECIPE_TOOLS_STANDARDS"):
            standards.require_standards("sarif-2.1.0")
