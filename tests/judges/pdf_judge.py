"""Reads a PDF with pypdf and measures it as pypdfium2 draws it.

Argument: the path of a PDF. Standard input: {"pages": [{"strokes": [{"x", "y", "along"}], "circles": [{"x", "y", "radius"}]}]},
where about each page's strokes ("across" or "up": the direction that they are crossed in) and circles lie, mm from the lower
left corner. Standard output: one JSON object with title, has_dates, fonts [{name, embedded, subset}], and pages [{media_box
(pt), text, strokes [mm along the direction], circles [{x, y, radius}]}]. The drawing is made at 600 dpi; only what is nearly
as dark as ink counts, so that the grid and centre crosses do not.
"""

import io
import json
import sys

import numpy as np
import pypdf
import pypdfium2

DPI = 600
PX_PER_MM = DPI / 25.4
# Ink is 20282D, a grey of about 39; soft text is about 93, brass 122.
DARK = 88.0
STEP_MM = 0.004


def darkness_along(grey, height_mm, x_mm, y_mm):
    """How much darker than DARK the drawing is at places in mm, by bilinear interpolation between pixel centres."""
    px = np.asarray(x_mm) * PX_PER_MM - 0.5
    py = (height_mm - np.asarray(y_mm)) * PX_PER_MM - 0.5
    x0 = np.clip(np.floor(px).astype(int), 0, grey.shape[1] - 2)
    y0 = np.clip(np.floor(py).astype(int), 0, grey.shape[0] - 2)
    fx, fy = px - x0, py - y0
    value = (
        grey[y0, x0] * (1 - fx) * (1 - fy)
        + grey[y0, x0 + 1] * fx * (1 - fy)
        + grey[y0 + 1, x0] * (1 - fx) * fy
        + grey[y0 + 1, x0 + 1] * fx * fy
    )
    return np.clip(255.0 - value, 0.0, None) * (value < 200.0)


def centre_of(weights, at):
    total = weights.sum()
    return None if total <= 0 else float((weights * at).sum() / total)


def stroke(grey, height_mm, about):
    """Where a thin stroke is crossed, mm: the middle of its darkness, two mm to both sides of its own middle."""
    offsets = np.arange(-1.5, 1.5, STEP_MM)
    found = []
    for beside in (-2.0, -1.6, 1.6, 2.0):
        if about["along"] == "across":
            x, y = about["x"] + offsets, np.full_like(offsets, about["y"] + beside)
        else:
            x, y = np.full_like(offsets, about["x"] + beside), about["y"] + offsets
        middle = centre_of(darkness_along(grey, height_mm, x, y), offsets)
        if middle is not None:
            found.append(middle)
    start = about["x"] if about["along"] == "across" else about["y"]
    return start + float(np.median(found)) if found else None


def circle(grey, height_mm, about):
    """Centre and mean radius of a circle, mm, by rays that miss its cross."""
    offsets = np.arange(-0.6, 0.6, STEP_MM)
    points = []
    for angle in np.deg2rad(np.arange(2.5, 360, 5)):
        if min(abs(np.sin(angle)), abs(np.cos(angle))) < 0.2:
            continue
        radii = about["radius"] + offsets
        x, y = about["x"] + radii * np.cos(angle), about["y"] + radii * np.sin(angle)
        middle = centre_of(darkness_along(grey, height_mm, x, y), radii)
        if middle is None:
            return None
        points.append((about["x"] + middle * np.cos(angle), about["y"] + middle * np.sin(angle)))
    points = np.array(points)
    centre = points.mean(axis=0)
    radius = float(np.hypot(*(points - centre).T).mean())
    return {"x": float(centre[0]), "y": float(centre[1]), "radius": radius}


def fonts(reader):
    found = {}
    for page in reader.pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            font = font.get_object()
            inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            descriptor = inner["/FontDescriptor"].get_object()
            files = [descriptor[key] for key in ("/FontFile", "/FontFile2", "/FontFile3") if key in descriptor]
            size = len(files[0].get_object().get_data()) if files else 0
            found[str(font["/BaseFont"])] = {"name": str(font["/BaseFont"]), "embedded": bool(files), "bytes": size}
    return sorted(found.values(), key=lambda font: font["name"])


def main():
    asked = json.load(sys.stdin)
    with open(sys.argv[1], "rb") as file:
        data = file.read()
    reader = pypdf.PdfReader(io.BytesIO(data), strict=True)
    drawn = pypdfium2.PdfDocument(data)
    info = reader.metadata or {}
    pages = []
    for k, page in enumerate(reader.pages):
        box = [float(side) for side in page.mediabox]
        look = asked["pages"][k] if k < len(asked["pages"]) else {"strokes": [], "circles": []}
        entry = {"media_box": box, "text": page.extract_text(), "strokes": [], "circles": []}
        if look["strokes"] or look["circles"]:
            bitmap = drawn[k].render(scale=DPI / 72, grayscale=True).to_numpy()
            grey = bitmap.reshape(bitmap.shape[0], bitmap.shape[1]).astype(float)
            height_mm = (box[3] - box[1]) * 25.4 / 72
            entry["strokes"] = [stroke(grey, height_mm, about) for about in look["strokes"]]
            entry["circles"] = [circle(grey, height_mm, about) for about in look["circles"]]
        pages.append(entry)
    has_dates = any(key in info for key in ("/CreationDate", "/ModDate"))
    print(json.dumps({"title": info.get("/Title"), "has_dates": has_dates, "fonts": fonts(reader), "pages": pages}))


main()
