"""Centres of printed discs by OpenCV, and one least-squares fit of the grid for them and for ours.

Standard input: {"photos":[{"path":…, "camera":{"f":…, "c":[u,v], "d":[k1,k2,p1,p2], "R":[[…]*3], "t":[…]},
"discs":[{"plane":[x,y], "near":[u,v], "ours":[u,v] or null}…]}…], "radius":mm}: plane coordinates in mm, y down; the
camera as OpenCV calibrated it; `ours` the projected centre of the circle that was measured, null where none is trusted.
Standard output: {"ways":{NAME:{"plain":[px…], "alike":px}}, "photos":[{"discs":n, "farthest":px, "apart":px}…]}: NAME
is "ours" or a way of OpenCV's; "farthest" and "apart" (RMS) are of ours from the way called "fine".

OpenCV's ways:
  blobs     SimpleBlobDetector, with which findCirclesGrid finds discs
  contours  a threshold half way between the disc and its ground, findContours, fitEllipse
  fine      the same on the photo enlarged eight times (INTER_CUBIC): contours to an eighth of a pixel
  moments   cv2.moments of the darkness itself
They find the centre of the disc's ellipse, which is not the projected centre: the difference, by fitEllipse of the
projected rim, is taken off.

The fit from grid to centres: a homography, k1, k2, p1 and p2 for each photo, 12 unknowns, by SciPy's least_squares, the
same for all ways and over the same discs, those that every way has. "plain" is each photo's RMS of a coordinate against
the grid as it should have been printed. "alike" takes off what a disc shows in all photos, the unevenness of print and
paper, by iterated means over the photos: it is the detectors' scatter.
"""

import json
import sys

import cv2
import numpy as np
from scipy.optimize import least_squares

ENLARGED = 8
# Half a side of the surroundings of a disc, px, and how far off a detection is another disc's.
AROUND, NEAR = 13, 3.0


def project(camera, xy):
    matrix = np.array([[camera["f"], 0, camera["c"][0]], [0, camera["f"], camera["c"][1]], [0, 0, 1]], dtype=float)
    rvec, _ = cv2.Rodrigues(np.array(camera["R"], dtype=float))
    xyz = np.column_stack([xy, np.zeros(len(xy))])
    seen, _ = cv2.projectPoints(xyz, rvec, np.array(camera["t"], dtype=float), matrix, np.array(camera["d"], dtype=float))
    return seen.reshape(-1, 2)


def eccentricity(camera, plane, radius):
    """Centre of each disc's ellipse less its projected centre, px."""
    angles = np.linspace(0, 2 * np.pi, 64, endpoint=False)
    ring = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    centres = project(camera, plane)
    # fitEllipse works in single precision: about the centre, and enlarged.
    rims = [100 * (project(camera, at + ring) - centre) for at, centre in zip(plane, centres)]
    return np.array([cv2.fitEllipse(rim.astype(np.float32))[0] for rim in rims]) / 100


def around(grey, at):
    """The surroundings of a disc, their first pixel, and the light half way between disc and ground."""
    corner = np.round(at).astype(int) - AROUND
    patch = grey[corner[1] : corner[1] + 2 * AROUND + 1, corner[0] : corner[0] + 2 * AROUND + 1]
    return patch, corner, np.percentile(patch, [10, 90]).mean()


def ellipse(grey, at, enlarged):
    patch, corner, half = around(grey, at)
    if enlarged > 1:
        patch = cv2.resize(patch, None, fx=enlarged, fy=enlarged, interpolation=cv2.INTER_CUBIC)
    contours, _ = cv2.findContours((patch < half).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    middle = float(patch.shape[0] // 2)
    for contour in contours:
        if len(contour) >= 5 and cv2.pointPolygonTest(contour, (middle, middle), False) > 0:
            return corner + (np.array(cv2.fitEllipse(contour)[0]) + 0.5) / enlarged - 0.5
    return np.full(2, np.nan)


def moments(grey, at):
    patch, corner, half = around(grey, at)
    _, labels = cv2.connectedComponents((patch < half).astype(np.uint8))
    disc = (labels == labels[AROUND, AROUND]).astype(np.uint8)
    # Two pixels round it: its blurred edge, and not the next disc's.
    disc = cv2.dilate(disc, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5)))
    darkness = np.maximum(np.percentile(patch, 90) - patch.astype(np.float32), 0)
    m = cv2.moments(np.where(disc > 0, darkness, 0).astype(np.float32))
    return corner + np.array([m["m10"], m["m01"]]) / m["m00"]


def blobs(grey, near):
    parameters = cv2.SimpleBlobDetector_Params()
    parameters.minThreshold, parameters.maxThreshold, parameters.thresholdStep = 40, 220, 5
    parameters.minDistBetweenBlobs, parameters.minArea, parameters.maxArea = 8, 80, 600
    found = np.array([blob.pt for blob in cv2.SimpleBlobDetector_create(parameters).detect(grey)])
    apart = np.linalg.norm(found[None] - near[:, None], axis=2)
    return np.where((apart.min(axis=1) < NEAR)[:, None], found[apart.argmin(axis=1)], np.nan)


