#!/bin/sh
# All checks, after doing whatever set-up they need: style, types, tests. What follows the command goes to pytest:
#     sh tests/run.sh tests/test_units.py -k feet
set -eu
cd "$(dirname "$0")/.."
. .setup/prepare.sh tests

ruff check .
ruff format --check .
packages=remnants
[ ! -d web ] || packages="remnants web"
# shellcheck disable=SC2086  # the names are words
mypy $packages
exec python -m pytest -n 2 --dist loadfile "$@"
