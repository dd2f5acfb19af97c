#!/usr/bin/env bash
# README.md shows true output: every line of a block behind "<!-- true output of: COMMAND -->" stands in what the
# command prints, in the same order and without a gap.
#
#   check.sh README.md FOLDER_OF_TOOLS        (run from the top of the source tree)
set -euo pipefail
readme=$1
tools=$2

command=$(sed -n 's/^<!-- true output of: \(.*\) -->$/\1/p' "$readme")
[ -n "$command" ] || { echo "$readme shows no output of a command" >&2; exit 1; }
shown=$(awk '/^<!-- true output of: /{found=1} found && /^```$/{exit} show{print} found && /^```text$/{show=1}' "$readme")
[ -n "$shown" ] || { echo "$readme: the block behind the command is empty" >&2; exit 1; }
printed=$(PATH="$tools:$PATH" bash -c "$command")
[[ "$printed" == *"$shown"* ]] && exit 0
echo "$readme does not show what \`$command\` prints:" >&2
diff <(echo "$shown") <(echo "$printed" | head -n "$(echo "$shown" | wc -l)") >&2 || true
exit 1
