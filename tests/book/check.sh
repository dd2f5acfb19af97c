#!/usr/bin/env bash
# The pages of the book against the tree they speak of:
#
#   `lib/...`, `tools/...`, `plots/...`, `tests/...`, `examples/...`   is a file or folder
#   `name` (`path`)                                                    stands in that file, as a whole word or test
#   `room:name of a test`                                              is a TEST_CASE of tests/room/*.cpp
#   [text](page)                                                       is a file, and README.md has every page
#
# A page that names nothing of the first three is a fault: then nothing was checked.
#
#   check.sh FOLDER_OF_THE_BOOK        (run from the top of the source tree)
set -euo pipefail
book=${1:?usage: check.sh FOLDER_OF_THE_BOOK}
faults=0
fault() { echo "$book/$*" >&2; faults=1; }

declare -A cases=()  # by room, each name in a line
source "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")/cases.sh"

pages=("$book"/*.md)
[[ -e ${pages[0]} ]] || { echo "$book has no page" >&2; exit 1; }
[[ -e $book/README.md ]] || { echo "$book/README.md is missing" >&2; exit 1; }
paths=0 symbols=0 tests=0
for file in "${pages[@]}"; do
  page=$(basename "$file")
  [[ $page == README.md ]] || grep -qF "]($page)" "$book/README.md" || fault "README.md: $page is not among the contents"
  # A page is read as one line, since what belongs together may be broken between two; blocks of commands are left out.
  text=$(sed '/^ *```/,/^ *```/d' "$file" | tr '\n' ' ' | sed -E 's/ +/ /g')
  here=0

  while IFS= read -r path; do
    ((++paths, ++here))
    [[ -e $path ]] || fault "$page: there is no $path"
  done < <(grep -oE '`(lib|tools|plots|tests|examples)/[^` ]*`' <<<"$text" | tr -d '`')

  while IFS= read -r pair; do
    ((++symbols, ++here))
    name=$(cut -d '`' -f 2 <<<"$pair") path=$(cut -d '`' -f 4 <<<"$pair")
    [[ -f $path ]] || { fault "$page: \`$name\` is said to stand in $path, which is no file"; continue; }
    [[ $path != tests/* ]] || name=${name#*:}  # a test, with the room in front
    grep -qwF -e "$name" "$path" || fault "$page: \`$name\` does not stand in $path"
  done < <(grep -oE '`[^`]+` \(`[^` ]+`\)' <<<"$text")

  while IFS= read -r named; do
    ((++tests, ++here))
    room=${named%%:*} name=${named#*:}
    [[ -d tests/$room ]] || { fault "$page: there is no room of tests \"$room\""; continue; }
    [[ -v cases[$room] ]] || cases[$room]=$(cases_of "$room")
    grep -qxF -e "$name" <<<"${cases[$room]}" || fault "$page: no test of tests/$room is called \"$name\""
  done < <(grep -oE '`[a-z]+:[^ `:][^`]*`' <<<"$text" | tr -d '`')

  while IFS= read -r target; do
    [[ -e $book/$target ]] || fault "$page: there is no $target to follow"
  done < <(grep -oE '\]\([^)#:]+' <<<"$text" | sed 's/^](//')

  ((here > 0)) || fault "$page: names no file, symbol or test: nothing was checked"
done
((paths > 0 && symbols > 0 && tests > 0)) ||
  fault ": $paths paths, $symbols symbols and $tests tests were checked; each kind must be there"
echo "$paths paths, $symbols symbols, $tests tests"
exit "$faults"
