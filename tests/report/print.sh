#!/usr/bin/env bash
# print.sh BIN STATION: the page of a report in a browser, from the programs in BIN. At 360 and 1440 pixels nothing is wider
# than the window, the type of circuits is 9 pixels or more, that of charts 7, and nothing is asked for; on A4 and letter paper each section begins a page, every word of every
# table is on the paper, and no caption stands alone. Needs chromium and poppler-utils; for .ci/run.
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

# in_frame FILE WIDTH: "WIDE of WINDOW, N asked for, type of circuits P, of charts P" of a page, the least pixels of type or -
# where there is none. A frame of each width measures what is in it: a window of a
# browser without a screen is not narrower than 500 pixels. A policy that allows nothing but styles on the page itself
# counts what the page would fetch, from the net or from the disk.
in_frame() {
  local policy="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'"
  local watch="var asked = 0; document.addEventListener('securitypolicyviolation', function () { asked++; });"
  sed "s|<head>|<head><meta http-equiv=\"Content-Security-Policy\" content=\"$policy\"><script>$watch</script>|" "$1" \
    >"$work/framed.html"
  grep -q securitypolicyviolation "$work/framed.html" || fail "$1 has no head"
  cat >"$work/frame.html" <<HTML
<!DOCTYPE html><title>not measured</title><iframe id="f" width="$2" height="900" src="framed.html"></iframe>
<script>window.onload = function () {
  var frame = document.getElementById("f"), page = frame.contentDocument.documentElement;
  function type(figures) {
    var least = "-";
    page.querySelectorAll(figures + " svg text").forEach(function (text) {
      if (!text.textContent.trim()) return;
      var m = text.getScreenCTM(), scale = Math.sqrt(Math.abs(m.a * m.d - m.b * m.c));  // turned texts too
      var pixels = parseFloat(frame.contentWindow.getComputedStyle(text).fontSize) * scale;
      if (least === "-" || pixels < least) least = pixels;
    });
    return least === "-" ? least : Math.floor(10 * least) / 10;
  }
  document.title = page.scrollWidth + " of " + page.clientWidth + ", " + frame.contentWindow.asked +
    " asked for, type of circuits " + type("figure.narrow") + ", of charts " + type("figure:not(.narrow)");
}</script>
HTML
  browser --allow-file-access-from-files --window-size=1600,1000 --dump-dom "file://$work/frame.html" |
    grep -o '<title>[^<]*' | cut -c 8- || fail "the browser did not open $1"
}

# The measure itself: what is too wide, and what asks for something, is seen.
cat >"$work/bad.html" <<'HTML'
<!DOCTYPE html><html><head><title>bad</title></head><body><div style="width:2000px">wide</div><img src="none.png" alt="">
<img src="http://127.0.0.1:9/none.png" alt=""></body></html>
HTML
read -r wide _ window asked _ <<<"$(in_frame "$work/bad.html" 1440)"
((wide > ${window%,} && asked == 2)) || fail "a page that is too wide and asks for two files: $wide of $window $asked"

for width in 360 1440; do
  read -r wide _ window asked _ _ _ _ _ circuits _ _ charts <<<"$(in_frame "$page" "$width")"
  [[ $wide =~ ^[0-9]+$ ]] || fail "$width pixels: not measured"
  ((wide <= ${window%,})) || fail "$width pixels: the page is $wide wide in a window of ${window%,}"
  ((asked == 0)) || fail "$width pixels: the page asks for $asked files"
  # A page without one of them has "-", which is no number.
  awk -v p="${circuits%,}" 'BEGIN { exit !(p + 0 >= 9) }' || fail "$width pixels: type of circuits is ${circuits%,} pixels"
  awk -v p="$charts" 'BEGIN { exit !(p + 0 >= 7) }' || fail "$width pixels: type of charts is $charts pixels"
done

# Headings of the sections, and words of the tables, as they should be on the paper.
text() { sed -e 's/<[^>]*>/\n/g' -e 's/&lt;/</g; s/&gt;/>/g; s/&quot;/"/g; s/&amp;/\&/g'; }
grep -o '<h2>[^<]*' "$page" | text | grep . >"$work/headings"
printf '%s\n' "What to take" Why "What to build" "Where the power goes, and SWR" "How far it may wander" "At the other end" \
  "What it asks of the walker" Safety "Energy, and what a tuner finds by itself" "What is uncertain, and what to measure" \
  Cautions Inputs "Versions and sources" | cmp -s - "$work/headings" || fail "the page has other sections: $(paste -sd, "$work/headings")"
