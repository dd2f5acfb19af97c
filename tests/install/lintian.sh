#!/usr/bin/env bash
# lintian.sh PACKAGES: no error and no warning in any of the Debian packages of a folder, beyond those that tools/deb/overrides
# argues; an override that nothing needs is a fault too.
set -euo pipefail
status=0
found=$(lintian --allow-root --tag-display-limit 0 --display-info "$1"/*.deb) || status=$?
printf '%s\n' "$found"
((status != 1)) || { echo "lintian.sh: lintian itself failed" >&2; exit 1; }
if grep -qE '^[EW]: |unused-override|mismatched-override' <<<"$found"; then exit 1; fi
