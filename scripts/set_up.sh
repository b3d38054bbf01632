#!/bin/sh
# Make or refresh .venv with the packages for one purpose: "run" (to use the tool) or "dev" (to
# work on it). Does nothing when .venv already holds what pyproject.toml and constraints.txt ask.
set -eu

purpose=${1:?"usage: scripts/set_up.sh run|dev"}
here=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
cd "$here"

stop() {
    echo "$1" >&2
    exit 1
}

command -v python3 >/dev/null || stop "Python 3.11 or newer is wanted: apt install python3 python3-venv"
python3 -c 'import sys; sys.exit(sys.version_info < (3, 11))' ||
    stop "Python 3.11 or newer is wanted, and python3 is $(python3 -V 2>&1): put a newer one first on the PATH"

# What .venv is made from. A place or a Python that changed calls for a new one; changed packages
# are put into the old one, so that a running test is not robbed of its Python.
base="$here $(python3 -c 'import sys; print(sys.version_info[:2])')"
wanted=$(cksum pyproject.toml constraints.txt scripts/set_up.sh)
stamp=.venv/made-from

if ! [ -x .venv/bin/python ] || [ "$(cat "$stamp.base" 2>/dev/null)" != "$base" ]; then
    python3 -c 'import venv, ensurepip' 2>/dev/null ||
        stop "Python cannot make an environment of its own here: apt install python3-venv"
    echo "== making .venv with $(python3 -V)"
    python3 -m venv --clear .venv
    echo "$base" >"$stamp.base"
fi

if [ "$(cat "$stamp.dev" 2>/dev/null)" = "$wanted" ] ||
    [ "$(cat "$stamp.$purpose" 2>/dev/null)" = "$wanted" ]; then
    exit 0
fi

what=.
[ "$purpose" = run ] || what=".[$purpose]"
echo "== installing Benchproof and what it needs (once; a minute or so)"
rm -f "$stamp.run" "$stamp.dev"
# A user's habit of installing for himself alone makes no sense inside an environment.
PIP_USER=0 PIP_DISABLE_PIP_VERSION_CHECK=1 .venv/bin/python -m pip install \
    --quiet --constraint constraints.txt --editable "$what" ||
    stop "The packages could not be installed: see above; is there a way to a package index?"
echo "$wanted" >"$stamp.$purpose"
