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
[ $# -gt 0 ] || set -- --cov --cov-report=  # the whole run tells which share of the program it reaches, and has a floor
exec python -m pytest -n 2 --dist loadfile "$@"
