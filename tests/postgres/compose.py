"""docker-compose.yml as its own reader reads it: variables filled in, hosts and paths replaced by this machine's."""

import os
import re
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml

from tests.processes import ROOT

VARIABLE = re.compile(r"\$\{(?P<name>[A-Z_]+)(?::(?P<sign>[-?])(?P<word>[^}]*))?\}")


def read_compose(values: Mapping[str, str]) -> dict[str, Any]:
    """The services, with ${A:-default} and ${A:?needed} filled in from `values`. Raises: KeyError for a needed one."""

    def fill(found: re.Match[str]) -> str:
        value = values.get(found["name"], "")
        if value or found["sign"] != "?":
            return value or (found["word"] or "")
        raise KeyError(f"{found['name']}: {found['word']}")

    def walk(node: Any) -> Any:
        if isinstance(node, dict):
            return {key: walk(value) for key, value in node.items()}
        if isinstance(node, list):
            return [walk(value) for value in node]
        return VARIABLE.sub(fill, node) if isinstance(node, str) else node

    read = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
    services: dict[str, Any] = walk(read["services"])
    return services


def command_of(service: Mapping[str, Any], *, replaced: Mapping[str, str]) -> list[str]:
    """The command, with this test's Python for its programs and `replaced` for what only a container has."""
    program, *rest = service["command"]
    own = sys.executable if program == "python" else str(Path(sys.executable).parent / program)
    for before, after in replaced.items():
        rest = [word.replace(before, after) for word in rest]
    if not os.access("/dev/shm", os.W_OK):
        rest = [word for word in rest if "/dev/shm" not in word]
    return [own, *rest]
