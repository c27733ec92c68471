"""A second opinion on `liner_fit`, from shapes rather than sums: the tile as a polygon, shrunk and measured.

Where our code adds up sizes, this builds the section with shapely (GEOS) and asks it. Arcs are polygons there,
so areas agree to 0.01 %, and a fit is compared only where it is not decided by less than 0.1 mm.
"""

import math
import random

import pytest
from shapely.geometry import Point, box

SEED = 20260302
CASES = 60
ARC = 256
NARROW = 0.0001


def tile_shape(a, b, radius):
    """The inside of a rectangular tile, its corners rounded."""
    return box(radius, radius, a - radius, b - radius).buffer(radius, quad_segs=ARC) if radius else box(0, 0, a, b)


def metres(length):
    return f"{length * 1000:.6f} mm"


def rectangular(a, b, factor=None):
    tile = {"shape": "rectangular", "inside_a": metres(a), "inside_b": metres(b)}
    return tile if factor is None else tile | {"area_factor": factor}


def cases():
    chance = random.Random(SEED)
    for number in range(CASES):
        a, b = chance.uniform(0.15, 0.35), chance.uniform(0.15, 0.35)
        factor = chance.uniform(0.9, 1.0)
        yield pytest.param(a, b, factor, chance.uniform(0.07, 0.16), chance.uniform(0.07, 0.13), id=str(number))


def value(answer, key):
    """A figure as a bare number in SI units."""
    figure = answer["figures"][key] if "figures" in answer else answer[key]
    return figure["value"] if isinstance(figure, dict) else figure


def radius_of(a, b, factor):
    """The corner radius that leaves this part of the full rectangle."""
    return math.sqrt((1 - factor) * a * b / (4 - math.pi))


@pytest.mark.parametrize("a, b, factor, exhaust, _intake", list(cases()))
def test_one_liner_with_the_air_around_it(reckon, a, b, factor, exhaust, _intake):
    answer = reckon(
        "liner_fit",
        {
            "arrangement": "annulus",
            "tile": rectangular(a, b, factor),
            "exhaust_outside": metres(exhaust),
            "clearance": "13 mm",
            "air_space_listed": True,
        },
    )
    tile = tile_shape(a, b, radius_of(a, b, factor))
    liner = Point(a / 2, b / 2).buffer(exhaust / 2, quad_segs=ARC)
    assert value(answer, "tile_area") == pytest.approx(tile.area, rel=1e-4)
    room = min(a, b) / 2 - exhaust / 2 - 0.013
    if abs(room) > NARROW:
        assert answer_fits(answer) == (not tile.buffer(-(exhaust / 2 + 0.013)).is_empty)
    if tile.contains(liner):
        air = tile.difference(liner)
        assert value(answer, "intake_area") == pytest.approx(air.area, rel=1e-4)
        assert value(answer, "intake_hydraulic_diameter") == pytest.approx(4 * air.area / air.length, rel=1e-4)


@pytest.mark.parametrize("a, b, factor, exhaust, intake", list(cases()))
def test_two_liners_side_by_side(reckon, a, b, factor, exhaust, intake):
    answer = reckon(
        "liner_fit",
        {
            "arrangement": "two_liners",
            "tile": rectangular(a, b, factor),
            "exhaust_outside": metres(exhaust),
            "intake_outside": metres(intake),
            "clearance": "6 mm",
            "clearance_between": "3 mm",
        },
    )
    tile = tile_shape(a, b, radius_of(a, b, factor))
    # Where the middle of each liner may stand; they fit if two such places are far enough apart.
    middles = [tile.buffer(-(outside / 2 + 0.006), quad_segs=ARC) for outside in (exhaust, intake)]
    if any(places.is_empty for places in middles):
        room = min(a, b) / 2 - max(exhaust, intake) / 2 - 0.006
        assert abs(room) < NARROW or not answer_fits(answer)
        return
    corners = [list(places.exterior.coords) for places in middles]
    furthest = max(math.dist(one, other) for one in corners[0] for other in corners[1])
    spare = furthest - (exhaust + intake) / 2 - 0.003
    if abs(spare) > NARROW:
        assert answer_fits(answer) == (spare > 0)


def answer_fits(answer):
    return value(answer, "fits")
