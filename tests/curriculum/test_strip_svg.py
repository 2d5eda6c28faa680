"""The picture of a strip: what was typed is escaped, blocks are links in the builder, marks have shapes."""

import xml.etree.ElementTree as ET

import pytest

from curriculum.strip import routine_strip
from curriculum.strip_svg import MARK_SHAPES, Places, mark_svg, strip_svg
from tests.factories import DanceFactory, FigureFactory, LevelFactory, PassageFactory, RoutineFactory

pytestmark = pytest.mark.django_db
TYPED = """<b>"turn" & 'sway'</b>"""


@pytest.fixture
def strip():
    """Two figures of a bar each with a corner between them, in a dance that travels."""
    dance = DanceFactory(beats_per_bar=3, floor_use="travels")
    level = LevelFactory(dance=dance)
    first = PassageFactory(figure=FigureFactory(level=level, name=TYPED), ticks=36)
    second = PassageFactory(figure=FigureFactory(level=level, name="whisk"), ticks=36)
    return routine_strip(RoutineFactory(level=level, dances=[first, None, second]))


def parts(svg, name, style=""):
    return [
        part for part in ET.fromstring(svg).iter(name) if style in part.get("class", "").split() or not style
    ]


def test_a_name_is_shown_as_it_was_typed(strip):
    link, _ = parts(strip_svg(strip.narrow, "narrow", Places(1, "")), "a", "piece")
    assert link.get("aria-label") == f"1. {TYPED}"
    shown = parts(strip_svg(strip.narrow, "narrow"), "text")
    assert "<b>" in "".join(part.text for part in shown)


def test_it_is_a_picture_only_until_it_is_built_on(strip):
    assert not parts(strip_svg(strip.wide, "wide"), "a")
    assert ET.fromstring(strip_svg(strip.wide, "wide")).get("role") is None
    svg = strip_svg(strip.wide, "wide", Places(2, "tempo=30&as=level"))
    assert [part.get("href") for part in parts(svg, "a")] == [
        f"?at={place}&tempo=30&as=level#at" for place in (1, 3, 2)
    ]
    chosen = [part for part in parts(svg, "a") if part.get("aria-current")]
    assert [part.get("aria-label") for part in chosen] == ["corner of the room"]


def test_every_beat_bar_and_phrase_is_ruled_once(strip):
    svg = strip_svg(strip.wide, "wide")
    ruled = {part.get("class"): part.get("d").count("M") for part in parts(svg, "path", "tick")}
    assert ruled == {"tick beat": 4, "tick bar": 2, "tick phrase": 1}
    assert [part.text for part in parts(svg, "text", "bar-number")] == ["1", "2"]


@pytest.mark.parametrize("kind", ["flows", "give", "change", "broken"])
def test_every_kind_of_join_has_a_shape_of_its_own(kind):
    assert ET.fromstring(mark_svg(kind)).findall("path")
    assert sum(shape == MARK_SHAPES[kind] for shape in MARK_SHAPES.values()) == 1
