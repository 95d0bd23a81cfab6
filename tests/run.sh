#!/usr/bin/env bash
# Builds with warnings as errors and runs the whole test suite. Installs what is missing.
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/packages.sh

need "${build_packages[@]}" "${test_packages[@]}"
quietly cmake -S . -B build -G Ninja -DCMAKE_BUILD_TYPE=Release -DBUILD_TESTING=ON \
    -DCMAKE_UNITY_BUILD=ON -DTRAYWORTH_WERROR=ON
quietly cmake --build build
ctest --test-dir build --output-on-failure --parallel "$(nproc)" "$@"
