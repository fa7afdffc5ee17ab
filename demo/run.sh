#!/bin/sh
# Sets up what is missing, builds Platewright and opens the workbench on the demo job. With no display it runs the same
# job without a window, prints the verdict and writes the cut file, the proof and the report.
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
root=$(dirname -- "$here")

. "$root/tests/packages.sh"

if ! command -v cargo >/dev/null 2>&1; then
    echo "Rust is not installed: install it with rustup or your system's packages, then run this again." >&2
    exit 1
fi
# A C compiler links the program; the rest is opened at run time by the window.
need_command cc gcc libc6-dev
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
    need_window
fi
install_needed

cd "$root"
cargo build --release --locked -p platewright
program=${CARGO_TARGET_DIR:-target}/release/platewright
job=$here/milk-valve-flange.plate.json

if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
    exec "$program" "$job"
fi
echo "There is no display: the same job without a window."
"$program" solve "$job"
out=${TMPDIR:-/tmp}/milk-valve-flange
"$program" cut "$job" -o "$out.dxf"
"$program" proof "$job" -o "$out-proof.pdf"
"$program" report "$job" -o "$out-report.pdf"
