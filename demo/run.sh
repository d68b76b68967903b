#!/bin/sh
# The main job on the stock of an invented shop: four patches, each answered, with drawings of what to cut and how it lies, the
# second way to make one of them, the change that makes a yes of another, damage for which the patch is proposed, and what the
# stock cost and is worth.
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
printf '\n── what the stock cost, what it is worth, what takes up more room than it is worth ──\n'
printf '$ remnants log demo/stock.json --catalogue demo/out/shop.db\n$ remnants worth --by supplier --catalogue demo/out/shop.db\n'
printf '$ remnants age --most 9 --catalogue demo/out/shop.db\n\n'
mkdir -p demo/out
rm -f demo/out/shop.db demo/out/shop.db-*
remnants log demo/stock.json --catalogue demo/out/shop.db > demo/out/logged.txt 2>&1 || { cat demo/out/logged.txt; exit 1; }
remnants worth --by supplier --catalogue demo/out/shop.db
printf '\n'
remnants age --most 9 --catalogue demo/out/shop.db
printf '\nThe pictures, to open in a browser or to print:\n'
for picture in demo/out/*/*.svg; do printf '  %s\n' "$picture"; done
printf '\nNext: `. .venv/bin/activate`, then `remnants serve --demo` shows the same shop on pages, for the phone and the desk.\n'
