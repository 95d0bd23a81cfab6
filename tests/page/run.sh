#!/usr/bin/env bash
# Makes pages of the examples and looks at them in a browser: see check.mjs. Installs what is missing.
#
# Usage: tests/page/run.sh [PICTURES]    the folder for pictures and PDFs; none are kept without it
set -euo pipefail
cd "$(dirname "$0")/../.."
. .ci/packages.sh

need chromium nodejs
command -v npm >/dev/null || need npm

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
pictures=${1:-$folder/pictures}
mkdir -p "$pictures"

# Versions that were tried; npm leaves the project alone.
quietly npm install --prefix "$folder" --no-audit --no-fund --ignore-scripts \
    axe-core@4.14.1 puppeteer-core@24.43.1 html-validate@10.17.0

program=build/trayworth
"$program" value --quiet --format html examples/first-stone.json >"$folder/stone.html"
"$program" value --quiet --format html examples/ring-stone-set.json >"$folder/estimated.html"
"$program" value --quiet --format html --simulate 1000 examples/tray.json >"$folder/tray.html"
"$program" value --quiet --format html --sensitivity examples/tray.json >"$folder/swings.html"
"$program" value --quiet --format html examples/stock.ndjson >"$folder/stock.html"
# Some of its stones are refused, and its texts mean ill.
"$program" value --quiet --format html tests/page/hostile.ndjson >"$folder/hostile.html" || [ $? -eq 1 ]
"$program" matrix show --format html >"$folder/matrix.html"
"$program" fit --quiet --format html --report "$folder/fit.html" --output /dev/null \
    examples/sales.csv 2>/dev/null

node tests/page/check.mjs "$folder/node_modules" "$(command -v chromium)" "$pictures" \
    "$folder"/{stone,estimated,tray,swings,stock,hostile,matrix,fit}.html
