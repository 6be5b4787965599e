"""Pages with a mark, too small to move anything, at each end of what must not be torn apart."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count

ROW = re.compile(r"<tr[^>]*>.*?</tr>|<li[^>]*>.*?</li>|<h2>.*?</h2>|<figure>.*?</figure>", re.S)
HEAD = re.compile(r"<thead>.*?</thead>", re.S)
MARK = re.compile(r"m(\d+)m")
TINY = "<style>s { font-size: 1px; text-decoration: none; }</style>"


@dataclass
class Marked:
    """One document of many sheets; `sheets` has the marks of each, `heads` those of headings that something follows."""

    html: str = ""
    sheets: dict[str, list[int]] = field(default_factory=dict)
    heads: list[tuple[int, int]] = field(default_factory=list)


def marked(pages: dict[str, str]) -> Marked:
    """The sheets one after another, each on a new page, with the style of the first."""
    whole, numbers = Marked(), count(1)
    first = next(iter(pages.values()))
    bodies = [_marked(name, page.partition("<body>")[2].partition("</body>")[0], numbers, whole)
              for name, page in pages.items()]  # fmt: skip
    breaks = '<div style="break-before: page"></div>'
    whole.html = first.partition("<body>")[0].replace("</head>", TINY + "</head>") + "<body>" + breaks.join(bodies)
    return whole


def _marked(name: str, body: str, numbers: Iterator[int], whole: Marked) -> str:
    marks = whole.sheets.setdefault(name, [])
    was_head = 0

    def mark(found: re.Match[str]) -> str:
        nonlocal was_head
        number = next(numbers)
        marks.append(number)
        if was_head:
            whole.heads.append((was_head, number))
        was_head = number if found[0].startswith("<h2>") else 0
        return _both_ends(found[0], f"<s>m{number}m</s>")

    heads = HEAD.findall(body)
    parts = [ROW.sub(mark, part) for part in HEAD.split(body)]
    return "".join(part + head for part, head in zip(parts, [*heads, ""], strict=True))


def _both_ends(element: str, mark: str) -> str:
    """The mark at the begin of the element and at the end of all its cells."""
    if element.startswith("<figure>"):
        return element.replace("<figure>", f"<figure>{mark}", 1).replace("</figcaption>", f"{mark}</figcaption>")
    if element.startswith("<tr"):
        return re.sub(r"(</t[dh]>)", rf"{mark}\1", re.sub(r"(<t[dh][^>]*>)", rf"\1{mark}", element, count=1))
    return re.sub(r"^(<[^>]*>)", rf"\1{mark}", re.sub(r"(</\w+>)$", rf"{mark}\1", element))
