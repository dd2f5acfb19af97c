#!/usr/bin/env bash
# use_packages.sh PACKAGES: as root on a Debian 12 that has nothing: installs the three packages and uses them. Programs run, manual pages
# open, bash and fish complete, the consumer programs build by both roads against libstile-dev and compute what they
# should; removed again, nothing stays.
set -euo pipefail
here=$(cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")" && pwd)
source=$here/../..
export DEBIAN_FRONTEND=noninteractive
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
say() { printf 'packages: %s\n' "$*" >&2; }
fail() { say "$*"; exit 1; }
tools=(stile-net stile-match stile-range stile-coil stile-whip stile-sweep stile-plan stile-design)

# The library that a package needs must come with it: only what asks and builds is named beside them.
apt-get update >"$work/apt.log" 2>&1 || fail "apt-get update failed"
apt-get install -y --no-install-recommends "$1"/*.deb man-db bash-completion fish g++ cmake make pkg-config \
  >"$work/apt.log" 2>&1 || { tail -n 30 "$work/apt.log" >&2; fail "the packages cannot be installed"; }

say "programs"
for tool in "${tools[@]}"; do
  "$tool" --version | grep -qx "$tool [0-9.]*" || fail "$tool --version"
done
swr=$(stile-net --frequency 7.1MHz --load 50 --series L=2uH,Q=200 --csv | awk -F, 'NR == 1 { for (i = 1; i <= NF; ++i) if ($i == "swr") n = i } NR == 2 { print $n }')
awk -v swr="$swr" 'BEGIN {  # by the reflection of 50 + X/200 + jX against 50 ohm, X = 2 pi 7.1e6 2e-6
  x = 2 * 3.14159265358979 * 7.1e6 * 2e-6; r = x / 200
  g = sqrt((r * r + x * x) / ((100 + r) * (100 + r) + x * x)); e = (1 + g) / (1 - g)
  exit !(swr > e * (1 - 1e-9) && swr < e * (1 + 1e-9)) }' || fail "stile-net gives SWR $swr"
status=0
stile-plan /usr/share/doc/stile/examples/moor/station.toml --quiet >"$work/plan" || status=$?
((status <= 1)) || fail "stile-plan on the installed example: status $status"
[[ -s $work/plan ]] || fail "stile-plan says nothing of the installed example"

say "manual pages"
for tool in "${tools[@]}"; do
  MANWIDTH=120 man -P cat "$tool" >"$work/page" 2>"$work/err" || fail "man $tool: $(cat "$work/err")"
  grep -q "^ *$tool  *- " "$work/page" || fail "man $tool does not name it"
  [[ ! -s $work/err ]] || fail "man $tool warns: $(cat "$work/err")"
done

say "completions"
for tool in "${tools[@]}"; do "$here/complete.sh" "$tool"; done

say "consumer programs"
consumers=/usr/share/doc/libstile-dev/examples/consumers
cmake -S $consumers -B "$work/by_cmake" >"$work/log" || fail "find_package(stile)"
cmake --build "$work/by_cmake" >"$work/log" || { cat "$work/log" >&2; fail "by CMake"; }
"$here/consumers.sh" "$work/by_cmake" "$source"
mkdir "$work/by_pkg_config"
for program in network tuner_range coil_q; do
  # shellcheck disable=SC2046
  g++ -std=c++20 $consumers/$program.cpp $(pkg-config --cflags --libs stile) -o "$work/by_pkg_config/$program"
  ldd "$work/by_pkg_config/$program" | grep -q 'libstile\.so' || fail "$program does not use the shared library"
done
"$here/consumers.sh" "$work/by_pkg_config" "$source"

say "removed"
for deb in "$1"/*.deb; do dpkg-deb -f "$deb" Package; done >"$work/names"
xargs dpkg -L <"$work/names" | grep stile | sort -u >"$work/files"
xargs apt-get purge -y <"$work/names" >"$work/apt.log" 2>&1 || fail "the packages cannot be removed"
while read -r file; do [[ ! -e $file ]] || fail "$file stays behind"; done <"$work/files"
say "done"
