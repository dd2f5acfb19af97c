#!/usr/bin/env bash
# Draws the charts of README.md beside this file, each by the line there that names it behind --chart.
#
#   redraw.sh FOLDER_OF_TOOLS OUT [CHART...]        all charts, or those named (hand), as OUT/CHART.svg
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
tools=$(cd "$1" && pwd)
mkdir -p "$2"
out=$(cd "$2" && pwd)
shift 2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/studies"
ln -s "$here"/*.toml "$work/studies"
ln -s "$here/../moor" "$work/moor"

drawn=0
while IFS= read -r command; do
  chart=${command##*--chart }
  [ $# -eq 0 ] || [[ " $* " == *" ${chart%.svg} "* ]] || continue
  status=0
  (cd "$work/studies" && PATH="$tools:$PATH" LC_ALL=C.UTF-8 bash -c "$command --quiet" >"$work/output" 2>&1) || status=$?
  if [ "$status" -gt 1 ] || [ ! -s "$work/studies/$chart" ]; then  # 1: drawn, and something does not hold
    echo "failed: $command" >&2
    tail -n 3 "$work/output" >&2
    exit 1
  fi
  cp "$work/studies/$chart" "$out/$chart"
  drawn=$((drawn + 1))
done < <(grep -E '^stile-[a-z]+ .*--chart [a-z]+\.svg$' "$here/README.md")
[ "$drawn" -ge $# ] && [ "$drawn" -gt 0 ] || { echo "README.md: no command with such a chart: $*" >&2; exit 1; }
