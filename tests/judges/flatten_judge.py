"""Flattens a photo with OpenCV by the same camera, and compares it with a picture that is to be the same.

Arguments: the picture (PNG), the photo's pixels (raw RGB). Input: {"size": [w, h], "lens": {focal_px, cx, cy, k1, k2, p1,
p2}, "pose": {distance_mm, tilt_a_rad, tilt_b_rad}, "datum": {angle_rad, shift}} (datum from solve: a turn, then a shift).
Where the picture's pixels lie on the plate is read from the picture's own chunks. Output: size, px_per_mm, per_metre (of
pHYs), origin_px, grey {median, p999} (differences of colours where the photo is seen), paper (share of pixels beyond the
photo that are white), corners {n, median_mm, p95_mm} (corners found in both pictures each by itself, and how far apart).
"""

import json
import struct
import sys

import cv2
import numpy as np

EDGE_PX = 3


def chunks(path):
    with open(path, "rb") as file:
        data = file.read()
    at, found = 8, {}
    while at < len(data):
        length, name = struct.unpack(">I4s", data[at : at + 8])
        found.setdefault(name.decode(), []).append(data[at + 8 : at + 8 + length])
        at += 12 + length
    texts = dict(t.split(b"\0", 1) for t in found["tEXt"])
    per_metre = struct.unpack(">IIB", found["pHYs"][0])
    return float(texts[b"px-per-mm"]), [int(v) for v in texts[b"origin-px"].split()], per_metre


def maps(given, shape, px_per_mm, origin):
    lens, pose, datum = given["lens"], given["pose"], given["datum"]
    camera = np.array([[lens["focal_px"], 0, lens["cx"]], [0, lens["focal_px"], lens["cy"]], [0, 0, 1]])
    bend = np.array([lens[k] for k in ("k1", "k2", "p1", "p2")])
    turn_x, _ = cv2.Rodrigues(np.array([pose["tilt_a_rad"], 0, 0]))
    turn_y, _ = cv2.Rodrigues(np.array([0, pose["tilt_b_rad"], 0]))
    turn, _ = cv2.Rodrigues(turn_x @ turn_y)
    cos, sin = np.cos(datum["angle_rad"]), np.sin(datum["angle_rad"])
    height, width = shape
    map_x, map_y = (np.empty(shape, np.float32) for _ in range(2))
    x = (np.arange(width) - origin[0]) / px_per_mm - datum["shift"][0]
    for rows in np.array_split(np.arange(height), max(1, height // 100)):
        y = ((origin[1] - rows) / px_per_mm - datum["shift"][1])[:, None]
        plate_x, plate_y = cos * x + sin * y, cos * y - sin * x
        space = np.stack([plate_x, -plate_y, np.zeros_like(plate_x)], -1).reshape(-1, 3)
        seen, _ = cv2.projectPoints(space, turn, np.array([0, 0, pose["distance_mm"]]), camera, bend)
        map_x[rows], map_y[rows] = seen.reshape(len(rows), width, 2).transpose(2, 0, 1)
    return map_x, map_y


def corners(picture, seen):
    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    grey = cv2.GaussianBlur(grey, (0, 0), 2)
    found = cv2.goodFeaturesToTrack(grey, 800, 0.02, 25, mask=seen.astype(np.uint8), blockSize=9)
    if found is None:
        return np.empty((0, 2))
    enough = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 60, 1e-3)
    return cv2.cornerSubPix(grey, found, (7, 7), (-1, -1), enough).reshape(-1, 2)


def main():
    given = json.load(sys.stdin)
    ours = cv2.cvtColor(cv2.imread(sys.argv[1]), cv2.COLOR_BGR2RGB)
    width, height = given["size"]
    photo = np.fromfile(sys.argv[2], np.uint8).reshape(height, width, 3)
    px_per_mm, origin, per_metre = chunks(sys.argv[1])
    map_x, map_y = maps(given, ours.shape[:2], px_per_mm, origin)
    theirs = cv2.remap(photo, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(255,) * 3)
    inside = lambda by: (map_x > by) & (map_x < width - 1 - by) & (map_y > by) & (map_y < height - 1 - by)
    seen, beyond = inside(EDGE_PX), ~inside(-EDGE_PX)
    off = np.abs(ours[seen].astype(int) - theirs[seen])
    well_seen = cv2.erode(seen.astype(np.uint8), np.ones((31, 31), np.uint8))
    one, other = corners(ours, well_seen), corners(theirs, well_seen)
    apart = np.array([np.hypot(*(other - c).T).min(initial=np.inf) for c in one]) / px_per_mm
    json.dump(
        {
            "size": [ours.shape[1], ours.shape[0]],
            "px_per_mm": px_per_mm,
            "per_metre": per_metre,
            "origin_px": origin,
            "grey": {"median": float(np.median(off)), "p999": float(np.percentile(off, 99.9))},
            "seen": int(seen.sum()),
            "paper": float((ours[beyond] == 255).mean()) if beyond.any() else 1.0,
            "corners": {
                "n": len(one),
                "median_mm": float(np.median(apart)),
                "p95_mm": float(np.percentile(apart, 95)),
            },
        },
        sys.stdout,
    )


if __name__ == "__main__":
    main()
