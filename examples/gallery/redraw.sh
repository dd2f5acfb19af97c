#!/usr/bin/env bash
# Draws the charts of README.md beside this file, each by the command that stands above it there.
#
#   redraw.sh FOLDER_OF_TOOLS OUT [CHART...]        all charts, or those named (net-path), as OUT/CHART.svg
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
tools=$(cd "$1" && pwd)
mkdir -p "$2"
out=$(cd "$2" && pwd)
shift 2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# A line "COMMAND<tab>CHART..." for each block of the page: the charts shown until the next block.
blocks=$(awk '
  /^```$/ { if (open) { open = 0 } else { if (command != "" && charts != "") print command "\t" charts; command = charts = ""; open = 1 } next }
  open { sub(/ *\\$/, ""); command = command (command == "" ? "" : " ") $0; next }
  match($0, /\]\([^)]*\.svg\)/) { charts = charts " " substr($0, RSTART + 2, RLENGTH - 7) }
  END { if (command != "" && charts != "") print command "\t" charts }' "$here/README.md")
[ -n "$blocks" ] || { echo "README.md: no command with a chart" >&2; exit 1; }

draw() {  # NUMBER COMMAND CHART...
  local folder=$work/$1 command=$2 status=0
  shift 2
  mkdir "$folder"
  ln -s "$here/.." "$folder/examples"
  (cd "$folder" && PATH="$tools:$PATH" LC_ALL=C.UTF-8 bash -c "$command" >output 2>&1) || status=$?
  if [ "$status" -gt 1 ]; then  # 1: drawn, and the answer is that something does not hold
    echo "failed: $command" >&2
    tail -n 3 "$folder/output" >&2
    return 1
  fi
  for chart in "$@"; do
    find "$folder" -name "$chart.svg" -exec cp {} "$out/$chart.svg" \; -quit
    [ -s "$out/$chart.svg" ] || { echo "not drawn: $chart.svg by $command" >&2; return 1; }
  done
}
export -f draw
export here tools out work

number=0
while IFS=$'\t' read -r command charts; do
  wanted=()
  for chart in $charts; do
    if [ $# -eq 0 ] || [[ " $* " == *" $chart "* ]]; then wanted+=("$chart"); fi
  done
  [ ${#wanted[@]} -gt 0 ] || continue
  printf '%s\0' "$number" "$command" "${wanted[*]}"
  number=$((number + 1))
done <<<"$blocks" | xargs -0 -r -n 3 -P "$(nproc)" bash -c 'draw "$0" "$1" $2'
