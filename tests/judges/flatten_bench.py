"""Times OpenCV's bilinear warps of a photo, in turns with whoever asks.

Arguments: raw RGB photo, width, height, raw maps (float32, all x then all y), their width and height, threads. For each
line on standard input, a line on standard output: seconds of one remap by the maps, of one warpPerspective, and of one
remap with its maps worked out first (undistortion of the lens and turn of the plate by initUndistortRectifyMap).
"""

import sys
import time

import cv2
import numpy as np

photo, width, height, maps, across, down, threads = sys.argv[1:8]
width, height, across, down = (int(v) for v in (width, height, across, down))
cv2.setNumThreads(int(threads))
photo = np.fromfile(photo, np.uint8).reshape(height, width, 3)
map_x, map_y = np.fromfile(maps, np.float32).reshape(2, down, across)
corners = [(0, 0), (across - 1, 0), (across - 1, down - 1), (0, down - 1)]
seen = [(map_x[y, x], map_y[y, x]) for x, y in corners]
perspective = cv2.getPerspectiveTransform(np.float32(corners), np.float32(seen))
camera = np.array([[3000.0, 0, width / 2], [0, 3000, height / 2], [0, 0, 1]])
bend = np.array([-0.1, 0.02, 5e-4, -4e-4])
turn, _ = cv2.Rodrigues(np.array([0.1, -0.08, 0.02]))
out = np.empty((down, across, 3), np.uint8)


def timed(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def with_maps():
    x, y = cv2.initUndistortRectifyMap(camera, bend, turn, camera, (across, down), cv2.CV_32FC1)
    cv2.remap(photo, x, y, cv2.INTER_LINEAR, dst=out)


flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
for _ in sys.stdin:
    remap = timed(lambda: cv2.remap(photo, map_x, map_y, cv2.INTER_LINEAR, dst=out))
    warp = timed(lambda: cv2.warpPerspective(photo, perspective, (across, down), dst=out, flags=flags))
    print(remap, warp, timed(with_maps), flush=True)
