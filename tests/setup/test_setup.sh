#!/usr/bin/env bash
# tools/setup against stand-ins for apt-get, dpkg-query, id, cmake, ctest and stile-plan that note how they were called.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$work"/{bin,elsewhere} "$work/stile dir"/{tools,build/release/bin}
cp "$here/../../tools/setup" "$work/stile dir/tools/"
export work PATH="$work/bin:$PATH"

stand_in() {  # stand_in FILE BODY
  printf '#!/bin/bash\n%s\n' "$2" >"$1"
  chmod +x "$1"
}
stand_in "$work/bin/id" 'echo "${fake_uid:-0}"'
stand_in "$work/bin/dpkg-query" 'cat "$work/there"; exit 1'
stand_in "$work/bin/apt-get" 'echo "apt-get $* ($DEBIAN_FRONTEND)" >>"$work/calls"
for name; do echo "installed $name" >>"$work/there"; done'
stand_in "$work/bin/cmake" 'echo "cmake $*" >>"$work/calls"; echo "noise"; exit "${fake_cmake:-0}"'
stand_in "$work/bin/ctest" 'echo "ctest $*" >>"$work/calls"; echo "100% tests passed"; exit "${fake_ctest:-0}"'
stand_in "$work/stile dir/build/release/bin/stile-plan" 'mkdir -p demo; echo "<svg/>" >demo/chart.svg
echo "plan $*"; exit "${fake_plan:-0}"'

run() {  # run STATUS ARGUMENT...: from another folder, with the answer in out and err
  local want=$1 status=0
  shift
  : >"$work/calls"
  (cd "$work/elsewhere" && "$work/stile dir/tools/setup" "$@") >"$work/out" 2>"$work/err" || status=$?
  [[ $status == "$want" ]] || fail "setup $* ended with $status, not $want"
}
fail() {
  echo "$1"
  tail -n 99 "$work/out" "$work/err" "$work/calls"
  exit 1
}
has() { grep -qE -e "$2" "$work/$1" || fail "$1 has no line like: $2"; }
hasnt() { if grep -qE -e "$2" "$work/$1"; then fail "$1 has a line like: $2"; fi; }

run 0 --help
has out '^Usage: tools/setup demo'
run 2
has err '^Usage'
run 2 demo twice
run 2 dance

# Missing packages without root: the command, nothing done. A half-removed package counts as missing.
printf 'installed cmake\nconfig-files g++\n' >"$work/there"
fake_uid=1000 run 2 demo
has err 'apt-get install -y --no-install-recommends g\+\+ ninja-build .*qpdf$'
[[ ! -s $work/calls ]] || fail "something was called without root"

# As root: one update, one install of what is missing, then the build; standard output is the comparison alone.
run 0 demo
plan='plan examples/moor/station.toml --report demo'
[[ $(cat "$work/out") == "$plan" ]] || fail "standard output is not the comparison"
has err '^  demo/chart.svg$'
[[ $(sed 's/install -y.*g++ ninja.*qpdf/install/' "$work/calls") == "apt-get update (noninteractive)
apt-get install (noninteractive)
cmake --preset release
cmake --build --preset release -j $(nproc) --target all_tools" ]] || fail "unexpected calls"

# Again: no call of apt-get. Everything is built. The suite's last line is the last.
run 0 test
hasnt calls apt-get
has calls '^cmake --build --preset release -j [0-9]+$'
[[ $(cat "$work/out") == "$plan"$'\n100% tests passed' ]] || fail "standard output is not comparison and suite"

# A verdict is no failure; failures keep their status, and the log's tail is shown.
fake_plan=1 run 0 demo
fake_plan=2 run 2 demo
fake_ctest=8 run 8 test
fake_cmake=7 run 7 demo
has err '^noise$'
has err 'failed with status 7: cmake --preset release$'
hasnt calls 'cmake --build'

# Only the packages, with one more.
run 0 packages clang-14
has calls '^apt-get install -y --no-install-recommends clang-14 '
hasnt calls cmake
