"""For every test: no network, and in CI the same examples on every run."""

from __future__ import annotations

import os
import socket
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "ci",
    derandomize=True,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)

collect_ignore = ["hostile"] if sys.platform == "win32" else []
"""Those tests fence programs in with limits (`resource`) that only POSIX systems have."""

_OWN_MACHINE = frozenset({"127.0.0.1", "::1", "localhost"})


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Fail any attempt to reach another machine; the browser test talks to its own browser."""

    def guarded(call: Any) -> Any:
        def connect(self: socket.socket, address: Any, *rest: Any) -> Any:
            if self.family != socket.AF_UNIX and address[0] not in _OWN_MACHINE:
                raise AssertionError(f"connection to {address}")
            return call(self, address, *rest)

        return connect

    monkeypatch.setattr(socket.socket, "connect", guarded(socket.socket.connect))
    monkeypatch.setattr(socket.socket, "connect_ex", guarded(socket.socket.connect_ex))
    yield


@pytest.fixture(autouse=True)
def _what_this_system_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Skip a test where it asks for something that only other systems have, and say so."""

    def lacking(name: str) -> Any:
        return lambda *given: pytest.skip(f"this system has no os.{name}")

    for name in ("mkfifo", "killpg"):
        if not hasattr(os, name):
            monkeypatch.setattr(os, name, lacking(name), raising=False)
