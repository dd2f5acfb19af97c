#!/usr/bin/env bash
# exports.sh LIBRARY VERSION MAP: the linker's list of what the shared library exports, made of the static one: the names of
# Stile's own namespaces without those under a detail/. Instances of others' templates stay inside.
# tests/install/golden/symbols.txt shows what comes of it.
set -euo pipefail
{
  printf 'STILE_%s {\n  global:\n' "$2"
  nm --defined-only --extern-only --format=posix "$1" |
    awk '$1 ~ /^_Z(T[ISV])?NK?5stile/ && $1 !~ /6detail/ { print "    " $1 ";" }' | LC_ALL=C sort -u
  printf '  local: *;\n};\n'
} >"$3"
