#!/bin/sh
# The main job on the stock of an invented shop: three patches, each answered, with drawings of what to cut and how it lies,
# and the second way to make one of them.
# Does whatever set-up it needs first.
set -eu
cd "$(dirname "$0")/.."
FOR=demo
. .setup/prepare.sh

for job in whole hallway cannot; do
    printf '\n── %s ──\n$ remnants fit demo/%s.json --stock demo/stock.json --svg demo/out/%s\n\n' "$job" "$job" "$job"
    remnants fit "demo/$job.json" --stock demo/stock.json --svg "demo/out/$job"
done
printf '\n── the same hall, with the closet left alone ──\n$ remnants fit demo/hallway.json --stock demo/stock.json --way 2\n\n'
remnants fit demo/hallway.json --stock demo/stock.json --way 2
printf '\nThe pictures, to open in a browser or to print:\n'
for picture in demo/out/*/*.svg; do printf '  %s\n' "$picture"; done
printf '\nNext: `. .venv/bin/activate`, then `remnants serve --demo` shows the same shop on pages, for the phone and the desk.\n'