def fitted(camera, plane, seen):
    """Where the fitted homography and lens put the grid, px."""
    focal, middle, scale = camera["f"], np.array(camera["c"]), np.abs(plane).max()
    grid = np.column_stack([plane / scale, np.ones(len(plane))])
    first, _ = cv2.findHomography(plane / scale, (seen - middle) / focal)

    def model(x):
        p = grid @ np.append(x[:8], 1.0).reshape(3, 3).T
        u, v = p[:, 0] / p[:, 2], p[:, 1] / p[:, 2]
        k1, k2, p1, p2 = x[8:]
        r2 = u * u + v * v
        bend = 1 + k1 * r2 + k2 * r2 * r2
        bent = [u * bend + 2 * p1 * u * v + p2 * (r2 + 2 * u * u), v * bend + p1 * (r2 + 2 * v * v) + 2 * p2 * u * v]
        return np.column_stack(bent) * focal + middle

    start = np.append((first / first[2, 2]).ravel()[:8], camera["d"])
    return model(least_squares(lambda x: (model(x) - seen).ravel(), start, x_scale="jac").x)


def left_over(photo, grid, seen):
    """What the fit of the discs that count leaves, px, and the same as lengths on the paper, mm; NaN elsewhere."""
    counts = photo["counts"]
    left, on_paper = np.full(grid.shape, np.nan), np.full(grid.shape, np.nan)
    left[counts] = seen[counts] - fitted(photo["camera"], grid[counts], seen[counts])
    at = project(photo["camera"], grid)
    step = np.stack([project(photo["camera"], grid + along) - at for along in np.eye(2)], axis=2)
    on_paper[counts] = np.linalg.solve(step[counts], left[counts][:, :, None])[:, :, 0]
    return left, on_paper


def rms(off):
    return float(np.sqrt(np.nanmean(np.square(off))))


def same_discs(first, first_paper, other, paper):
    """For each disc of `other` the number of the same disc in `first`, and the turn that brings them together.

    The sheet may lie turned by any sixth in the files, and half a turn brings the grid on to itself: the unevenness of
    the print tells which way it lies.
    """
    best = (-1.0, None, None)
    in_middle = first[np.linalg.norm(first - first.mean(axis=0), axis=1).argmin()]
    for sixth in range(6):
        c, s = np.cos(sixth * np.pi / 3), np.sin(sixth * np.pi / 3)
        turn = np.array([[c, -s], [s, c]])
        turned = other @ turn.T
        for near in turned[np.linalg.norm(turned - turned.mean(axis=0), axis=1).argsort()[:20]]:
            apart = np.linalg.norm((turned + in_middle - near)[:, None] - first[None], axis=2)
            if (apart.min(axis=1) > 0.5).any():
                continue
            same = apart.argmin(axis=1)
            both = np.column_stack([first_paper[same].ravel(), (paper @ turn.T).ravel()])
            alike = np.corrcoef(both[np.isfinite(both).all(axis=1)].T)[0, 1]
            best = max(best, (alike, same, turn), key=lambda way: way[0])
    alike, same, turn = best
    assert alike > 0.5, f"the print's unevenness does not tell how the sheet lies: {alike:.2f}"
    return same, turn


def scatter(photos, seen):
    """RMS of what is left when that which each disc shows in all photos is taken off."""
    shift = np.zeros_like(photos[0]["plane"])
    for _ in range(5):
        left, papers = [], []
        for photo, found in zip(photos, seen):
            same, turn = photo["same"], photo["turn"]
            left_px, on_paper = left_over(photo, photo["plane"] + shift[same] @ turn, found)
            left.append(left_px.ravel())
            paper = np.full(shift.shape, np.nan)
            paper[same] = on_paper @ turn.T
            papers.append(paper)
        seen_often = np.isfinite(papers).all(axis=2).sum(axis=0) >= len(photos) - 2
        shift[seen_often] += np.nanmean(np.array(papers)[:, seen_often], axis=0)
    often = [np.repeat(seen_often[photo["same"]], 2) for photo in photos]
    return rms(np.concatenate([off[counts] for off, counts in zip(left, often)]))


def main():
    job = json.load(sys.stdin)
    photos, seen = job["photos"], {}
    for photo in photos:
        discs = photo["discs"]
        photo["plane"], near = (np.array([disc[key] for disc in discs], dtype=float) for key in ("plane", "near"))
        grey = cv2.imread(photo["path"], cv2.IMREAD_GRAYSCALE)
        ways = {
            "blobs": blobs(grey, near),
            "contours": np.array([ellipse(grey, at, 1) for at in near]),
            "fine": np.array([ellipse(grey, at, ENLARGED) for at in near]),
            "moments": np.array([moments(grey, at) for at in near]),
        }
        off = eccentricity(photo["camera"], photo["plane"], job["radius"])
        ways = {name: found - off for name, found in ways.items()}
        ways["ours"] = np.array([disc["ours"] or [np.nan] * 2 for disc in discs])
        photo["counts"] = np.isfinite(list(ways.values())).all(axis=(0, 2))
        for name, found in ways.items():
            seen.setdefault(name, []).append(found)
    plain = {
        name: [left_over(photo, photo["plane"], at) for photo, at in zip(photos, found)] for name, found in seen.items()
    }
    for photo, (_, paper) in zip(photos, plain["fine"]):
        photo["same"], photo["turn"] = same_discs(photos[0]["plane"], plain["fine"][0][1], photo["plane"], paper)
    answer = {
        name: {"plain": [rms(left) for left, _ in plain[name]], "alike": scatter(photos, found)}
        for name, found in seen.items()
    }
    apart = [ours - fine for ours, fine in zip(seen["ours"], seen["fine"])]
    each = [
        {"discs": int(photo["counts"].sum()), "farthest": float(np.nanmax(np.linalg.norm(off, axis=1))), "apart": rms(off)}
        for photo, off in zip(photos, apart)
    ]
    json.dump({"ways": answer, "photos": each}, sys.stdout)


main()
