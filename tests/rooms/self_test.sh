#!/usr/bin/env bash
# Does check.sh notice what it is there for? A clean tree must pass, then one fault of each kind must be named.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
tree="$work/a tree"

put() {  # put FILE LINE...
  mkdir -p "$(dirname "$tree/$1")"
  printf '%s\n' "${@:2}" >"$tree/$1"
}

put lib/stile/base/text.hpp '#pragma once' '#include <string>'
put lib/stile/base/detail/overloaded.hpp '#pragma once'
put lib/stile/base/parallel.cpp '#include <thread>'
put lib/stile/coil/detail/rings.hpp '#include <stile/base/detail/overloaded.hpp>' '#include <Eigen/LU>'
put lib/stile/coil/rings.cpp '#include <stile/base/text.hpp>' '' '#include <stile/coil/detail/rings.hpp>'
put lib/stile/station/reader.cpp '#include <toml++/toml.h>' '#include <stile/coil/rings.hpp>'
put lib/stile/design/joint.cpp '#include <stile/conductor/metal.hpp>' '#include <stile/plan/plan.hpp>'
put plots/stile/plots/page.cpp '#include <stile/plots/page.hpp>' '#include <gnuplot-iostream.h>' '#include <numbers>'
put tools/cli/wheel.cpp '#include "cli/wheel.hpp"' '#include <thread>'
put tools/kettle/main.cpp '#include <cmath>' '#include <stile/coil/rings.hpp>' '#include "cli/json.hpp"' \
  '#include "kettle/report.hpp"' 'double shown(double x) { return std::round(std::abs(x)); }'
if ! "$here/check.sh" "$tree" >"$work/out" || [[ -s $work/out ]]; then
  echo "a clean tree was refused:"
  cat "$work/out"
  exit 1
fi

put lib/stile/base/down.cpp '// comment' '#include <stile/coil/rings.hpp>'
put lib/stile/base/unknown.cpp '#include <stile/kitchen/spoon.hpp>'
put lib/stile/coil/beside.cpp '#include "rings.hpp"'
put lib/stile/coil/heavy.hpp '#pragma once' '' '  #  include <Eigen/LU>'
put lib/stile/coil/team.cpp '#include <thread>'
put lib/stile/coil/toml.cpp '#include <toml++/toml.h>'
put lib/stile/energy/wide.hpp '#include <stile/base/detail/overloaded.hpp>'
put lib/stile/kitchen/spoon.cpp '#include <string>'
put lib/stile/load/private.cpp '#include <stile/coil/detail/rings.hpp>'
put lib/stile/plan/option.cpp '#include <CLI/CLI.hpp>'
put lib/stile/station/reader.hpp '#include <toml++/toml.h>'
put lib/stile/sweep/early.cpp '#include <stile/match/match.hpp>'
put lib/stray.hpp '#pragma once'
put plots/stile/plots/back.cpp '#include "cli/json.hpp"'
put plots/stile/plots/inside.cpp '#include <stile/coil/detail/rings.hpp>'
put tools/alone.cpp '#include <string>'
put tools/cli/above.cpp '#include "kettle/report.hpp"'
put tools/kettle/beside.cpp '#include "report.hpp"'
put tools/kettle/formula.cpp '#include <cmath>' 'double loss_db(double r) { return 10.0 * std::log10(r); }'
put tools/kettle/inside.cpp '#include <stile/coil/detail/rings.hpp>'
put tools/kettle/other.cpp '#include "whip/study.hpp"'
put tools/kettle/pi.cpp '#include <numbers>'
put tools/kettle/root.cpp '#include <stile/base/roots.hpp>'
put tools/kettle/solver.cpp '#include <Eigen/LU>'
put tools/kettle/team.cpp '#include <thread>'
cat >"$work/expected" <<'TEXT'
lib/stile/base/down.cpp:2: base may not include coil, which stands below it
lib/stile/base/unknown.cpp:1: "kitchen" is not a room
lib/stile/coil/beside.cpp:1: write <stile/room/file.hpp> instead of "rings.hpp"
lib/stile/coil/heavy.hpp:3: <Eigen/LU> in a header: users of the installed package may not have it
lib/stile/coil/team.cpp:1: <thread>: threads start in base alone
lib/stile/coil/toml.cpp:1: <toml++/toml.h> belongs into the sources of the station room
lib/stile/energy/wide.hpp:1: <stile/base/detail/overloaded.hpp> in a header that is installed, where there is no detail/
lib/stile/kitchen/spoon.cpp: "kitchen" is not a room
lib/stile/load/private.cpp:1: <stile/coil/detail/rings.hpp> is for the room coil alone
lib/stile/plan/option.cpp:1: <CLI/CLI.hpp> has no place in the library
lib/stile/station/reader.hpp:1: <toml++/toml.h> belongs into the sources of the station room
lib/stile/sweep/early.cpp:1: sweep may not include match, which stands below it
lib/stray.hpp: stands in no room, chart or tool
plots/stile/plots/back.cpp:1: write <stile/plots/file.hpp> instead of "cli/json.hpp"
plots/stile/plots/inside.cpp:1: <stile/coil/detail/rings.hpp> is for its room alone
tools/alone.cpp: stands in no room, chart or tool
tools/cli/above.cpp:1: cli may include itself and cli, not "kettle/report.hpp"
tools/kettle/beside.cpp:1: write "kettle/report.hpp" instead of "report.hpp"
tools/kettle/formula.cpp:2: std::log10: what is computed belongs into a room
tools/kettle/inside.cpp:1: <stile/coil/detail/rings.hpp> is for its room alone
tools/kettle/other.cpp:1: kettle may include itself and cli, not "whip/study.hpp"
tools/kettle/pi.cpp:1: <numbers>: what is computed belongs into a room
tools/kettle/root.cpp:1: <stile/base/roots.hpp>: what is computed belongs into a room
tools/kettle/solver.cpp:1: <Eigen/LU>: what is computed belongs into a room
tools/kettle/team.cpp:1: <thread>: what is computed belongs into a room
TEXT
if "$here/check.sh" "$tree" >"$work/out"; then
  echo "faults were found but the status is 0"
  exit 1
fi
diff "$work/expected" "$work/out"
