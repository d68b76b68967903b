#!/bin/sh
# All checks, after doing whatever set-up they need: style, types, tests. What follows the command goes to pytest:
#     sh tests/run.sh tests/test_units.py -k feet
set -eu
cd "$(dirname "$0")/.."
FOR=tests
. .setup/prepare.sh

ruff check .
ruff format --check .
mkdir -p .cache
if [ $# -gt 0 ]; then
    mypy
    exec python -m pytest -n 2 --dist worksteal "$@"
fi
# In the whole run types are looked at beside the tests: alone they keep one core for a minute while the other has nothing to do.
told=.cache/types.log
mypy >"$told" 2>&1 &
types=$!
trap 'kill "$types" 2>/dev/null || :' EXIT
# The whole run tells which share of the program's lines and branches it reaches, and has a floor.
reached=.cache/reached.json
tests=0
python -m tests.reached "$reached" -n 2 --dist worksteal || tests=$?
wait "$types" || tests=1
cat "$told"
[ "$tests" = 0 ] || exit "$tests"
python -m slipcover --merge "$reached" --out "$reached" --branch --skip-covered --missing-width 60 --fail-under 95
