#!/usr/bin/env bash
# time_tools.sh FOLDER EXAMPLES: mean wall time of a cold start and of one small job of each program. FOLDER holds the
# programs, EXAMPLES the example stations.
set -euo pipefail
PATH="${1:?usage: time_tools.sh FOLDER EXAMPLES}:$PATH"
examples=${2:?usage: time_tools.sh FOLDER EXAMPLES}

time_of() {  # time_of RUNS COMMAND ARGUMENT...
  local runs=$1 start=${EPOCHREALTIME/./} n
  shift
  for ((n = 0; n < runs; ++n)); do "$@" >/dev/null; done
  printf '%8d us  %s\n' $(((${EPOCHREALTIME/./} - start) / runs)) "$*"
}
time_of 100 /bin/true            # a process that does nothing
time_of 100 stile-net --version
time_of 100 stile-net --frequency 14.2MHz --load 12-230j --series L=3.2uH,Q=200 --shunt C=300pF,Q=1000 --json
time_of 100 stile-match --version
time_of 100 stile-match --form l --frequency 14.2MHz --load 12-230j --inductor-q 200 --json
time_of 100 stile-match --form pi --frequency 14.2MHz --load 12-230j --inductor-q 200 --json
time_of 100 stile-plan --version
time_of 3 stile-plan "$examples/moor/station.toml" --json
time_of 10 stile-coil --turns 40 --diameter 40mm --pitch 2mm --wire 1mm --frequency 7.1MHz --json
time_of 3 stile-coil --station "$examples/moor/coil.toml" --json
time_of 3 stile-plan "$examples/moor/coil.toml" --json
