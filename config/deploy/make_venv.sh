#!/bin/sh
# Make the virtual environment named in $1, or say in one sentence what is missing.
set -eu
venv=$1

is_new_enough() {
    "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null
}

# One that works is left alone.
if is_new_enough "$venv/bin/python" && "$venv/bin/python" -m pip --version >/dev/null 2>&1; then
    exit 0
fi

python=
for name in ${PYTHON:-} python3 python3.14 python3.13 python3.12 python3.11; do
    if command -v "$name" >/dev/null 2>&1 && is_new_enough "$name"; then
        python=$name
        break
    fi
done
if [ -z "$python" ]; then
    echo "Python 3.11 or later is needed and was not found. Install it (Debian, Ubuntu: sudo apt install python3 python3-venv), or name yours: make run PYTHON=/path/to/python3." >&2
    exit 1
fi

if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
    echo "python3-venv is missing. Install it (Debian, Ubuntu: sudo apt install python3-venv), then run make again." >&2
    exit 1
fi

"$python" -m venv --clear "$venv"
