#!/usr/bin/env bash
# Charts of the gallery are, byte for byte, what their commands draw; and every file of it stands on its page.
#
#   check.sh FOLDER_OF_TOOLS [CHART...]        all charts, or those named; run from the top of the source tree
set -euo pipefail
tools=$1
shift
gallery=examples/gallery
failed=0
for file in "$gallery"/*.svg; do
  grep -qF "]($(basename "$file"))" "$gallery/README.md" || { echo "$file is not on the page" >&2; failed=1; }
done
mapfile -t shown < <(sed -n 's/.*](\([^)]*\.svg\)).*/\1/p' "$gallery/README.md")
for chart in "${shown[@]}"; do
  [ -s "$gallery/$chart" ] || { echo "$gallery/$chart is missing: build the target gallery" >&2; failed=1; }
done
drawn=$(mktemp -d)
trap 'rm -rf "$drawn"' EXIT
"$gallery/redraw.sh" "$tools" "$drawn" "$@"
[ $# -gt 0 ] || set -- "${shown[@]%.svg}"
for chart in "$@"; do
  cmp "$drawn/$chart.svg" "$gallery/$chart.svg" || failed=1
done
[ "$failed" -eq 0 ] || echo "where the change is meant: build the target gallery" >&2
exit "$failed"
