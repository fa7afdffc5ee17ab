"""Projects points with OpenCV: the core's camera must agree to 1e-6 px.

Standard input: {"f":…, "c":[cx,cy], "d":[k1,k2,p1,p2], "R":[[…]*3], "t":[…], "points":[[x,y,z]…]}.
Standard output: {"pixels":[[u,v]…]}.
"""

import json
import sys

import cv2
import numpy as np

job = json.load(sys.stdin)
matrix = np.array([[job["f"], 0, job["c"][0]], [0, job["f"], job["c"][1]], [0, 0, 1]], dtype=float)
rvec, _ = cv2.Rodrigues(np.array(job["R"], dtype=float))
pixels, _ = cv2.projectPoints(
    np.array(job["points"], dtype=float), rvec, np.array(job["t"], dtype=float), matrix, np.array(job["d"], dtype=float)
)
json.dump({"pixels": pixels.reshape(-1, 2).tolist()}, sys.stdout)
