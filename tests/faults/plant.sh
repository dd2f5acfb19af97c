#!/usr/bin/env bash
# tests/faults/plant.sh [-b SCRATCH] [FIRST [LAST]]: plants the faults of list.txt one at a time, all or those from FIRST
# to LAST, in a copy of the sources with a build of its own (SCRATCH, by default build/faults), and runs the test that
# stands beside each: it must pass before and fail after. A fault without a test meets every test of its room and tells
# which ones fail: the way to find one for a new fault. Exit status: 0 all caught, 1 not.
#
# list.txt: a record a fault, apart by an empty line; lines that begin with # are comments:
#   the file
#   - what stands there, in that file once
#   + what stands there instead
#   = room:title of the test, as ctest lists it
set -euo pipefail
here=$(cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")" && pwd)
root=$(cd "$here/../.." && pwd)
scratch=$root/build/faults
while getopts b: option; do
  case $option in
  b) scratch=$OPTARG ;;
  *) exit 2 ;;
  esac
done
shift $((OPTIND - 1))
first=${1:-1} last=${2:-100000}
say() { printf 'faults: %s\n' "$*" >&2; }
fail() { say "$*"; exit 2; }

files=() old=() new=() tests=()
read_list() {
  local line
  while IFS= read -r line || [[ -n $line ]]; do
    case $line in
    '' | '#'*) ;;
    '- '*) old+=("${line:2}") ;;
    '+'*) line=${line:1} && new+=("${line# }") ;;
    '= '*) tests+=("${line:2}") ;;
    '=') tests+=('') ;;
    *) files+=("$line") ;;
    esac
  done <"$here/list.txt"
  [[ ${#files[@]} == "${#old[@]}" && ${#old[@]} == "${#new[@]}" && ${#new[@]} == "${#tests[@]}" ]] ||
    fail "list.txt: ${#files[@]} files, ${#old[@]} lines before, ${#new[@]} after, ${#tests[@]} tests"
}

content() { local all; all=$(cat "$1"; printf x); printf '%s' "$all"; }  # with the line breaks at its end, and an x

# What must be built for a test: the program of its room, and for those of the tools all of them.
target_of() { case $1 in tools:*) echo all_tools test_tools ;; *) echo "test_${1%%:*}" ;; esac; }
room_of() {  # of a file, when no test is named
  case $1 in
  lib/stile/*) local room=${1#lib/stile/} && echo "${room%%/*}:" ;;
  plots/*) echo plots: ;;
  tools/*) echo tools: ;;
  esac
}
build() { cmake --build "$scratch/build" --target "$@" >"$scratch/build.log" 2>&1; }
run() {  # run NAME: the test of exactly that name, or all of a room for "room:"
  local pattern end=$
  pattern=$(sed 's/[][().*+?^$|\\{}]/\\&/g' <<<"$1")
  [[ $1 == *: ]] && end=
  ctest --test-dir "$scratch/build" -R "^$pattern$end" --no-tests=error --timeout 300 --output-on-failure >"$scratch/test.log" 2>&1
}

read_list
((last > ${#files[@]})) && last=${#files[@]}
say "copying sources and building them as they are, in $scratch"
mkdir -p "$scratch/source"
while IFS= read -rd '' file; do  # what is the same keeps its time, so that nothing is built twice
  cmp -s "$root/$file" "$scratch/source/$file" && continue
  mkdir -p "$(dirname "$scratch/source/$file")"
  cp "$root/$file" "$scratch/source/$file"
done < <(git -c safe.directory='*' -C "$root" ls-files -z)
launcher=()
if command -v ccache >/dev/null; then launcher=(-D CMAKE_CXX_COMPILER_LAUNCHER=ccache); fi
cmake -S "$scratch/source" -B "$scratch/build" -G Ninja -D CMAKE_BUILD_TYPE=Debug -D STILE_BENCH=OFF "${launcher[@]}" \
  >"$scratch/configure.log"
build all || fail "does not build, see $scratch/build.log"

missed=0
for ((n = first - 1; n < last; ++n)); do
  source=$scratch/source/${files[n]}
  before=$(content "$source")
  after=${before/"${old[n]}"/"${new[n]}"}
  rest=${before#*"${old[n]}"}
  [[ $after != "$before" && $rest != *"${old[n]}"* ]] || fail "fault $((n + 1)): \"${old[n]}\" does not stand in ${files[n]} once"
  test=${tests[n]:-$(room_of "${files[n]}")}
  read -ra targets <<<"$(target_of "$test")"
  if [[ -n ${tests[n]} ]]; then
    build "${targets[@]}" && run "$test" || fail "fault $((n + 1)): \"$test\" fails without it, see $scratch/test.log"
  fi
  printf '%s' "${after%x}" >"$source"
  if ! build "${targets[@]}"; then
    printf '%s' "${before%x}" >"$source"
    fail "fault $((n + 1)) does not compile, see $scratch/build.log"
  fi
  if run "$test"; then
    say "$((n + 1)) NOT CAUGHT: ${files[n]}: ${old[n]} -> ${new[n]} ($test)"
    missed=$((missed + 1))
  else
    say "$((n + 1)) caught: ${files[n]}: ${old[n]} -> ${new[n]} ($test)"
    [[ -n ${tests[n]} ]] || grep -E '^[[:space:]]+[0-9]+ - ' "$scratch/test.log" | sed 's/^/  /' >&2
  fi
  printf '%s' "${before%x}" >"$source"
done
say "$((last - first + 1)) faults planted, $missed not caught"
((missed == 0))
