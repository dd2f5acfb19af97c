#!/usr/bin/env bash
# A page that shows true output: behind each "<!-- true output of: COMMAND -->" a block names the same command
# behind "$ ", and every further line of it stands whole in what the command prints, in that order. Of a page with
# numbered rows all of them are there.
#
#   check.sh PAGE FOLDER_OF_TOOLS [ROWS]        (run from the top of the source tree)
set -euo pipefail
page=$1
tools=$2
kept=$(mktemp -d)
trap 'rm -rf "$kept"' EXIT
faults=0
fault() { echo "$page: $*" >&2; faults=1; }

for row in $(seq "${3-0}"); do
  grep -q "^## $row\. " "$page" || fault "row $row is missing"
done

# Every command once, two at a time, its output and its status each in a file of its own. Commands that pass the same output
# on through a pipe share it.
mapfile -t commands < <(sed -n 's/^<!-- true output of: \(.*\) -->$/\1/p' "$page" | sort -u)
((${#commands[@]} > 0)) || fault "no command"
mapfile -t sources < <(printf '%s\n' "${commands[@]%% | *}" | sort -u)
run() {
  local status=0
  PATH="$tools:$PATH" LC_ALL=C.UTF-8 bash -c "${sources[$1]}" >"$kept/source-$1" || status=$?
  echo "$status" >"$kept/source-$1.status"
}
for n in "${!sources[@]}"; do
  ((n < 2)) || wait -n
  run "$n" &
done
wait
for n in "${!sources[@]}"; do
  status=$(<"$kept/source-$n.status")
  ((status <= 1)) || fault "\`${sources[n]}\` ends with $status"
done
for n in "${!commands[@]}"; do
  for m in "${!sources[@]}"; do
    [[ ${commands[n]%% | *} == "${sources[m]}" ]] || continue
    rest=${commands[n]#"${sources[m]}"}
    PATH="$tools:$PATH" LC_ALL=C.UTF-8 bash -c "set -o pipefail; cat \"\$0\"$rest" "$kept/source-$m" >"$kept/$n" ||
      fault "\`${commands[n]}\` ends with $?"
  done
done

current=-1 inside=0 shown=0
declare -a printed
while IFS= read -r line; do
  if [[ $line == '<!-- true output of: '* ]]; then
    command=${line#<!-- true output of: }
    command=${command% -->}
    for n in "${!commands[@]}"; do [[ ${commands[n]} != "$command" ]] || current=$n; done
    mapfile -t printed < <(sed 's/ *$//' "$kept/$current")  # blanks behind a line are no part of it
    place=0
  elif [[ $line == '```text' ]]; then
    inside=1 shown=0
  elif [[ $line == '```' ]]; then
    ((inside == 0 || shown > 0)) || fault "an empty block: $command"
    inside=0
  elif ((inside)) && [[ $line == '$ '* ]]; then
    [[ ${line#\$ } == "$command" ]] || fault "the block shows \`${line#\$ }\` and not \`$command\`"
  elif ((inside)); then
    ((++shown))
    while ((place < ${#printed[@]})) && [[ "${printed[place]}" != "$line" ]]; do ((++place)); done
    ((place < ${#printed[@]})) || fault "\`$command\` does not print (at its place): $line"
    ((++place))
  fi
done <"$page"
exit $faults
