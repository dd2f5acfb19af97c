# Sourced by check.sh here and in tests/promises: the names of test cases as the sources have them.

cases_of() {  # cases_of ROOM: of tests/ROOM/*.cpp, each name in a line
  local files=(tests/"$1"/*.cpp)
  [[ -e ${files[0]} ]] || return 0
  cat "${files[@]}" | tr '\n' ' ' | grep -oE 'TEST_CASE\( *"[^"]*"( *"[^"]*")*' |
    sed -E 's/^[^"]*"//; s/"$//; s/" *"//g'
}
