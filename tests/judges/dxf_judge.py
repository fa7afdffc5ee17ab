"""Reads a cut file with ezdxf and measures it with shapely.

Argument: the path of a DXF. Standard output: one JSON object with audit_errors, audit_fixes (plain reading),
recover_errors, recover_fixes (recovering reading), version, insunits, measurement, extents, layers, closed_polylines,
open_polylines, area_mm2 (outlines less openings and holes, arcs flattened to 1e-5 mm), circles [{x, y, diameter, layer}],
texts (all lengths in the file's unit), and valid (every outline and opening a valid ring, openings and holes inside the outline and apart).
A file that cannot be read: {"error": …} and exit code 1.
"""

import json
import math
import sys

import ezdxf
from ezdxf import recover
from ezdxf.math import bulge_center, bulge_radius
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

FLAT_MM = 1e-5
OUTER, INNER = "CUT_OUTER", "CUT_INNER"


def findings(entries):
    return [f"{entry.code}: {entry.message}" for entry in entries]


def ring(polyline):
    """The closed polyline as a polygon: its own vertices, and points on the arcs between them."""
    if polyline.dxftype() == "LWPOLYLINE":
        vertices = list(polyline.get_points("xyb"))
    else:
        vertices = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in polyline.vertices]
    points = []
    for (x, y, bulge), (x2, y2, _) in zip(vertices, vertices[1:] + vertices[:1]):
        points.append((x, y))
        if bulge:
            centre = bulge_center((x, y), (x2, y2), bulge)
            radius = bulge_radius((x, y), (x2, y2), bulge)
            sweep, start = 4 * math.atan(bulge), math.atan2(y - centre.y, x - centre.x)
            n = math.ceil(abs(sweep) / (2 * math.acos(max(-1.0, 1 - FLAT_MM / radius))))
            angles = (start + sweep * k / n for k in range(1, n))
            points += [(centre.x + radius * math.cos(a), centre.y + radius * math.sin(a)) for a in angles]
    return Polygon(points)


def measured(doc):
    space = doc.modelspace()
    polylines = list(space.query("LWPOLYLINE POLYLINE"))
    closed = [p for p in polylines if p.is_closed]
    circles = list(space.query("CIRCLE"))
    outlines = [ring(p) for p in closed if p.dxf.layer == OUTER]
    openings = [ring(p) for p in closed if p.dxf.layer == INNER]
    # A circle as a polygon of n sides is smaller by 2 pi^2 / (3 n^2): 1.6e-8 of it here.
    bores = [Point(c.dxf.center.x, c.dxf.center.y).buffer(c.dxf.radius, quad_segs=5000) for c in circles]
    rings = outlines + openings + bores
    valid = bool(outlines) and len(closed) == len(polylines) and all(r.is_valid for r in rings)
    area = None
    if valid:
        waste = openings + bores
        area = sum(r.area for r in outlines) - unary_union(waste).area if waste else sum(r.area for r in outlines)
        inside = all(any(o.contains(w) for o in outlines) for w in waste)
        apart = all(a.disjoint(b) for i, a in enumerate(waste) for b in waste[:i])
        valid = inside and apart
    return {
        "version": doc.dxfversion,
        "insunits": doc.header.get("$INSUNITS"),
        "measurement": doc.header.get("$MEASUREMENT"),
        "extents": [list(doc.header.get("$EXTMIN"))[:2], list(doc.header.get("$EXTMAX"))[:2]],
        "layers": sorted({e.dxf.layer for e in space}),
        "closed_polylines": len(closed),
        "open_polylines": len(polylines) - len(closed),
        "area_mm2": area,
        "circles": [
            {"x": c.dxf.center.x, "y": c.dxf.center.y, "diameter": 2 * c.dxf.radius, "layer": c.dxf.layer}
            for c in circles
        ],
        "texts": [t.dxf.text for t in space.query("TEXT")],
        "valid": valid,
    }


def main():
    name = sys.argv[1]
    try:
        doc = ezdxf.readfile(name)
        audit = doc.audit()
        _, recovered = recover.readfile(name)
    except (OSError, ezdxf.DXFError) as err:
        json.dump({"error": f"{type(err).__name__}: {err}"}, sys.stdout)
        return 1
    found = {
        "audit_errors": findings(audit.errors),
        "audit_fixes": findings(audit.fixes),
        "recover_errors": findings(recovered.errors),
        "recover_fixes": findings(recovered.fixes),
    }
    json.dump(found | measured(doc), sys.stdout)
    return 0


if __name__ == "__main__":
    sys.exit(main())
