#!/usr/bin/env bash
# Charts of the studies are, byte for byte, what their commands draw; and every picture of the folder stands on its page.
#
#   check.sh FOLDER_OF_TOOLS [CHART...]        all charts, or those named; run from the top of the source tree
set -euo pipefail
tools=$1
shift
studies=examples/studies
failed=0
for file in "$studies"/*.svg; do
  grep -qF "]($(basename "$file"))" "$studies/README.md" || { echo "$file is not on the page" >&2; failed=1; }
done
mapfile -t shown < <(sed -n 's/.*](\([a-z]*\)\.svg).*/\1/p' "$studies/README.md")
drawn=$(mktemp -d)
trap 'rm -rf "$drawn"' EXIT
[ $# -gt 0 ] || set -- "${shown[@]}"
"$studies/redraw.sh" "$tools" "$drawn" "$@"
for chart in "$@"; do
  cmp "$drawn/$chart.svg" "$studies/$chart.svg" || failed=1
done
[ "$failed" -eq 0 ] || echo "where the change is meant: build the target studies" >&2
exit "$failed"
