"""Areas of two rings and of what lies between them, by GEOS. Input: {"contour": [[x, y], ...], "truth": [...]}."""

import json
import sys

from shapely.geometry import Polygon

given = json.load(sys.stdin)
contour, truth = Polygon(given["contour"]), Polygon(given["truth"])
json.dump(
    {
        "valid": contour.is_valid,
        "area": contour.area,
        "true_area": truth.area,
        "between": contour.symmetric_difference(truth).area if contour.is_valid and truth.is_valid else -1.0,
    },
    sys.stdout,
)
