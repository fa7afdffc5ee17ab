"""Measures contours beside a ring by GEOS (shapely).

Input: {"ring": [[x, y], ...], "by": mm outwards, "beside": [[[x, y], ...], ...]}; every ring a fine polygon. Output:
valid (all of them simple), area and expected_area (of the buffer of the ring at this distance), between (area of the
symmetric difference of both), pieces and expected_pieces.
"""

import json
import sys

from shapely.geometry import Polygon
from shapely.ops import unary_union

given = json.load(sys.stdin)
ring = Polygon(given["ring"])
expected = ring.buffer(given["by"], quad_segs=512)
ours = [Polygon(beside) for beside in given["beside"]]
valid = ring.is_valid and all(one.is_valid for one in ours)
# A pocket lies inside the ring round it: the parts that an odd number of rings go round.
whole = Polygon()
for one in ours:
    whole = whole.symmetric_difference(one) if valid else whole
pieces = lambda shape: [p for p in getattr(shape, "geoms", [shape]) if p.area > 1e-3]
json.dump(
    {
        "valid": valid,
        "area": whole.area,
        "expected_area": expected.area,
        "between": whole.symmetric_difference(expected).area,
        "pieces": len(pieces(whole)),
        "expected_pieces": len(pieces(unary_union(expected))),
    },
    sys.stdout,
)
