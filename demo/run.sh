#!/bin/sh
# The main job on the stock of an invented shop: four patches, each answered, with drawings of what to cut and how it lies, the
# second way to make one of them, the change that makes a yes of another, and damage for which the patch is proposed.
# Does whatever set-up it needs first.
set -eu
cd "$(dirname "$0")/.."
FOR=demo
. .setup/prepare.sh

for job in whole hallway cannot almost; do
    printf '\n── %s ──\n$ remnants fit demo/%s.json --stock demo/stock.json --svg demo/out/%s\n\n' "$job" "$job" "$job"
    remnants fit "demo/$job.json" --stock demo/stock.json --svg "demo/out/$job"
done
printf '\n── the same hall, with the closet left alone ──\n$ remnants fit demo/hallway.json --stock demo/stock.json --way 2\n\n'
remnants fit demo/hallway.json --stock demo/stock.json --way 2
printf '\n── the study, shaved by what the closet lacks: the no becomes a yes ──\n'
printf '$ remnants fit demo/almost.json --stock demo/stock.json --take 1 --svg demo/out/almost\n\n'
remnants fit demo/almost.json --stock demo/stock.json --take 1 --svg demo/out/almost
printf '\n── a burn, and nothing cut out yet: where should the patch end? ──\n'
printf '$ remnants propose demo/burn.json --stock demo/stock.json --svg demo/out/burn\n\n'
remnants propose demo/burn.json --stock demo/stock.json --svg demo/out/burn
printf '\nThe pictures, to open in a browser or to print:\n'
for picture in demo/out/*/*.svg; do printf '  %s\n' "$picture"; done
printf '\nNext: `. .venv/bin/activate`, then `remnants serve --demo` shows the same shop on pages, for the phone and the desk.\n'
