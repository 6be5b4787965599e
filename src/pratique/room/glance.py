"""A room file looked at in passing: its words as they stand, without asking whether they make sense."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Any

import yaml

_MOST_BYTES = 2_000_000


def glance(path: Path) -> dict[str, Any]:
    """Keys and values, all as text; empty where there is nothing that can be read as YAML."""
    try:
        found_at = path.stat()
        if not stat.S_ISREG(found_at.st_mode) or found_at.st_size > _MOST_BYTES:
            return {}
        loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
        found = yaml.load(path.read_text("utf-8-sig"), Loader=loader)
    except (OSError, ValueError, RecursionError, yaml.YAMLError):
        return {}
    return found if isinstance(found, dict) else {}
