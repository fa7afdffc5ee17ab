"""Solves a job with SciPy's least_squares, apart from the core: own forward camera, own rim distance, numeric Jacobian.

Standard input: the problem as one JSON object:
  priors:   [[value, sigma] * 10] for ln D, a, b, ln f, cx, cy, k1, k2, p1, p2
  breaks:   number of edge-break unknowns (prior 0.5 +- 0.4 mm)
  holes:    [{"picks": [[u, v]…], "sigma": px, "break": index or null}]
  points:   [{"at": [u, v], "sigma": px}]
  measures: [{"kind": …, "of": [feature…], "mm": …, "sigma": …}]; a feature is its number, holes first, then points
  start:    the unknowns in the order camera, breaks, holes (X, Y, r), points (X, Y)
Standard output: {"x": […], "covariance": [[…]…], "cost": …, "redundancy": […], "w": […]}; the last two of the measures,
w positive where the reading is too long.

The rim residual is the signed distance in px from the pick to the projected circle, found by minimising over the
circle's angle; the point residual is the pick less the projection; hand measures are as their names say (jaws touch the
bore, picks the rim). The camera is the textbook one (Brown-Conrady, order of the vision libraries); the plate's x points
right, y up, its origin where the optical axis meets it.
"""

import json
import sys

import numpy as np
from scipy.optimize import least_squares

problem = json.load(sys.stdin)
priors = np.array(problem["priors"], dtype=float)
holes, points, measures = problem["holes"], problem["points"], problem["measures"]
n_breaks = problem["breaks"]
FIRST_BREAK = 10
FIRST_HOLE = FIRST_BREAK + n_breaks
FIRST_POINT = FIRST_HOLE + 3 * len(holes)
PICKS = np.array([pick for hole in holes for pick in hole["picks"]], dtype=float)
HOLE_OF_PICK = np.array([number for number, hole in enumerate(holes) for _ in hole["picks"]])
SIGMA_OF_PICK = np.array([hole["sigma"] for hole in holes for _ in hole["picks"]])


def project(camera, xy):
    ln_d, a, b, ln_f, cx, cy, k1, k2, p1, p2 = camera
    xy = np.atleast_2d(xy)
    v = np.stack([xy[:, 0], -xy[:, 1], np.zeros(len(xy))])
    rx = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    ry = np.array([[np.cos(b), 0, np.sin(b)], [0, 1, 0], [-np.sin(b), 0, np.cos(b)]])
    p = rx @ ry @ v + np.array([[0.0], [0.0], [np.exp(ln_d)]])
    x, y = p[0] / p[2], p[1] / p[2]
    r2 = x * x + y * y
    radial = 1 + k1 * r2 + k2 * r2 * r2
    xd = x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x)
    yd = y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y
    return np.stack([cx + np.exp(ln_f) * xd, cy + np.exp(ln_f) * yd], axis=1)


def circle(camera, rims, phi):
    x, y, r = rims
    return project(camera, np.stack([x + r * np.cos(phi), y + r * np.sin(phi)], axis=1))


def rim_distances(camera, rims):
    """Signed distances of all picks in px, positive outside; `rims` are X, Y and r of each pick's hole.

    Newton on each pick's angle, started from the affine map at the hole's centre.
    """
    x, y, r = rims
    centre = project(camera, np.stack([x, y], axis=1))
    right = project(camera, np.stack([x + r, y], axis=1)) - centre
    up = project(camera, np.stack([x, y + r], axis=1)) - centre
    off = PICKS - centre
    determinant = right[:, 0] * up[:, 1] - right[:, 1] * up[:, 0]
    along_right = (off[:, 0] * up[:, 1] - off[:, 1] * up[:, 0]) / determinant
    along_up = (right[:, 0] * off[:, 1] - right[:, 1] * off[:, 0]) / determinant
    phi = np.arctan2(along_up, along_right)
    h = 1e-4
    for _ in range(30):
        before, here, after = circle(camera, rims, phi - h), circle(camera, rims, phi), circle(camera, rims, phi + h)
        first, second = (after - before) / (2 * h), (after - 2 * here + before) / h**2
        off = PICKS - here
        step = (off * first).sum(axis=1) / ((first**2).sum(axis=1) - (off * second).sum(axis=1))
        phi = phi + step
        if np.max(np.abs(step)) < 1e-10:
            break
    here = circle(camera, rims, phi)
    outward = circle(camera, (x, y, r * (1 + 1e-6)), phi) - here
    distance = np.linalg.norm(PICKS - here, axis=1)
    return np.where(((PICKS - here) * outward).sum(axis=1) > 0, distance, -distance)


