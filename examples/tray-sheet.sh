#!/usr/bin/env bash
# Makes examples/tray-sheet.png again, the picture of the tray sheet in README.md. Needs the program in
# build/; installs what else is missing.
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/packages.sh

need chromium pngquant
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
build/trayworth value --quiet --format html examples/tray.json >"$folder/tray.html"
quietly chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --user-data-dir="$folder/user" \
    --window-size=900,2272 --screenshot="$folder/tray.png" "file://$folder/tray.html"
pngquant --force --output examples/tray-sheet.png "$folder/tray.png"
