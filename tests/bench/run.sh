#!/usr/bin/env bash
# Measures the stream, and the start for one stone, against what bounds them:
# tests/bench/run.sh [RECORDS [RUNS]]
set -euo pipefail
cd "$(dirname "$0")/../.."
. .ci/packages.sh

need "${build_packages[@]}" jq python3
quietly cmake -S . -B build-bench -G Ninja -DCMAKE_BUILD_TYPE=Release -DBUILD_TESTING=OFF \
    -DTRAYWORTH_BENCH=ON
quietly cmake --build build-bench
exec /usr/bin/python3 tests/bench/measure.py build-bench/trayworth build-bench/parse_only \
    build-bench/read_only data/demonstration-matrix.json build-bench "$@"
