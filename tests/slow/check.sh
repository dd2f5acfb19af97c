#!/usr/bin/env bash
# check.sh LIST BUILD: each line of the list names a test of the build; one that was renamed would lose its label unseen.
set -euo pipefail
export LC_ALL=C
missing=$(comm -23 <(sed -n 's/^[0-9]* //p' "$1" | sort) \
  <(ctest --test-dir "$2" -N | sed -n 's/^ *Test *#[0-9]*: //p' | sort))
[[ -z $missing ]] || { printf 'no such test: %s\n' "$missing" >&2; exit 1; }
grep -q '^[0-9]' "$1" || { echo "the list is empty" >&2; exit 1; }
