"""Draws an SVG with resvg and measures it in the picture with OpenCV.

Argument: the path of an SVG whose cut lines are black (outline) and red (openings, holes). Standard output: one JSON object
with width_mm and height_mm of the page, area_mm2 of what is left of the part, and circles [[x, y, diameter]] in mm from the
page's upper left corner, the leftmost of the largest red rings first. A line is as wide as it is: its middle is taken.
"""

import json
import math
import sys

import cv2
import numpy as np
import resvg_py

PX_PER_MM = 20


def between(rings, hierarchy, k):
    """Area and centre of the middle of a drawn ring, from its outer and inner border, px."""
    inner = [i for i in range(len(rings)) if hierarchy[i][3] == k]
    pair = [rings[k], max((rings[i] for i in inner), key=cv2.contourArea, default=rings[k])]
    areas = [cv2.contourArea(r) for r in pair]
    moments = [cv2.moments(r) for r in pair]
    centre = [np.mean([m["m10"] / m["m00"] for m in moments]), np.mean([m["m01"] / m["m00"] for m in moments])]
    return ((math.sqrt(areas[0]) + math.sqrt(areas[1])) / 2) ** 2, centre


def rings_of(mask):
    rings, hierarchy = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    outer = [k for k in range(len(rings)) if hierarchy[0][k][3] < 0]
    closed = [k for k in outer if hierarchy[0][k][2] >= 0]
    return [between(rings, hierarchy[0], k) for k in closed]


def main():
    text = open(sys.argv[1], encoding="utf-8").read()
    # The renderer is told how fine its dots are; how many there are follows from the file's own size.
    data = bytes(resvg_py.svg_to_bytes(svg_string=text, dpi=PX_PER_MM * 25.4, background="white"))
    picture = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR).astype(int)
    per_mm = PX_PER_MM
    blue, green, red = picture[..., 0], picture[..., 1], picture[..., 2]
    black = ((red < 128) & (green < 128) & (blue < 128)).astype(np.uint8)
    reds = ((red > 128) & (green < 128) & (blue < 128)).astype(np.uint8)
    outlines, inside = rings_of(black), rings_of(reds)
    area = sum(a for a, _ in outlines) - sum(a for a, _ in inside)
    circles = [[c[0] / per_mm, c[1] / per_mm, 2 * math.sqrt(a / math.pi) / per_mm] for a, c in inside]
    round_ones = sorted((c for c in circles if 5 < c[2] < 10), key=lambda c: c[0])
    json.dump(
        {
            "width_mm": picture.shape[1] / per_mm,
            "height_mm": picture.shape[0] / per_mm,
            "area_mm2": area / per_mm**2,
            "circles": round_ones + [c for c in circles if c not in round_ones],
        },
        sys.stdout,
    )


if __name__ == "__main__":
    main()
