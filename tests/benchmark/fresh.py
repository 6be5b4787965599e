"""The environment of a fresh process that is measured."""

from __future__ import annotations

import os
from pathlib import Path


def as_installed(caches: Path) -> dict[str, str]:
    """This process's environment, with byte code kept in `caches`, as an installed program has it.

    Otherwise a process measures the compiler wherever no byte code is written; the first one fills the folder.
    """
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "NO_COLOR": "1", "PYTHONPYCACHEPREFIX": str(caches)}
