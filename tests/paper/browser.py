"""A real browser, where there is one: a page to PDF, and the text of each of its pages."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--no-pdf-header-footer",
]  # fmt: skip
NAMES = ("chromium", "chromium-browser", "google-chrome")


def need_browser() -> str:
    """The path of a browser; the test says that it was skipped where there is none."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no browser on this machine: printing was not checked here")
    return found


def printed(html: str, folder: Path, *, paper: str = "A4") -> list[str]:
    """The text of each page as the browser prints it on `paper`, without any white space."""
    import pypdf

    page, pdf = folder / "page.html", folder / "page.pdf"
    page.write_text(html.replace("@page {", f"@page {{ size: {paper};"), encoding="utf-8")
    command = [need_browser(), *FLAGS, f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={pdf}", page.as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    with pdf.open("rb") as file:
        return [squeezed(sheet.extract_text()) for sheet in pypdf.PdfReader(file).pages]


def squeezed(text: str) -> str:
    """Without white space, which a browser sets as it likes."""
    return "".join(text.split())
