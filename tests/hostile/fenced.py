"""The program in a process of its own, with bounds on memory and time."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MEGABYTE = 1_000_000
ENV = {
    "PYTHONPATH": str(ROOT),
    "PATH": "/usr/bin:/bin",
    # With a limit on sizes Python would leave torn byte code behind for all who come after.
    "PYTHONDONTWRITEBYTECODE": "1",
}


def _bound(memory: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def fenced(
    *arguments: str,
    cwd: Path,
    megabytes: int = 600,
    seconds: float = 60.0,
    env: dict[str, str] | None = None,
    before: str = "",
) -> subprocess.CompletedProcess[bytes]:
    """Run recipe-tools; MemoryError or a timeout is a failure of the test.

    before: Python that runs ahead of the program, to take something away from it.
    """

    code = f"{before}\nimport sys\nfrom recipe_tools.cli import main\nmain()"
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=cwd,
        env=ENV | (env or {}),
        capture_output=True,
        timeout=seconds,
        check=False,
        preexec_fn=partial(_bound, megabytes * MEGABYTE),
    )


_EACH = """
import json, os, sys
from recipe_tools.cli import main
from recipe_tools.checking import catalogue
catalogue()
codes = []
for folder, *arguments in json.loads(sys.argv[1]):
    child = os.fork()
    if not child:
        os.chdir(folder)
        for number, name in ((1, "../{0}.out"), (2, "../{0}.err")):
            os.dup2(os.open(name.format(folder), os.O_CREAT | os.O_WRONLY), number)
        sys.argv[1:] = arguments
        sys.exit(main())
    codes.append(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
print(json.dumps(codes))
"""


def fenced_each(
    commands: Mapping[str, Sequence[str]], cwd: Path, *, megabytes: int, seconds: float
) -> dict[str, subprocess.CompletedProcess[bytes]]:
    """Run recipe-tools for each name, in the folder of that name, within the bounds of `fenced`.

    Each is a process of its own, split off one that has read the program already: a start takes
    longer than most of what is tested. seconds: for all of them.
    """

    orders = json.dumps([[name, *arguments] for name, arguments in commands.items()])
    result = subprocess.run(
        [sys.executable, "-c", _EACH, orders],
        cwd=cwd,
        env=ENV,
        capture_output=True,
        timeout=seconds,
        check=True,
        preexec_fn=partial(_bound, megabytes * MEGABYTE),
    )
    return {
        name: subprocess.CompletedProcess(
            arguments,
            code,
            cwd.joinpath(f"{name}.out").read_bytes(),
            cwd.joinpath(f"{name}.err").read_bytes(),
        )
        for (name, arguments), code in zip(commands.items(), json.loads(result.stdout), strict=True)
    }


def assert_told(result: subprocess.CompletedProcess[bytes], code: int) -> str:
    """Fail where the program ended otherwise than told, or in a traceback; return its report."""
    said = result.stderr.decode("utf-8", "replace")
    assert "Traceback" not in said, said
    assert b"Traceback" not in result.stdout
    assert result.returncode == code, said + result.stdout.decode("utf-8", "replace")[-2000:]
    return result.stdout.decode("utf-8")
