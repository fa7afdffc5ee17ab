"""Reads a proof plate as 3MF and as STL with trimesh, and measures it.

Arguments: the path of a 3MF, the path of an STL of the same plate. Input: {"rims": [[x, y, within], ...]}, places (mm, as
printed) round which all corners nearer than `within` are taken for the corners of one hole. Output, for each file: unit
(as far as the format says), watertight, winding (consistent, outward), volume, area (of the upper face), bounds, corners,
triangles, rims [{n, least, most}] (distances of those corners from their place); and same: both hold the same triangles,
figure for figure. A 3MF's own parts besides: names, metadata, well_formed (what the core specification asks of a mesh).
"""

import json
import sys
import xml.etree.ElementTree as ElementTree
import zipfile

import numpy as np
import trimesh

CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"


def package(path):
    """The model part, found as a reader has to: by the relation in the package."""
    with zipfile.ZipFile(path) as parts:
        assert parts.testzip() is None
        relations = ElementTree.fromstring(parts.read("_rels/.rels"))
        target = next(r.get("Target") for r in relations if r.get("Type").endswith("/3dmodel"))
        ElementTree.fromstring(parts.read("[Content_Types].xml"))
        return parts.namelist(), ElementTree.fromstring(parts.read(target.lstrip("/")))


def of_model(model):
    vertices = [[float(v.get(k)) for k in "xyz"] for v in model.iter(f"{CORE}vertex")]
    triangles = [[int(t.get(k)) for k in ("v1", "v2", "v3")] for t in model.iter(f"{CORE}triangle")]
    return np.array(vertices), np.array(triangles)


def well_formed(vertices, triangles):
    """Each side is shared by exactly two triangles, which go along it in opposite ways; no triangle names a corner twice."""
    sides = {}
    for a, b, c in triangles.tolist():
        if len({a, b, c}) < 3:
            return False
        for side in ((a, b), (b, c), (c, a)):
            sides[side] = sides.get(side, 0) + 1
    once = all(n == 1 and sides.get((b, a)) == 1 for (a, b), n in sides.items())
    return bool(once and len(triangles) >= 4 and triangles.max() < len(vertices))


def measured(mesh, rims):
    top = mesh.bounds[1][2]
    upper = mesh.triangles[(mesh.triangles[:, :, 2] == top).all(axis=1)]
    sides = upper[:, 1:, :2] - upper[:, :1, :2]
    corners = mesh.vertices[mesh.vertices[:, 2] == top][:, :2]
    found = []
    for x, y, within in rims:
        off = np.hypot(*(corners - [x, y]).T)
        off = off[off < within]
        found.append({"n": len(off), "least": float(off.min(initial=np.inf)), "most": float(off.max(initial=0))})
    return {
        "watertight": bool(mesh.is_watertight),
        "winding": bool(mesh.is_winding_consistent and mesh.is_volume),
        "volume": float(mesh.volume),
        "area": float(np.sum(sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0]) / 2),
        "bounds": mesh.bounds.tolist(),
        "corners": len(mesh.vertices),
        "triangles": len(mesh.faces),
        "rims": found,
    }


def main():
    rims = json.load(sys.stdin)["rims"]
    names, model = package(sys.argv[1])
    vertices, triangles = of_model(model)
    read = trimesh.load(sys.argv[1], file_type="3mf", force="mesh")
    stl = trimesh.load(sys.argv[2], file_type="stl", force="mesh")
    with open(sys.argv[2], "rb") as file:
        head = file.read(80)
    raw = np.fromfile(sys.argv[2], offset=84, dtype=[("normal", "<3f4"), ("corners", "<9f4"), ("rest", "<u2")])
    same = np.array_equal(raw["corners"].reshape(-1, 3, 3), vertices[triangles].astype("<f4"))
    json.dump(
        {
            "3mf": measured(read, rims)
            | {
                "names": names,
                "unit": model.get("unit"),
                "metadata": {m.get("name"): m.text for m in model.iter(f"{CORE}metadata")},
                "well_formed": well_formed(vertices, triangles),
                "read_whole": len(read.faces) == len(triangles),
            },
            "stl": measured(stl, rims) | {"head": head.rstrip(b"\0").decode("ascii")},
            "same": bool(same),
        },
        sys.stdout,
    )


if __name__ == "__main__":
    main()
