#!/usr/bin/env bash
# The benchmarks beside their targets and beside what runs in the same run: targets.txt says which. Times depend on the
# machine and fail nothing; a line of targets.txt that names no benchmark does, and so does a benchmark that stops.
#
#   targets.sh FOLDER          runs them all on a quiet machine, minutes, and prints the table
#   targets.sh FOLDER --names  only looks whether every line names a benchmark
set -euo pipefail
folder=${1:?usage: targets.sh FOLDER [--names]}
targets=$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")/targets.txt
lines() { grep -v '^#' "$targets" | sed 's/ *| */|/g'; }
mapfile -t programs < <(lines | cut -d '|' -f 1 | sort -u)
((${#programs[@]} > 0)) || { echo "$targets has no line" >&2; exit 1; }
rows=$(mktemp)
trap 'rm -f "$rows"' EXIT

# Names without what is appended to say how they are run.
plain='s,/(manual_time|real_time|process_time|iterations:[0-9]+),,g'
for program in "${programs[@]}"; do
  if [[ ${2-} == --names ]]; then
    "$folder/$program" --benchmark_list_tests | sed -E "$plain; s/^/$program|/" >>"$rows"
  else
    echo "$program" >&2
    "$folder/$program" --benchmark_format=json | sed -nE "s/^ {6}\"/$program|\"/p" | sed -E "$plain" >>"$rows"
  fi
done

if [[ ${2-} == --names ]]; then
  faults=0
  while IFS='|' read -r program name taken target _ beside; do
    for wanted in "$name" "${beside:-$name}" "${taken#OVER }"; do
      [[ $wanted != "$taken" && $wanted != counter\ * ]] || continue  # of counters a run tells
      grep -qxF "$program|$wanted" "$rows" || { echo "targets.txt: $program has no $wanted" >&2; faults=1; }
    done
    [[ $target =~ ^(none|[<>]=\ [0-9.e-]+)$ ]] || { echo "targets.txt: no target \"$target\"" >&2; faults=1; }
  done < <(lines)
  exit "$faults"
fi

# Of each benchmark a line of JSON for its name, then one a number, counters too.
lines | awk -F '|' -v results="$rows" '
  function seconds(value, unit) { return value * (unit == "s" ? 1 : unit == "ms" ? 1e-3 : unit == "us" ? 1e-6 : 1e-9) }
  function shown(value, unitless,  n, step) {
    if (unitless) return sprintf("%.4g", value)
    n = value >= 1 ? 1 : value >= 1e-3 ? 2 : value >= 1e-6 ? 3 : 4
    split("s ms us ns", step, " ")
    return sprintf("%.4g %s", value * 10 ^ (3 * (n - 1)), step[n])
  }
  BEGIN {
    while ((getline line < results) > 0) {
      bar = index(line, "|"); program = substr(line, 1, bar - 1); line = substr(line, bar + 1)
      gsub(/[",]/, "", line)
      colon = index(line, ": "); what = substr(line, 1, colon - 1); line = substr(line, colon + 2)
      if (what == "name") { key = program "|" line; all[key] = 1 } else value[key, what] = line
    }
    for (key in all) {
      if (!((key, "real_time") in value) || (key, "error_occurred") in value) continue  # one that gave up
      value[key, "real"] = seconds(value[key, "real_time"], value[key, "time_unit"])
      value[key, "cpu"] = seconds(value[key, "cpu_time"], value[key, "time_unit"])
    }
    printf "%-72s %-12s %-12s %-7s %s\n", "What", "Measured", "Target", "", "In the same run"
  }
  {
    key = $1 "|" $2
    over = $3 ~ /^OVER /
    other = $1 "|" (over ? substr($3, 6) : $2)
    if (!((key, over ? "real" : $3) in value) || !((other, "real") in value)) {
      printf "targets.txt: %s gave no %s of %s\n", $1, $3, $2 > "/dev/stderr"
      failed = 1
      next
    }
    got = over ? value[other, "real"] / value[key, "real"] : value[key, $3]
    unitless = over || ($3 !~ /^(real|cpu|s\/.*|.*_s|time_per_.*)$/)
    split($4, want, " ")
    met = $4 == "none" ? "" : (want[1] == "<=" ? got <= want[2] : got >= want[2]) ? "met" : "missed"
    target = $4 == "none" ? "-" : want[1] " " shown(want[2], unitless)
    counter = $6 ~ /^counter / ? substr($6, 9) : ""
    beside = $6 == "" ? "" : counter != "" ? counter " " shown(value[key, counter], 0) : $6 " " shown(value[$1 "|" $6, "real"], 0)
    printf "%-72s %-12s %-12s %-7s %s\n", $5, shown(got, unitless), target, met, beside
  }
  END { exit failed }'
