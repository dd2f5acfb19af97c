#!/usr/bin/env bash
# check.sh TOP: reads every include of lib/, plots/ and tools/ under TOP and names each wrong one as file:line.
#
# Library: lib/stile/ROOM/
#   A room may include itself and the rooms above it in the list below, never those below it.
#   Headers under a room's detail/ are for that room alone; those of base/detail serve every room. They are not installed,
#   so no other header includes one.
#   toml++ stays in the sources of the station room; CLI11 and gnuplot-iostream stay out; threads start in base alone.
#   A header includes only Stile's and the standard library's headers: the installed package hands on no others.
# Plots: plots/stile/plots/
#   Public headers of any room; nothing of tools.
# Tools: tools/NAME/ and tools/cli/
#   A tool includes, of the tools, its own folder and cli; cli includes cli.
#   Nothing is computed here. What computing needs is refused: Eigen, Boost, <stile/base/roots.hpp>,
#   <stile/base/parallel.hpp>, any detail/, <numbers>, <numeric>, <random>, <thread> and its kin (cli has them for its
#   progress line and its signals), and of <cmath> every function with a root, a power, a logarithm or an angle:
#   rounding, magnitude and finiteness are enough to print a result.
set -euo pipefail

rooms=(base conductor network wire coil load sweep match tuner safety energy station plan design)
top=${1:?usage: check.sh TOP}

declare -A rank
for i in "${!rooms[@]}"; do rank[${rooms[i]}]=$i; done

declare -A faults=()
complain() {  # complain FILE LINE TEXT
  faults[$1]+="$1:${2:+$2:} $3"$'\n'
}

of_library() {  # of_library FILE LINE MARK TARGET
  local file=$1 line=$2 mark=$3 target=$4 room other theirs
  local name=${file#lib/stile/}
  room=${name%%/*}
  local own=${rank[$room]}
  case $target in
    stile/*/*)
      other=${target#stile/}
      other=${other%%/*}
      theirs=${rank[$other]-}
      if [[ -z $theirs ]]; then
        complain "$file" "$line" "\"$other\" is not a room"
      elif ((theirs > own)); then
        complain "$file" "$line" "$room may not include $other, which stands below it"
      elif [[ $target == */detail/* && $other != "$room" && $other != base ]]; then
        complain "$file" "$line" "<$target> is for the room $other alone"
      elif [[ $target == */detail/* && $name == *.hpp && $name != */detail/* ]]; then
        complain "$file" "$line" "<$target> in a header that is installed, where there is no detail/"
      fi
      ;;
    CLI/* | gnuplot-iostream*) complain "$file" "$line" "<$target> has no place in the library" ;;
    toml++/*)
      [[ $room == station && $name == *.cpp ]] ||
        complain "$file" "$line" "<$target> belongs into the sources of the station room"
      ;;
    thread | future) [[ $room == base ]] || complain "$file" "$line" "<$target>: threads start in base alone" ;;
    *)
      if [[ $mark == '"' ]]; then
        complain "$file" "$line" "write <stile/room/file.hpp> instead of \"$target\""
      elif [[ $name == *.hpp && $name != */detail/* && $target == */* ]]; then
        complain "$file" "$line" "<$target> in a header: users of the installed package may not have it"
      fi
      ;;
  esac
}

of_plots() {
  local file=$1 line=$2 mark=$3 target=$4
  case $target in
    stile/*/detail/*) complain "$file" "$line" "<$target> is for its room alone" ;;
    *) [[ $mark == '<' ]] || complain "$file" "$line" "write <stile/plots/file.hpp> instead of \"$target\"" ;;
  esac
}

of_tools() {
  local file=$1 line=$2 mark=$3 target=$4
  local tool=${file#tools/}
  tool=${tool%%/*}
  if [[ $mark == '"' ]]; then
    case $target in
      "$tool"/* | cli/*) ;;
      */*) complain "$file" "$line" "$tool may include itself and cli, not \"$target\"" ;;
      *) complain "$file" "$line" "write \"$tool/$target\" instead of \"$target\"" ;;
    esac
    return
  fi
  case $target in
    stile/*/detail/*) complain "$file" "$line" "<$target> is for its room alone" ;;
    Eigen/* | unsupported/* | boost/* | stile/base/roots.hpp | stile/base/parallel.hpp | numbers | numeric | random)
      complain "$file" "$line" "<$target>: what is computed belongs into a room"
      ;;
    thread | future | atomic | mutex)
      [[ $tool == cli ]] || complain "$file" "$line" "<$target>: what is computed belongs into a room"
      ;;
  esac
}

cd "$top"
shopt -s globstar nullglob
files=({lib,plots,tools}/**/*.{hpp,cpp})
libraries=(lib/stile/**/*.{hpp,cpp})
((${#libraries[@]})) || { echo "no sources under $top/lib/stile"; exit 1; }

declare -A misplaced=()
for file in "${files[@]}"; do
  case $file in
    lib/stile/*/*)
      room=${file#lib/stile/}
      room=${room%%/*}
      [[ -n ${rank[$room]-} ]] && continue
      complain "$file" "" "\"$room\" is not a room"
      ;;
    plots/stile/plots/* | tools/*/*) continue ;;
    *) complain "$file" "" "stands in no room, chart or tool" ;;
  esac
  misplaced[$file]=1
done

include='^([^:]+):([0-9]+):[[:space:]]*#[[:space:]]*include[[:space:]]*([<"])([^>"]+)[>"]'
while IFS= read -r found; do
  [[ $found =~ $include ]] || continue
  file=${BASH_REMATCH[1]}
  [[ -z ${misplaced[$file]-} ]] || continue
  case $file in
    lib/*) of_library "${BASH_REMATCH[@]:1}" ;;
    plots/*) of_plots "${BASH_REMATCH[@]:1}" ;;
    tools/*) of_tools "${BASH_REMATCH[@]:1}" ;;
  esac
done < <(grep -HnE '^[[:space:]]*#[[:space:]]*include' -- "${files[@]}")

formula='\bstd::(norm|sqrt|cbrt|hypot|pow|exp2?|expm1|log(2|10|1p)?|a?(sin|cos|tan)h?|atan2|polar|arg)\('
while IFS=: read -r file line text; do
  [[ $text =~ std::[a-z0-9]+ ]] || continue
  complain "$file" "$line" "${BASH_REMATCH[0]}: what is computed belongs into a room"
done < <(grep -HnoE "$formula" -- tools/*/*.{hpp,cpp})

printf '%s' "${faults[@]}" | LC_ALL=C sort
((${#faults[@]} == 0))
