#!/usr/bin/env bash
# Charts of a folder of examples are, byte for byte, what the commands of its page draw; and every one stands on it.
#
#   check.sh FOLDER FOLDER_OF_TOOLS [CHART...]     all charts, or those named; run from the top of the source tree
#
# FOLDER has README.md and redraw.sh: examples/gallery, examples/studies.
set -euo pipefail
folder=$1 tools=$2
shift 2
failed=0
for file in "$folder"/*.svg; do
  grep -qF "]($(basename "$file"))" "$folder/README.md" || { echo "$file is not on the page" >&2; failed=1; }
done
mapfile -t shown < <(sed -n 's/.*](\([^)]*\)\.svg).*/\1/p' "$folder/README.md")
[ ${#shown[@]} -gt 0 ] || { echo "$folder/README.md shows no chart" >&2; failed=1; }
for chart in "${shown[@]}"; do
  [ -s "$folder/$chart.svg" ] || { echo "$folder/$chart.svg is missing" >&2; failed=1; }
done
drawn=$(mktemp -d)
trap 'rm -rf "$drawn"' EXIT
"$folder/redraw.sh" "$tools" "$drawn" "$@"
[ $# -gt 0 ] || set -- "${shown[@]}"
for chart in "$@"; do
  cmp "$drawn/$chart.svg" "$folder/$chart.svg" || failed=1
done
[ "$failed" -eq 0 ] || echo "where the change is meant: build the target $(basename "$folder")" >&2
exit "$failed"
