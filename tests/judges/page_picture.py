"""Draws one page of a PDF as a PNG: page_picture.py PDF PAGE DPI PNG."""

import sys

import cv2
import pypdfium2


def main() -> None:
    pdf, page, dpi, png = sys.argv[1:5]
    picture = pypdfium2.PdfDocument(pdf)[int(page)].render(scale=float(dpi) / 72).to_numpy()
    if not cv2.imwrite(png, picture):
        sys.exit(f"{png} is not written")
    print("{}")


main()
