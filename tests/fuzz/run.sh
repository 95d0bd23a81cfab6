#!/usr/bin/env bash
# Builds the fuzzing harnesses and runs each for a while, as many at once as there are processors.
#
#     run.sh [SECONDS [HARNESS...]]
#
# What a run finds worth keeping stays in build-sanitize/fuzz/corpus and is where the next begins.
# An input that crashes, hangs or breaks what should hold is left beside it, and fails the script.
set -euo pipefail
cd "$(dirname "$0")/../.."
. .ci/packages.sh

seconds=${1:-60}
harnesses=("${@:2}")

build_sanitized fuzz
work=build-sanitize/fuzz
python3 tests/fuzz/seeds.py . "$work/seeds"
if [ ${#harnesses[@]} -eq 0 ]; then
    for folder in "$work"/seeds/*/; do
        harnesses+=("$(basename "$folder")")
    done
fi

# An allocation's whole stack and a large quarantine are slow, and are wanted only to read a report.
export ASAN_OPTIONS=malloc_context_size=4:quarantine_size_mb=32

fuzz() {
    local name=$1
    mkdir -p "$work/corpus/$name"
    if ! nice build-sanitize/tests/fuzz/"fuzz_$name" -max_total_time="$seconds" -timeout=10 \
        -rss_limit_mb=2048 -max_len=4096 -dict="$work/seeds/words" -print_final_stats=1 \
        -artifact_prefix="$work/$name-" "$work/corpus/$name" "$work/seeds/$name" \
        >"$work/$name.log" 2>&1; then
        grep -avE '^#[0-9]+|^INFO' "$work/$name.log" | tail -60
        echo "fuzz_$name found something: $work/$name-*, $work/$name.log" >&2
        return 1
    fi
    echo "$name: $(grep -aoP '^stat::number_of_executed_units: *\K\d+' "$work/$name.log") runs," \
        "$(grep -aoP ' ft: \K\d+' "$work/$name.log" | tail -1) features," \
        "$(grep -aoP ' cov: \K\d+' "$work/$name.log" | tail -1) edges"
}

export -f fuzz
export seconds work
printf '%s\0' "${harnesses[@]}" | xargs -0 -n 1 -P "$(nproc)" bash -c 'fuzz "$1"' fuzz
