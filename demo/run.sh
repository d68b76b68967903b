#!/bin/sh
# The main job on the stock of an invented shop: three patches, each answered, with drawings of what to cut and how it lies.
# Does whatever set-up it needs first.
set -eu
cd "$(dirname "$0")/.."
. .setup/prepare.sh

for job in whole hallway cannot; do
    printf '\n── %s ──\n$ remnants fit demo/%s.json --stock demo/stock.json --svg demo/out/%s\n\n' "$job" "$job" "$job"
    remnants fit "demo/$job.json" --stock demo/stock.json --svg "demo/out/$job"
done
printf '\nThe drawings lie in demo/out: open the .svg files in a browser, or print them.\n'
