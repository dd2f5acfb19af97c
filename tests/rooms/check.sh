#!/usr/bin/env bash
# Checks the includes of a library tree (the folder that holds the rooms) and names every wrong one as file:line.
#   A room may include itself and the rooms above it in the list, never those below.
#   toml++ stays in the station room, CLI11 and gnuplot-iostream stay out.
#   A header includes only Stile's and the standard library's headers: the installed package hands on no others.
set -euo pipefail

rooms=(base conductor network wire coil load match tuner safety station plan)
root=${1:?usage: check.sh FOLDER}

rank() {  # place of a room in the list; fails for a name that is none
  local i
  for i in "${!rooms[@]}"; do
    [[ ${rooms[i]} == "$1" ]] && { echo "$i"; return; }
  done
  return 1
}

wrong=0
complain() {
  printf '%s: %s\n' "$1" "$2"
  wrong=1
}

shopt -s globstar nullglob
files=("$root"/**/*.hpp "$root"/**/*.cpp)
((${#files[@]})) || { echo "no sources under $root"; exit 1; }

include='^[[:space:]]*#[[:space:]]*include[[:space:]]*([<"])([^>"]+)[>"]'
for file in "${files[@]}"; do
  name=${file#"$root"/}
  room=${name%%/*}
  if ! own=$(rank "$room"); then
    complain "$name" "\"$room\" is not a room"
    continue
  fi
  number=0
  while IFS= read -r line || [[ -n $line ]]; do
    number=$((number + 1))
    [[ $line =~ $include ]] || continue
    mark=${BASH_REMATCH[1]} target=${BASH_REMATCH[2]}
    at="$name:$number"
    case $target in
      stile/*/*)
        other=${target#stile/}
        other=${other%%/*}
        if ! theirs=$(rank "$other"); then
          complain "$at" "\"$other\" is not a room"
        elif ((theirs > own)); then
          complain "$at" "$room may not include $other, which stands below it"
        fi
        ;;
      CLI/* | gnuplot-iostream*) complain "$at" "<$target> has no place in the library" ;;
      toml++/*)
        if [[ $room != station || $name == *.hpp ]]; then
          complain "$at" "<$target> belongs into the sources of the station room"
        fi
        ;;
      *)
        if [[ $mark == '"' ]]; then
          complain "$at" "write <stile/room/file.hpp> instead of \"$target\""
        elif [[ $name == *.hpp && $target == */* ]]; then
          complain "$at" "<$target> in a header: users of the installed package may not have it"
        fi
        ;;
    esac
  done <"$file"
done
exit "$wrong"
