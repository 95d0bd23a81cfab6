#!/usr/bin/env bash
# Builds trayworth, then values one invented stone and a tray of them. Installs what is missing.
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/packages.sh

need "${build_packages[@]}"
if [ ! -f build/CMakeCache.txt ]; then
    quietly cmake -S . -B build -G Ninja -DCMAKE_BUILD_TYPE=Release -DBUILD_TESTING=OFF \
        -DCMAKE_UNITY_BUILD=ON
fi
quietly cmake --build build --target trayworth

say() {
    printf '\n$ %s\n\n' "$*"
    "$@"
}
say build/trayworth value examples/first-stone.json
say build/trayworth value examples/tray.json
