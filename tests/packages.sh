# Sourced by demo/run.sh and tests/run.sh: notes which Debian packages are missing, then installs them all at once.

needed=""

# need_command COMMAND PACKAGE…: the packages, unless the command is there.
need_command() {
    command=$1
    shift
    command -v "$command" >/dev/null 2>&1 || needed="$needed $*"
}

# need_library SONAME PACKAGE…: the packages, unless the run-time linker finds the library.
need_library() {
    library=$1
    shift
    if command -v ldconfig >/dev/null 2>&1; then ldconfig=ldconfig; else ldconfig=/sbin/ldconfig; fi
    "$ldconfig" -p 2>/dev/null | grep -q "$library" || needed="$needed $*"
}

# need_window: what the window opens by name at run time.
need_window() {
    need_library libX11-xcb.so.1 libx11-xcb1
    need_library libXcursor.so.1 libxcursor1
    need_library libXi.so.6 libxi6
    need_library libxkbcommon-x11.so.0 libxkbcommon-x11-0
    need_library libEGL.so.1 libegl1
    need_library libGL.so.1 libgl1
    # The drivers are opened by name too, so no library tells whether they are there.
    dpkg -s libgl1-mesa-dri >/dev/null 2>&1 || needed="$needed libgl1-mesa-dri"
}

# install_needed: installs what was noted; says plainly where it cannot.
install_needed() {
    [ -n "$needed" ] || return 0
    if ! command -v apt-get >/dev/null 2>&1; then
        echo "These packages are missing and this is no Debian or Ubuntu:$needed" >&2
        return 1
    fi
    if [ "$(id -u)" -eq 0 ]; then as_root=""; else as_root="sudo"; fi
    echo "Installing:$needed"
    $as_root apt-get update -qq
    # shellcheck disable=SC2086 # The list is words on purpose.
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $needed >/dev/null
    needed=""
}
