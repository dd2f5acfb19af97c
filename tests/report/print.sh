#!/usr/bin/env bash
# print.sh BIN STATION: the page of a report in a browser, from the programs in BIN: at 360 and 1440 pixels nothing is
# wider than the window, and it prints with every section on it. Needs chromium and poppler-utils; for .ci/run.
set -euo pipefail
bin=$(realpath "$1")
station=$(realpath "$2")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() {
  printf 'print.sh: %s\n' "$*" >&2
  exit 1
}
browser() {
  timeout 120 chromium --headless --no-sandbox --disable-gpu --user-data-dir="$work/profile" "$@" 2>/dev/null
}

"$bin/stile-plan" "$station" --report "$work/a report" --quiet -o /dev/null
page="$work/a report/report.html"
[[ -s $page ]] || fail "no report.html"

# A frame of each width measures what is in it: a window of a browser without a screen is not narrower than 500 pixels.
for width in 360 1440; do
  cat >"$work/frame.html" <<HTML
<!DOCTYPE html><title>not measured</title><iframe id="f" width="$width" height="900" src="a%20report/report.html"></iframe>
<script>window.onload = function () {
  var page = document.getElementById("f").contentDocument.documentElement;
  document.title = page.scrollWidth + " of " + page.clientWidth;
}</script>
HTML
  title=$(browser --allow-file-access-from-files --window-size=1600,1000 --dump-dom "file://$work/frame.html" |
    grep -o '<title>[^<]*') || fail "the browser did not open the page"
  read -r wide _ window <<<"${title#<title>}"
  [[ $wide =~ ^[0-9]+$ ]] || fail "$width pixels: $title"
  ((wide <= window)) || fail "$width pixels: the page is $wide wide in a window of $window"
done

browser --no-pdf-header-footer --print-to-pdf="$work/page.pdf" "file://${page// /%20}" >/dev/null || fail "printing failed"
pdftotext -layout "$work/page.pdf" "$work/page.txt"
for section in "What to take" Why "What to build" "Where the power goes" "How far it may wander" "At the other end" Safety Energy \
  "What is uncertain" Cautions Inputs Versions; do
  grep -q "^[[:space:]]*$section" "$work/page.txt" || fail "the print has no section \"$section\""
done
# Nothing of a table is cut off at the right: its last column is on the paper.
grep -q "Stands on" "$work/page.txt" || fail "the print cuts the cautions' last column"
echo "print.sh: $(pdfinfo "$work/page.pdf" | grep Pages)"
