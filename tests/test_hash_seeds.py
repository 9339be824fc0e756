"""No order of a set reaches an output: the same bytes whatever the seed of Python's hashes is."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.every_output import write_corpus
from tests.standards import REPOSITORY

SEEDS = ("0", "1", "2")


def test_every_command_prints_the_same_under_every_hash_seed(tmp_path: Path) -> None:
    write_corpus(tmp_path / "recipes")
    for seed in SEEDS:
        home = tmp_path / seed
        home.mkdir()
        environment = {
            **os.environ,
            "PYTHONHASHSEED": seed,
            "PYTHONPATH": str(REPOSITORY),
            "RECIPE_TOOLS_CACHE_DIR": str(home),
        }
        subprocess.run(
            [sys.executable, "-m", "tests.every_output", "recipes", f"out-{seed}"],
            cwd=tmp_path,
            env=environment,
            check=True,
        )
    outputs = [_files(tmp_path / f"out-{seed}") for seed in SEEDS]
    assert len(outputs[0]) > 300
    assert any(b"may be a solution or a solid" in data for data in outputs[0].values())
    for seed, others in zip(SEEDS[1:], outputs[1:], strict=True):
        assert outputs[0].keys() == others.keys()
        different = [name for name, data in outputs[0].items() if others[name] != data]
        assert different == [], f"seed {SEEDS[0]} against seed {seed}"


def _files(folder: Path) -> dict[str, bytes]:
    out = folder.name.encode()
    return {path.name: path.read_bytes().replace(out, b"out") for path in sorted(folder.iterdir())}
