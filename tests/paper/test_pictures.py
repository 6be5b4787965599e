"""The pictures read back as XML: every reading stands where its level and moment put it; no text becomes an element."""

from __future__ import annotations

import datetime as dt
import xml.etree.ElementTree as ET

import pytest

from pratique.clocks.levels import Band, LevelChange, Reading
from pratique.export.pictures.draw import Drawing
from pratique.export.pictures.levels import level_svg
from pratique.schedule.courses import LevelCourse

START = dt.datetime(2027, 3, 8, 8, tzinfo=dt.UTC)
BAND = Band(unit="mg/L", floor=2.0, ceiling=2.5, gap=36.0)
SVG = "{http://www.w3.org/2000/svg}"


def reading(hours: float, value: float, *, suits: bool = True) -> Reading:
    at = START + dt.timedelta(hours=hours)
    return Reading(at=at, value=value, low=value * 0.95, high=value * 1.05, suits=suits)


def course(*readings: Reading, title: str = "a level") -> LevelCourse:
    change = LevelChange(at=START + dt.timedelta(hours=10), effect="down", what="a change")
    return LevelCourse(
        title=title, band=BAND, target=2.25, start=START, end=START + dt.timedelta(days=4), readings=readings,
        changes=(change,),
    )  # fmt: skip


def dots(svg: str) -> list[tuple[float, float, str]]:
    circles = ET.fromstring(svg).findall(f"{SVG}circle")
    return [(float(c.attrib["cx"]), float(c.attrib["cy"]), c.attrib["fill"]) for c in circles]


def test_levels_and_hours_are_in_proportion() -> None:
    found = dots(level_svg(course(reading(0, 1.0), reading(24, 2.0), reading(72, 2.4))))
    (x0, y0, _), (x1, y1, _), (x2, y2, _) = found
    assert (x2 - x0) / (x1 - x0) == pytest.approx(72 / 24, abs=0.01)
    assert (y0 - y2) / (y0 - y1) == pytest.approx(1.4 / 1.0, abs=0.01)


def test_a_kit_that_does_not_count_is_an_open_dot() -> None:
    fills = [fill for _, _, fill in dots(level_svg(course(reading(0, 2.2), reading(20, 2.2, suits=False))))]
    assert fills == ["#000", "#fff"]


def test_a_reading_above_the_band_stays_on_the_picture() -> None:
    svg = level_svg(course(reading(0, 25.0)))
    top = float(ET.fromstring(svg).attrib["viewBox"].split()[3])
    assert all(0 < y < top for _, y, _ in dots(svg))


@pytest.mark.parametrize("text", ["<script>x</script>", "a & b", '"quoted"', "\x1b[31m", "\x00"])
def test_names_are_only_text(text: str) -> None:
    tree = ET.fromstring(level_svg(course(reading(0, 2.2), title=text)))
    assert {element.tag for element in tree.iter()} <= {SVG + tag for tag in ("svg", "rect", "line", "circle", "text")}


def test_fills_are_told_apart_without_colour() -> None:
    draw = Drawing(10, 10, "t")
    draw.box(0, 0, 5, 5, fill="hatch")
    draw.line(0, 0, 5, 5, stroke="dashed")
    svg = draw.svg()
    assert 'id="hatch"' in svg and "stroke-dasharray" in svg
    colours = {value for element in ET.fromstring(svg).iter() for value in element.attrib.values() if "#" in value}
    assert all(value in ("#000", "#fff", "#999", "#e4e4e4", "url(#hatch)") for value in colours)
