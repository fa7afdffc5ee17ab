#!/bin/sh
# Sets up what is missing and runs every test. The second time there is nothing to set up.
#   sh tests/run.sh [arguments for `cargo test --workspace`]
# PLATEWRIGHT_SHARED names the folder of shared photos and references; without it, `shared` beside the project is used.
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
root=$(dirname -- "$here")
cd "$root"

. "$here/packages.sh"

if ! command -v cargo >/dev/null 2>&1; then
    echo "Rust is not installed: install it with rustup or your system's packages, then run this again." >&2
    exit 1
fi
# A C compiler links the program; the window runs on a display of its own; Python runs the judges.
need_command cc gcc libc6-dev
need_command Xvfb xvfb
need_command xdotool xdotool
need_command import imagemagick
need_command tesseract tesseract-ocr tesseract-ocr-eng
need_command heif-convert libheif-examples
need_command python3 python3
python3 -c 'import ensurepip, venv' >/dev/null 2>&1 || needed="$needed python3-venv"
need_window
install_needed

# The judges' packages, in a place of the project's own. The stamp is the list that was installed.
judges=$root/.venv
if ! cmp -s "$here/judges/requirements.txt" "$judges/installed.txt" || ! "$judges/bin/python" -c '' 2>/dev/null; then
    echo "Setting up Python for the judges"
    rm -rf "$judges"
    python3 -m venv "$judges"
    "$judges/bin/pip" install --quiet --disable-pip-version-check --only-binary :all: \
        -r "$here/judges/requirements.txt"
    cp "$here/judges/requirements.txt" "$judges/installed.txt"
fi
PLATEWRIGHT_PYTHON=$judges/bin/python
export PLATEWRIGHT_PYTHON

if [ -z "${PLATEWRIGHT_SHARED:-}" ] && [ -d "$root/../shared" ]; then
    PLATEWRIGHT_SHARED=$(CDPATH='' cd -- "$root/../shared" && pwd)
fi
if [ -n "${PLATEWRIGHT_SHARED:-}" ]; then
    export PLATEWRIGHT_SHARED
else
    echo "skipped: everything that needs the shared photos and references; they are not beside the project"
fi

exec cargo test --workspace --locked --no-fail-fast "$@"
