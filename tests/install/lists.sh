#!/usr/bin/env bash
# lists.sh BUILD [--update]: what each component installs, and the names that the shared library exports, compared with
# golden/COMPONENT.files and golden/symbols.txt; whatever is installed is in a component. --update writes the lists anew.
#
# Of the exported names those are compared that the library defines itself: weak ones (inline functions, instances of
# templates) depend on compiler and optimisation. In the lists LIBDIR stands for the folder of libraries, BUILD for the
# build type in the name of CMake's file.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
build=$1 golden=$here/golden
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export LC_ALL=C

files() {  # files FOLDER: all that is in it
  (cd "$1" && find . ! -type d | sed -e 's/^\.\///' -e 's/^lib\/[a-z0-9_]*-linux-gnu\//lib\//' -e 's/^lib\//LIBDIR\//' \
    -e 's/\(stile-targets\)-[a-z]*\.cmake$/\1-BUILD.cmake/' | sort)
}
for component in tools library development; do
  cmake --install "$build" --prefix "$work/$component" --component $component >"$work/log"
  files "$work/$component" >"$work/$component.files"
done
cmake --install "$build" --prefix "$work/all" >"$work/log"
nm --dynamic --defined-only --demangle "$(find "$work/library" -type f -name 'libstile.so.*')" |
  awk '$2 ~ /^[A-TX-Z]$/ && /stile::/ { sub(/^[^ ]* . /, ""); sub(/@@.*/, ""); print }' | sort -u >"$work/symbols.txt"

if [[ ${2-} == --update ]]; then
  mkdir -p "$golden"
  cp "$work"/{tools,library,development}.files "$work/symbols.txt" "$golden/"
  exit
fi
failed=0
for list in tools.files library.files development.files symbols.txt; do
  diff -U0 --label "golden/$list" --label "what there is" "$golden/$list" "$work/$list" || failed=1
done
left=$(comm -13 <(sort "$work"/*.files) <(files "$work/all"))
[[ -z $left ]] || { echo "in no component: $left"; failed=1; }
((!failed)) || echo "if that is meant: tests/install/lists.sh BUILD --update"
exit $failed