def feature(x, number):
    if number < len(holes):
        at = FIRST_HOLE + 3 * number
        broken = holes[number]["break"]
        bore = x[at + 2] - (x[FIRST_BREAK + broken] if broken is not None else 0.0)
        return x[at], x[at + 1], bore
    at = FIRST_POINT + 2 * (number - len(holes))
    return x[at], x[at + 1], 0.0


def length(x, measure):
    first = feature(x, measure["of"][0])
    if measure["kind"] == "diameter":
        return 2 * first[2]
    second = feature(x, measure["of"][1])
    apart = np.hypot(first[0] - second[0], first[1] - second[1])
    return apart + {"far-rims": 1, "near-rims": -1, "centres": 0, "points": 0}[measure["kind"]] * (first[2] + second[2])


def residuals(x):
    camera = x[:10]
    rows = list((camera - priors[:, 0]) / priors[:, 1])
    rows += [(width - 0.5) / 0.4 for width in x[FIRST_BREAK:FIRST_HOLE]]
    rims = x[FIRST_HOLE:FIRST_POINT].reshape(-1, 3)[HOLE_OF_PICK].T
    rows += list(rim_distances(camera, rims) / SIGMA_OF_PICK)
    for number, point in enumerate(points):
        at = FIRST_POINT + 2 * number
        rows += list((np.array(point["at"]) - project(camera, x[at : at + 2])[0]) / point["sigma"])
    rows += [(length(x, measure) - measure["mm"]) / measure["sigma"] for measure in measures]
    return np.array(rows)


start = np.array(problem["start"], dtype=float)
scale = np.maximum(np.abs(start), 1e-3)
found = least_squares(residuals, start, jac="3-point", x_scale="jac", ftol=1e-12, xtol=1e-12, gtol=1e-12, max_nfev=200)


def jacobian(x):
    """Central differences, extrapolated once (Richardson): error of fourth order in the step."""
    columns = []
    for i in range(len(x)):
        steps = []
        for h in (2e-4 * scale[i], 1e-4 * scale[i]):
            up, down = x.copy(), x.copy()
            up[i] += h
            down[i] -= h
            steps.append((residuals(up) - residuals(down)) / (2 * h))
        columns.append((4 * steps[1] - steps[0]) / 3)
    return np.stack(columns, axis=1)


x = found.x
for _ in range(6):
    j = jacobian(x)
    step = np.linalg.lstsq(j, -residuals(x), rcond=None)[0]
    x = x + step
    # In units of the unknowns' standard deviations; what is compared is a thousand times larger.
    if np.linalg.norm(j @ step) < 1e-9:
        break
j, misfits = jacobian(x), residuals(x)
covariance = np.linalg.inv(j.T @ j)
# Baarda: of the whitened misfits v, Qvv = I - J (J'J)^-1 J'; the redundancy numbers are its diagonal, w = v / root.
redundancy = (1 - np.einsum("ij,jk,ik->i", j, covariance, j))[len(misfits) - len(measures) :]
w = -misfits[len(misfits) - len(measures) :] / np.sqrt(redundancy)
json.dump(
    {
        "x": x.tolist(),
        "covariance": covariance.tolist(),
        "cost": float((misfits**2).sum()),
        "redundancy": redundancy.tolist(),
        "w": w.tolist(),
    },
    sys.stdout,
)
