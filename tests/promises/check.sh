#!/usr/bin/env bash
# The ledger of promises against what it speaks of: every figure that README.md and the helps of the programs print stands in
# the list with what checks it. Man pages are the helps (tests/setup/test_man.sh).
#
#   check.sh LIST FOLDER_OF_TOOLS        (run from the top of the source tree)
#
# The list: a line "SOURCE: QUOTE", word for word from README or from the help of programs ("tools": of each), line breaks as
# blanks; README's blocks of commands and output are left out, as are examples and usage of a help. Behind it, indented, what
# checks it:
#
#   room:title of a test      a TEST_CASE of tests/room/*.cpp
#   test NAME                 a test that a CMakeLists.txt of tests adds
#   refused: COMMAND          ends with status 2 and says what would be legal
#   taken: COMMAND            ends with status 0 or 1
#   option: COMMAND | SAME | OTHER             the command prints the same with SAME behind it, with OTHER it does not
#   default FILE: LINE | SAME | OTHER          the same of FILE.toml beside the list, with SAME behind that line of it, or
#                                              behind it at the end where the file has it not
#   unchecked: WHY            nothing does
#   no promise: WHY           a name, a unit or an example
set -euo pipefail
list=${1:?usage: check.sh LIST FOLDER_OF_TOOLS}
tools=$(readlink -f "${2:?usage: check.sh LIST FOLDER_OF_TOOLS}")
source "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")/../book/cases.sh"
export PATH="$tools:$PATH" LC_ALL=C.UTF-8
faults=0 figures=0
declare -A checks=() text=() known=()
fault() { echo "$list: $*" >&2; faults=1; }

one_line() { tr '\n' ' ' | sed -E 's/ +/ /g'; }
text[README]=$(awk '/^```/ { inside = !inside; next } !inside && !/^(!\[|<!--)/' README.md | sed -E 's/^[0-9]+\. //' | one_line)
mapfile -t programs < <(cd "$tools" && ls -d stile-*)
for tool in "${programs[@]}"; do
  text[$tool]=$("$tool" --help | awk '/^Examples:/ { skip = 1 } /^Options/ { skip = 0 } !skip' | one_line)
done

kept=$(mktemp -d)
trap 'rm -rf "$kept"' EXIT
declare -A printed=()  # by command
declare -A job=([wires]='stile-whip file.toml --frequency 7.1MHz --json --quiet')
job[drawn]=${job[wires]}
job[station]='stile-plan file.toml --json --quiet'
job[exposed]=${job[station]} job[audible]=${job[station]}
here=$(dirname "$(readlink -f "$list")")

print_with() {  # print_with FILE LINE MORE: what the file's job prints with MORE behind the line
  awk -v line="$2" -v more="$3" '{ print } $0 == line { print more; there = 1 } END { if (!there) print line "\n" more }' \
    "$here/$1.toml" >"$kept/file.toml"
  (cd "$kept" && bash -c "${job[$1]}" 2>&1) || true
}

same_and_other() {  # same_and_other WORDS PRINTED SAME OTHER: what is printed as it stands, with the default, with another value
  [[ $2 == "$3" ]] || fault "$1: with what is said to be the default it prints something else"
  [[ $2 != "$4" ]] || fault "$1: with something else than the default it prints the same"
  [[ $2 == *'{'* && $4 == *'{'* ]] || fault "$1: no result: ${2:0:200} ${4:0:200}"
}

check() {  # check QUOTE WORDS: what is said to check it
  local kind=${2%%[: ]*} rest=${2#* } room name status=0 out line same other
  case $2 in
    'unchecked: '* | 'no promise: '*) kind=${2%%:*} ;;
    'test '*)
      grep -rqF "NAME \"$rest\"" tests --include=CMakeLists.txt || fault "$1: no test is called \"$rest\"" ;;
    'refused: '*)
      out=$(bash -c "$rest" 2>&1 </dev/null) || status=$?
      [[ $status == 2 && $out =~ legal|must ]] || fault "$1: \`$rest\` ends with $status: ${out:0:200}" ;;
    'taken: '*)
      bash -c "$rest" >/dev/null 2>&1 </dev/null || status=$?
      ((status <= 1)) || fault "$1: \`$rest\` ends with $status" ;;
    'option: '*)
      IFS='|' read -r name same other <<<"$rest"
      for out in "$name" "$name $same" "$name $other"; do
        [[ -v printed[$out] ]] || printed[$out]=$(bash -c "$out" 2>&1) || true
      done
      same_and_other "$2" "${printed[$name]}" "${printed[$name $same]}" "${printed[$name $other]}" ;;
    'default '*)
      name=${rest%%: *}
      [[ -v job[$name] ]] || { fault "$1: there is no $name.toml to try a default on"; return 0; }
      IFS='|' read -r line same other < <(sed 's/ *| */|/g' <<<"${rest#*: }")
      [[ -v printed[$name] ]] || printed[$name]=$(print_with "$name" '# end' '')
      same_and_other "$2" "${printed[$name]}" "$(print_with "$name" "$line" "$same")" "$(print_with "$name" "$line" "$other")" ;;
    *:*)
      kind='test case' room=${2%%:*} name=${2#*:}
      [[ -v known[$room] ]] || known[$room]=$(cases_of "$room")
      grep -qxF -e "$name" <<<"${known[$room]}" || fault "$1: no test of tests/$room is called \"$name\"" ;;
    *) fault "$1: \"$2\" is no check" ;;
  esac
  checks[$kind]=$((${checks[$kind]-0} + 1))
}

declare -A left=()
for source in "${!text[@]}"; do left[$source]=${text[$source]}; done
quote='' checked=1
while IFS= read -r line; do
  case $line in
    '' | '#'*) ;;
    ' '*) check "$quote" "${line#"${line%%[! ]*}"}"; checked=1 ;;
    *': '*)
      ((checked)) || fault "$quote: nothing checks it"
      read -ra sources <<<"${line%%: *}"
      quote=${line#*: } checked=0
      [[ ${sources[0]} != tools ]] || sources=("${programs[@]}")
      ((++figures))
      for source in "${sources[@]}"; do
        [[ -v text[$source] ]] || { fault "there is no source \"$source\""; continue; }
        [[ ${text[$source]} == *"$quote"* ]] || fault "$source does not say \"$quote\""
        left[$source]=${left[$source]//"$quote"/ }
      done ;;
    *) fault "\"$line\" is neither quote nor check" ;;
  esac
done <"$list"
((checked)) || fault "$quote: nothing checks it"

# What is left has no figure: a number that is no part of a name.
for source in "${!left[@]}"; do
  while IFS= read -r figure; do
    fault "$source: a figure without a check: ...$figure..."
  done < <(grep -oE '.{0,40}(^|[^A-Za-z0-9_.]|\.\.)[0-9]+([.e-][0-9]+)*.{0,30}' <<<"${left[$source]}")
done
((figures > 0 && ${checks[test case]-0} > 0 && ${checks[refused]-0} > 0)) || fault "nothing was checked"
echo "$figures quotes with figures; checks by kind:"
for kind in "${!checks[@]}"; do echo "  $kind: ${checks[$kind]}"; done | sort
exit "$faults"
