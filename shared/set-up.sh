# Sourced by sample_data/run, tests/run and .ci/run, from the project's root: makes a virtual
# environment with the pinned versions. An environment for another Python: PYTHON=/path/to/python3.13.

# The versions that everything is tried with, oldest first: what pyproject.toml promises.
tried_versions() {
    sed -n 's/.*"Programming Language :: Python :: \(3\.[0-9]*\)".*/\1/p' pyproject.toml
}

# version COMMAND: "3.11" where the command is a CPython of that version, else nothing.
version() {
    "$1" -c 'import sys; v = sys.version_info; print(f"{v[0]}.{v[1]}") if sys.implementation.name == "cpython" else None' 2>/dev/null || true
}

# python_of VERSION: the command of a CPython of that version, or nothing.
python_of() {
    for command in python3 "python$1" "${PYENV_ROOT:-$HOME/.pyenv}/versions/$1".*/bin/python3; do
        if [ "$(version "$command")" = "$1" ]; then
            echo "$command"
            return 0
        fi
    done
}

# oldest_and_newest: the two commands, of the tried versions that this machine has; may be one.
oldest_and_newest() {
    oldest="" newest=""
    for each in $(tried_versions); do
        command=$(python_of "$each")
        oldest=${oldest:-$command}
        newest=${command:-$newest}
    done
    echo "$oldest $newest"
}

# usual_python: python3 where its version is tried, else the newest that is, else any newer one.
usual_python() {
    found=""
    for each in $(tried_versions); do
        command=$(python_of "$each")
        found=${command:-$found}
        if [ "$command" = python3 ]; then
            break
        fi
    done
    if [ -z "$found" ] &&
        python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
        echo "$0: tried with Python $(tried_versions | tr '\n' ' ')only, and here with $(version python3)" >&2
        found=python3
    fi
    echo "$found"
}

# set_up KIND: KIND is run or tests. Sets VENV: .venv, or .venv-3.13 where PYTHON names another.
set_up() {
    usual=$(usual_python)
    python=${PYTHON:-$usual}
    if [ -z "$(version "$python")" ]; then
        echo "$0: Python 3.11 or newer is needed; ${PYTHON:-it} was not found" >&2
        exit 1
    fi
    VENV=.venv
    if [ "$(version "$python")" != "$(version "${usual:-$python}")" ]; then
        VENV=.venv-$(version "$python")
    fi
    have=$(cat "$VENV/set-up" 2>/dev/null || true)
    want="$(version "$python") $(cat shared/pins/*.txt pyproject.toml | cksum)"
    if [ "$have" = "tests $want" ] || [ "$have" = "$1 $want" ]; then
        return 0
    fi
    fresh=""
    if [ "$(version "$VENV/bin/python")" != "$(version "$python")" ]; then
        fresh=--clear
    fi
    if ! "$python" -m venv $fresh "$VENV"; then
        echo "$0: $python cannot make a virtual environment; install its venv package (Debian: python3-venv)" >&2
        exit 1
    fi
    pins="-r shared/pins/run.txt"
    if [ "$1" = tests ]; then
        pins="$pins -r shared/pins/tests.txt"
    fi
    pip="$VENV/bin/python -m pip install --quiet --disable-pip-version-check"
    # shellcheck disable=SC2086 # words on purpose
    $pip --require-hashes --only-binary :all: $pins
    # What builds the package is pinned with the rest, so nothing more is fetched for it.
    $pip --no-deps --no-build-isolation --editable .
    printf '%s' "$1 $want" >"$VENV/set-up"
}