grep -oE '<(th|td)[ >][^<]*' "$page" | sed 's/^[^>]*>//' | text | tr -s ' -' '\n' | grep . | sort -u >"$work/words"
(($(wc -l <"$work/words") >= 500)) || fail "the page has few words in tables"

# Of a page "table CAPTION<tab>HEAD" and "figure CAPTION", a line each.
tables_and_figures() {
  tr -d '\n' <"$1" | sed -e 's/<caption/\n&/g' -e 's/<figcaption>/\n&/g' -e 's/<\/thead>/\n/g' -e 's/<\/figcaption>/\n/g' |
    sed -n -e 's/^<caption[^>]*>\([^<]*\)<\/caption>/table \1\t/p' -e 's/^<figcaption>/figure /p' |
    sed -e 's/<[^>]*>//g' -e 's/&lt;/</g; s/&gt;/>/g; s/&quot;/"/g; s/&amp;/\&/g'
}

# stranded PAGE TEXT: tables of which a page of the print ends with the caption, with or without the head, and no row; and figures
# whose caption begins a page.
stranded() {
  tables_and_figures "$1" | awk -v paper="$2" '
    BEGIN { FS = "\t" }
    {
      figure[NR] = /^figure /; sub(/^(table|figure) /, ""); name[NR] = $1
      gsub(/[[:space:]]/, "", $1); gsub(/[[:space:]]/, "", $2)
      caption[NR] = $1; head[NR] = length($2)
    }
    END {
      RS = "\f"
      while ((getline page <paper) > 0) {
        gsub(/[[:space:]]/, "", page)
        for (n = 1; n <= NR; ++n) {
          if (figure[n]) {
            if (caption[n] != "" && index(page, caption[n]) == 1) print "\"" name[n] "\" without its figure"
            continue
          }
          after = page
          found = 0
          while ((at = index(after, caption[n])) > 0) { found = 1; after = substr(after, at + length(caption[n])) }
          if (found && length(after) <= head[n]) print "\"" name[n] "\" without a row"
        }
      }
    }'
}

# What is stranded is seen: a caption, a caption with its head, a figure's caption; and nothing else.
cat >"$work/made.html" <<'HTML'
<table><caption>First &amp; last</caption><thead><tr><th>Band</th><th>Take it</th></tr></thead><tbody></tbody></table>
<table><caption>Second</caption><thead><tr><th>Part</th></tr></thead></table><figure><figcaption>A curve</figcaption></figure>
HTML
printf 'First &\nlast\nBand\nTake it\n\f80 m\ncoil\nSecond\n\fA curve\nand more\n' >"$work/made.txt"
printf 'First & last\nBand Take it\n80 m\n\fcoil\nSecond\nPart\nL1\n\fthe\nA curve\n' >"$work/whole.txt"
(($(stranded "$work/made.html" "$work/made.txt" | wc -l) == 3)) || fail "a print with three stranded captions passes"
[[ -z $(stranded "$work/made.html" "$work/whole.txt") ]] || fail "a print without stranded captions does not pass"

for paper in A4 letter; do
  sed "s/@page { /@page { size: $paper; /" "$page" >"$work/$paper.html"
  grep -q "size: $paper;" "$work/$paper.html" || fail "the page has no @page"
  browser --no-pdf-header-footer --print-to-pdf="$work/$paper.pdf" "file://$work/$paper.html" >/dev/null ||
    fail "$paper: printing failed"
  pdfinfo "$work/$paper.pdf" | grep -qi "Page size:.*$paper" || fail "$paper: $(pdfinfo "$work/$paper.pdf" | grep 'Page size')"
  pdftotext "$work/$paper.pdf" "$work/$paper.txt"
  # A form feed begins each page.
  tr '\f' '\n' <"$work/$paper.txt" | tr -s ' -' '\n' | sort -u >"$work/$paper.words"
  missing=$(comm -23 "$work/words" "$work/$paper.words" | head -n 5 | tr '\n' ' ')
  [[ -z $missing ]] || fail "$paper: the print cuts words of tables: $missing"
  alone=$(stranded "$page" "$work/$paper.txt" | paste -sd, -)
  [[ -z $alone ]] || fail "$paper: a page ends or begins in the middle of what belongs together: $alone"
  sed 1d "$work/headings" | while IFS= read -r heading; do
    grep -qF $'\f'"$heading" "$work/$paper.txt" || fail "$paper: \"$heading\" begins no page"
  done
  echo "print.sh: $paper, $(pdfinfo "$work/$paper.pdf" | grep Pages)"
done
