#!/usr/bin/env bash
# Runs every fuzzer of a folder for some seconds each, one a core at a time, and prints what each has done. What a fuzzer finds stands in
# FOLDER/found/<entrance>: once mended it goes into corpus/<entrance>, where the suite replays it.
#
#   run.sh FOLDER SECONDS [ENTRANCE ...]
set -euo pipefail
corpus=$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")/corpus
folder=$1
seconds=$2
shift 2
(($#)) || set -- $(cd "$folder" && printf '%s\n' fuzz_* | sed 's/^fuzz_//')

one() {
  local kept="$folder/kept/$1" found="$folder/found/$1"
  mkdir -p "$kept" "$found"
  "$folder/fuzz_$1" -max_total_time="$seconds" -timeout=25 -rss_limit_mb=3000 -max_len=6000 -print_final_stats=1 \
    -artifact_prefix="$found/" "$kept" "$corpus/$1" >"$folder/$1.log" 2>&1 && status=clean || status=FAULT
  printf '%-12s %s executions in %s s, %s inputs kept, %s\n' "$1" \
    "$(sed -n 's/^stat::number_of_executed_units: *//p' "$folder/$1.log")" "$seconds" "$(find "$kept" -type f | wc -l)" "$status"
}
export -f one
export folder seconds corpus
printf '%s\0' "$@" | xargs -0 -n 1 -P "$(nproc)" bash -c 'one "$1"' _ | tee "$folder/summary"
find "$folder/found" -type f
! grep FAULT "$folder/summary" >/dev/null
