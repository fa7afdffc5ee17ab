"""Areas of two rings, of what lies between them, and how far they are apart, by GEOS. Input: {"contour": [[x, y], ...], "truth": [...]}."""

import json
import sys

from shapely import points, segmentize
from shapely.geometry import Polygon

given = json.load(sys.stdin)
contour, truth = Polygon(given["contour"]), Polygon(given["truth"])


def farthest(one, other):
    """The largest distance of a place on a ring, one every tenth of a millimetre, from another ring."""
    return max(other.distance(place) for place in points(segmentize(one, 0.1).coords))


json.dump(
    {
        "valid": contour.is_valid,
        "area": contour.area,
        "true_area": truth.area,
        "apart": max(farthest(contour.exterior, truth.exterior), farthest(truth.exterior, contour.exterior)),
        "between": contour.symmetric_difference(truth).area if contour.is_valid and truth.is_valid else -1.0,
    },
    sys.stdout,
)
