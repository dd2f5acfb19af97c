#!/usr/bin/env bash
# tests/full.sh [CHECK...]: the checks that are too slow for every change, as root on Debian 12; about five hours on two
# cores that do nothing else. Goes through all of them, or through those named, whatever fails, then prints their rows of
# the dated table in DEVELOPERS.md on standard output. Progress goes to standard error, each check's output to
# build/full/. Those that ask programs of build/release need `build` among them where that is not of this commit. Exit
# status: 0 all passed, 1 not.
set -euo pipefail
cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")/.."
exec </dev/null
say() { printf 'full: %s\n' "$*" >&2; }

tools/setup packages clang-14 libclang-rt-14-dev clang-tidy-14 cppcheck doxygen mmdebstrap
export STILE_WERROR=ON
mkdir -p build/full
date=$(date +%F)
commit=$(git -c safe.directory='*' describe --always --dirty)
wanted=" $* " names=() rows=() failed=0

check() {  # check NAME WHAT COMMAND...: a row of the table; a line of the log that ctest closes with goes into it
  local name=$1 what=$2 start=$SECONDS result=passed tests
  local log=build/full/$name.log
  names+=("$name")
  [[ $wanted == '  ' || $wanted == *" $name "* ]] || return 0
  shift 2
  say "$what"
  "$@" >"$log" 2>&1 || { result="**failed**, status $?"; failed=1; say "failed, see $log"; }
  tests=$(grep -E '^[0-9]+% tests passed' "$log" | tail -n 1 || true)
  rows+=("| \`$name\` | $what | $result${tests:+: $tests} | $((SECONDS - start)) s | $date, $commit |")
}

# What runs beside a check ends with this script.
trap 'kill $(jobs -p) 2>/dev/null || true' EXIT
trap 'exit 130' INT
# Off: missingReturn does not know [[noreturn]] (the compilers do); the other two are wrong about these lines.
inner_check() {
  cppcheck lib plots tools -I lib -I plots -I tools --std=c++20 --language=c++ --enable=warning,portability --quiet \
    --suppress=missingReturn --suppress=containerOutOfBounds:lib/stile/tuner/tree_build.cpp \
    --suppress=nullPointerRedundantCheck:lib/stile/station/detail/toml_table.cpp --error-exitcode=1 -j "$(nproc)"
}
# Without precompiled headers: each test includes what it needs.
build() { cmake --preset release -D CMAKE_DISABLE_PRECOMPILE_HEADERS=ON && cmake --build --preset release; }
reference() { cmake --preset release && cmake --build --preset release --target reference; }
sanitized() { cmake --preset asan && cmake --build --preset asan && ctest --preset asan-slow; }
benchmarks() { cmake --build --preset release --target benchmarks; }
suite_in_random_order() { ctest --preset release --schedule-random -j "$(nproc)"; }
on_loaded_cores() {  # twice as many busy loops as cores beside it
  local n busy=() status=0
  for ((n = 0; n < 2 * $(nproc); ++n)); do
    while :; do :; done &
    busy+=($!)
  done
  "$@" || status=$?
  kill "${busy[@]}"
  wait "${busy[@]}" 2>/dev/null || true
  return "$status"
}

check reference "API reference, a warning is an error" reference
check tidy "clang-tidy over library, plots and tools" cmake --workflow --preset tidy
check cppcheck "cppcheck over library, plots and tools" inner_check
check build "gcc, warnings are errors" build
check clang "clang optimised, warnings are errors, and its suite" cmake --workflow --preset clang
check gallery "every chart of the gallery, byte for byte" tests/gallery/check.sh examples/gallery build/release/bin
check asan-slow "sanitizers, the tests that are too slow there for every change" sanitized
check faults "planted faults, each met by the test beside it" tests/faults/plant.sh
check benchmarks "every benchmark runs, beside its target" benchmarks
for n in 1 2 3; do check "idle-$n" "suite in random order, idle, run $n" suite_in_random_order; done
for n in 1 2 3; do check "loaded-$n" "suite in random order, loaded cores, run $n" on_loaded_cores suite_in_random_order; done
check other-order "bare root, test before demo, and the packages on another" \
  tests/setup/bare_root.sh --packages 'tools/setup test' 'tools/setup demo'

for name; do
  [[ " ${names[*]} " == *" $name "* ]] || { say "there is no check $name; there are: ${names[*]}"; failed=1; }
done
printf '| check | what | result | time on %d cores | when, at |\n|---|---|---|---|---|\n' "$(nproc)"
printf '%s\n' "${rows[@]}"
exit "$failed"
