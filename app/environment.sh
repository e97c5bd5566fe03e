# Sourced by app/start and tests/run: creates .venv and installs the project in it, also on a new Debian or Ubuntu.
# Usage: prepare EXTRAS   (in pip's notation: '' or '[test,postgres]')

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then sudo -n "$@"; else return 1; fi; }
apt_install() { as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@" >/dev/null 2>&1; }
debian() { command -v apt-get >/dev/null || return 1; apt_install "$@" || { as_root apt-get update -q >/dev/null 2>&1 && apt_install "$@"; }; }

prepare() {
    python=${PYTHON:-python3}
    "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null ||
        { echo "Python 3.11 or newer is required. If you have one, set PYTHON to its name (PYTHON=python3.12 ...)." >&2; return 1; }
    if ! .venv/bin/python -m pip --version >/dev/null 2>&1; then
        rm -rf .venv
        "$python" -m venv .venv >/dev/null 2>&1 ||
            { rm -rf .venv; debian python3-venv && "$python" -m venv .venv; } ||
            { echo "Python's venv module is missing: install the package python3-venv." >&2; return 1; }
    fi
    .venv/bin/python -m pip install -q --disable-pip-version-check -e ".$1"
}
