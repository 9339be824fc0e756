"""The program in a process of its own, with bounds on memory and time."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
MEGABYTE = 1_000_000
ENV = {
    "PYTHONPATH": str(ROOT),
    "PATH": "/usr/bin:/bin",
    # With a limit on sizes Python would leave torn byte code behind for all who come after.
    "PYTHONDONTWRITEBYTECODE": "1",
}


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

    def bound() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (megabytes * MEGABYTE, megabytes * MEGABYTE))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    code = f"{before}\nimport sys\nfrom recipe_tools.cli import main\nmain()"
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=cwd,
        env=ENV | (env or {}),
        capture_output=True,
        timeout=seconds,
        check=False,
        preexec_fn=bound,
    )


def assert_told(result: subprocess.CompletedProcess[bytes], code: int) -> str:
    """Fail where the program ended otherwise than told, or in a traceback; return its report."""
    said = result.stderr.decode("utf-8", "replace")
    assert "Traceback" not in said, said
    assert b"Traceback" not in result.stdout
    assert result.returncode == code, said + result.stdout.decode("utf-8", "replace")[-2000:]
    return result.stdout.decode("utf-8")
