#!/usr/bin/env bash
# time_tools.sh FOLDER: mean wall time of a cold start and of one small job of each program, over 100 runs.
set -euo pipefail
PATH="${1:?usage: time_tools.sh FOLDER}:$PATH"
runs=100

time_of() {  # time_of COMMAND ARGUMENT...
  local start=${EPOCHREALTIME/./} n
  for ((n = 0; n < runs; ++n)); do "$@" >/dev/null; done
  printf '%6d us  %s\n' $(((${EPOCHREALTIME/./} - start) / runs)) "$*"
}
time_of true --version       # a process that does nothing
time_of stile-net --version
time_of stile-net --frequency 14.2MHz --load 12-230j --series L=3.2uH,Q=200 --shunt C=300pF,Q=1000 --json
time_of stile-match --version
time_of stile-match --form l --frequency 14.2MHz --load 12-230j --inductor-q 200 --json
time_of stile-match --form pi --frequency 14.2MHz --load 12-230j --inductor-q 200 --json
