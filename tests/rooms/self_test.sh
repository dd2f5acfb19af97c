#!/usr/bin/env bash
# Does check.sh notice what it is there for? A clean tree must pass, then one fault of each kind must be named.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
tree=$work/stile

put() {  # put FILE LINE...
  mkdir -p "$(dirname "$tree/$1")"
  printf '%s\n' "${@:2}" >"$tree/$1"
}

put base/text.hpp '#pragma once' '#include <string>'
put coil/rings.cpp '#include <stile/base/text.hpp>' '' '#include <Eigen/LU>'
put station/reader.cpp '#include <toml++/toml.h>' '#include <stile/coil/rings.hpp>'
if ! "$here/check.sh" "$tree" >"$work/out" || [[ -s $work/out ]]; then
  echo "a clean tree was refused:"
  cat "$work/out"
  exit 1
fi

put base/down.cpp '// comment' '#include <stile/coil/rings.hpp>'
put base/unknown.cpp '#include <stile/kitchen/spoon.hpp>'
put coil/beside.cpp '#include "rings.hpp"'
put coil/heavy.hpp '#pragma once' '' '  #  include <Eigen/LU>'
put coil/toml.cpp '#include <toml++/toml.h>'
put kitchen/spoon.cpp '#include <string>'
put plan/option.cpp '#include <CLI/CLI.hpp>'
put station/reader.hpp '#include <toml++/toml.h>'
cat >"$work/expected" <<'TEXT'
base/down.cpp:2: base may not include coil, which stands below it
base/unknown.cpp:1: "kitchen" is not a room
coil/beside.cpp:1: write <stile/room/file.hpp> instead of "rings.hpp"
coil/heavy.hpp:3: <Eigen/LU> in a header: users of the installed package may not have it
coil/toml.cpp:1: <toml++/toml.h> belongs into the sources of the station room
kitchen/spoon.cpp: "kitchen" is not a room
plan/option.cpp:1: <CLI/CLI.hpp> has no place in the library
station/reader.hpp:1: <toml++/toml.h> belongs into the sources of the station room
TEXT
if "$here/check.sh" "$tree" >"$work/out"; then
  echo "faults were found but the status is 0"
  exit 1
fi
LC_ALL=C sort -o "$work/out" "$work/out"
diff "$work/expected" "$work/out"
