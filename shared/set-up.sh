# Sourced by sample_data/run and tests/run: makes .venv with the pinned versions.
# set_up EXTRA: EXTRA is an extra of pyproject.toml, or empty.
set_up() {
    python=""
    for candidate in python3 python3.13 python3.12 python3.11; do
        if command -v "$candidate" >/dev/null 2>&1 &&
            "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            python=$candidate
            break
        fi
    done
    if [ -z "$python" ]; then
        echo "$0: Python 3.11 or newer is needed and was not found" >&2
        exit 1
    fi
    want="${1:-core} $(cksum shared/constraints.txt pyproject.toml)"
    if [ -x .venv/bin/taperback ] && [ "$(cat .venv/set-up 2>/dev/null)" = "$want" ]; then
        return 0
    fi
    if ! "$python" -m venv .venv; then
        echo "$0: $python cannot make a virtual environment; install its venv package (Debian: python3-venv)" >&2
        exit 1
    fi
    .venv/bin/python -m pip install --quiet --disable-pip-version-check \
        --constraint shared/constraints.txt --editable ".${1:+[$1]}"
    printf '%s' "$want" >.venv/set-up
}
