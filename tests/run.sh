#!/bin/sh
# All checks, after doing whatever set-up they need: style, types, tests. What follows the command goes to pytest:
#     sh tests/run.sh tests/test_units.py -k feet
set -eu
cd "$(dirname "$0")/.."
FOR=tests
. .setup/prepare.sh

ruff check .
ruff format --check .
mypy
mkdir -p .cache
if [ $# -gt 0 ]; then
    exec python -m pytest -n 2 --dist loadfile "$@"
fi
# The whole run tells which share of the program's lines and branches it reaches, and has a floor.
reached=.cache/reached.json
python -m slipcover --branch --source remnants,web/remnants_web --json --out "$reached" -m pytest -n 2 --dist loadfile
exec python -m slipcover --merge "$reached" --out "$reached" --branch --skip-covered --missing-width 60 --fail-under 95
