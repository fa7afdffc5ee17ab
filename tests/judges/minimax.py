"""The best rigid move by SciPy's SLSQP: minimax_move must find the same worst hole to 1e-6 mm.

Standard input: {"cases":[{"places":[[x,y]…], "offsets":[[x,y]…], "plays":[c…]}…]}, mm.
Standard output: {"worst":[mm…]}: the smallest largest |off| - play over all shifts and turns.
"""

import json
import sys

import numpy as np
from scipy.optimize import minimize


def worst(case):
    places, offsets, plays = (np.array(case[key], dtype=float) for key in ("places", "offsets", "plays"))
    middle = places.mean(axis=0)
    arms = places - middle
    reach = np.abs(arms).max()
    holes = arms + offsets

    # Unknowns: shift, turn times reach so that all are of one size, level.
    def off(x):
        c, s = np.cos(x[2] / reach), np.sin(x[2] / reach)
        return holes @ np.array([[c, s], [-s, c]]) + x[:2] - arms

    def excess(x):
        return (np.hypot(*off(x).T) - plays).max()

    constraints = [
        {"type": "ineq", "fun": lambda x: (x[3] + plays) ** 2 - (off(x) ** 2).sum(axis=1)},
        {"type": "ineq", "fun": lambda x: x[3] + plays},
    ]
    best = np.inf
    # SLSQP sometimes stops short; the best of a few starts is the answer.
    for start in ([0, 0, 0], [0.1, -0.1, 0.1], [-0.1, 0.05, -0.2]):
        x = np.array([*start, excess(np.array(start, dtype=float)) + 0.1])
        for _ in range(3):
            x = minimize(lambda x: x[3], x, method="SLSQP", jac=lambda x: np.array([0, 0, 0, 1.0]),
                         constraints=constraints, options={"ftol": 1e-14, "maxiter": 500}).x
            best = min(best, excess(x))
    return best


json.dump({"worst": [worst(case) for case in json.load(sys.stdin)["cases"]]}, sys.stdout)
