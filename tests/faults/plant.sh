#!/usr/bin/env bash
# tests/faults/plant.sh [-b SCRATCH] [ROOM[:N]...]: plants faults one at a time in a copy of the sources with a build of
# its own (SCRATCH, by default build/faults) and runs the test that stands beside each: it must pass before and fail
# after. All rooms, those named, or of a room its fault N alone. A fault without a test meets every test of its room and
# tells which ones fail: the way to find one for a new fault. Exit status: 0 all caught, 1 not, 2 something is wrong with
# a list or the sources as they are.
#
# ROOM.txt: a record a fault; lines that begin with # are comments, empty ones are left out:
#   the file
#   - what stands there, in that file once
#   + what stands there instead
#   = room:title of the test, as ctest lists it
set -euo pipefail
shopt -s nullglob
here=$(cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")" && pwd)
root=$(cd "$here/../.." && pwd)
scratch=$root/build/faults
while getopts b: option; do
  case $option in
  b) scratch=$(readlink -m "$OPTARG") ;;
  *) exit 2 ;;
  esac
done
shift $((OPTIND - 1))
say() { printf 'faults: %s\n' "$*" >&2; }
fail() { say "$*"; exit 2; }

name=() file=() old=() new=() test=()
read_list() {  # read_list ROOM [N]
  local line n=0 list=$here/$1.txt
  local before_list=${#file[@]}
  [[ -f $list ]] || fail "no list $list"
  while IFS= read -r line || [[ -n $line ]]; do
    [[ $line == '' || $line == '#'* ]] && continue
    local path=$line before after caught
    IFS= read -r before && IFS= read -r after && IFS= read -r caught || fail "$1.txt ends within a record"
    [[ $before == '- '* && $after == '+'* && $caught == '='* ]] || fail "$1.txt, after fault $n: not a record: $path"
    n=$((n + 1))
    [[ -n ${2:-} && $n != "${2:-}" ]] && continue
    after=${after:1} caught=${caught:1}
    name+=("$1:$n") file+=("$path") old+=("${before:2}") new+=("${after# }") test+=("${caught# }")
  done <"$list"
  ((${#file[@]} > before_list)) || fail "$1.txt has no fault ${2:-at all}"
}
if (($# == 0)); then
  for list in "$here"/*.txt; do read_list "$(basename "$list" .txt)"; done
fi
for room; do
  case $room in
  *:*) read_list "${room%%:*}" "${room##*:}" ;;
  *) read_list "$room" ;;
  esac
done

content() { cat "$1" && printf x; }  # an x behind it keeps the line breaks at its end
targets_of() {  # what must be built for a test; those of the tools run all of them
  case $1 in
  tools:*) echo all_tools test_tools ;;
  *) echo "test_${1%%:*}" ;;
  esac
}
room_of() {
  local room=${1#lib/stile/}
  case $1 in
  lib/*) echo "${room%%/*}:" ;;
  plots/*) echo plots: ;;
  tools/*) echo tools: ;;
  esac
}
build() { cmake --build "$scratch/build" --target "$@" >"$scratch/build.log" 2>&1; }
run() {  # the test of exactly that title, or all of a room for "room:"
  local pattern end=$
  pattern=$(sed 's/[][().*+?^$|\\{}]/\\&/g' <<<"$1")
  [[ $1 == *: ]] && end=
  ctest --test-dir "$scratch/build" -R "^$pattern$end" --no-tests=error --timeout 300 --output-on-failure \
    >"$scratch/test.log" 2>&1
}

planted() {  # planted N CONTENT: sets `after`, the content with that fault; status 1 when it does not stand there once
  local rest=${2#*"${old[$1]}"}
  after=${2/"${old[$1]}"/"${new[$1]}"}
  [[ $after != "$2" && $rest != *"${old[$1]}"* ]]
}
for ((n = 0; n < ${#file[@]}; ++n)); do
  [[ -f $root/${file[n]} ]] && planted "$n" "$(content "$root/${file[n]}")" ||
    fail "${name[n]}: ${old[n]} does not stand in ${file[n]} once"
  [[ -n ${test[n]}$(room_of "${file[n]}") ]] || fail "${name[n]}: no room has tests of ${file[n]}"
done

say "copying the sources and building them as they are, in $scratch"
mkdir -p "$scratch/source"
git -c safe.directory='*' -C "$root" ls-files -z >"$scratch/files" || fail "git does not list the sources"
declare -A tracked=()
while IFS= read -rd '' path; do  # what is the same keeps its time: nothing is built twice
  [[ -f $root/$path ]] || continue
  tracked[$path]=1
  cmp -s "$root/$path" "$scratch/source/$path" && continue
  mkdir -p "$(dirname "$scratch/source/$path")"
  cp "$root/$path" "$scratch/source/$path"
done <"$scratch/files"
while IFS= read -rd '' path; do  # what is gone there is gone here
  [[ -n ${tracked[$path]:-} ]] || rm "$scratch/source/$path"
done < <(cd "$scratch/source" && find . -type f -printf '%P\0')
launcher=()
if command -v ccache >/dev/null; then launcher=(-D CMAKE_CXX_COMPILER_LAUNCHER=ccache); fi
cmake -S "$scratch/source" -B "$scratch/build" -G Ninja -D CMAKE_BUILD_TYPE=Debug -D STILE_BENCH=OFF "${launcher[@]}" \
  >"$scratch/configure.log" 2>&1 || fail "does not configure, see $scratch/configure.log"
build all || fail "does not build, see $scratch/build.log"

missed=0
for ((n = 0; n < ${#file[@]}; ++n)); do
  fault="${name[n]}: ${file[n]}: ${old[n]} -> ${new[n]}"
  source=$scratch/source/${file[n]}
  before=$(content "$source")
  planted "$n" "$before"
  wanted=${test[n]:-$(room_of "${file[n]}")}
  read -ra targets <<<"$(targets_of "$wanted")"
  build "${targets[@]}" && run "$wanted" || fail "$fault: \"$wanted\" fails without it, see $scratch/test.log"
  printf '%s' "${after%x}" >"$source"
  build "${targets[@]}" || { printf '%s' "${before%x}" >"$source"; fail "$fault: does not compile, see $scratch/build.log"; }
  if run "$wanted"; then
    say "NOT CAUGHT $fault ($wanted)"
    missed=$((missed + 1))
  elif grep -q '(Timeout)' "$scratch/test.log"; then
    say "NOT CAUGHT, ran out of time: $fault ($wanted)"
    missed=$((missed + 1))
  else
    say "caught $fault ($wanted)"
    [[ -n ${test[n]} ]] || { grep -E '^[[:space:]]+[0-9]+ - ' "$scratch/test.log" || true; } | sed 's/^/  /' >&2
  fi
  printf '%s' "${before%x}" >"$source"
done
say "${#file[@]} faults planted, $missed not caught"
((missed == 0))
