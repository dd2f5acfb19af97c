#!/usr/bin/env bash
# complete.sh TOOL [BASH_SCRIPT FISH_SCRIPT]: what the shells complete of the program is every option that its help shows; after
# an option come its words, files or nothing. Fish is asked when it is there. Without scripts the installed ones are loaded
# as an interactive shell loads them.
set -euo pipefail
tool=$1 script=${2-}
fish_script=${3-/usr/share/fish/vendor_completions.d/${1##*/}.fish}
name=${tool##*/}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() { echo "$name: $*" >&2; exit 1; }
touch "$work/a b.toml"
mkdir "$work/folder"
cd "$work"

if [[ -n $script ]]; then
  # shellcheck disable=SC1090
  source "$script"
else
  set +eu
  # shellcheck disable=SC1091
  source /usr/share/bash-completion/bash_completion
  _completion_loader "$name"
  set -eu
fi
function=$(complete -p "$name" | sed -n 's/.* -F \([^ ]*\) .*/\1/p')
[[ -n $function ]] || fail "bash knows no completion"
by_bash() {  # by_bash WORD...: what completes the last one
  COMP_WORDS=("$name" "$@") COMP_CWORD=$#
  "$function"
  printf '%s\n' "${COMPREPLY[@]}"
}
is() { [[ $1 == "$2" ]] || fail "$3: $1"; }

# Each line of the help that begins with an option, "  --name" or "  -o": the table is the same, its text is not.
options=$("$tool" --help | sed -n '/^Options/,/^$/s/^  \(--\{0,1\}[a-z][-a-z0-9]*\).*/\1/p' | sort)
is "$(by_bash -- | sort)" "$(grep '^--' <<<"$options")" "bash completes"
is "$(by_bash - | sort)" "$options" "bash completes of a dash"
is "$(by_bash --completion '')" $'bash\nfish' "bash completes after --completion"
is "$(by_bash --completion f)" fish "bash completes after --completion f"
is "$(by_bash --completion = f)" fish "bash completes after --completion="
is "$(by_bash -o a)" "a b.toml" "bash completes after -o"
grep -qx -- --json <<<"$(by_bash --js)" || fail "bash does not complete --js"
file=$("$tool" --help | sed -n "s/^  \([A-Z][A-Za-z]*\.toml\|FILE\)\( .*\|$\)/\1/p" | head -n 1)
if [[ -n $file ]]; then is "$(by_bash a)" "a b.toml" "bash completes its file"; fi

is "$(sed -n "s/^complete -c $name -[ls] \([^ ]*\) .*/--\1/p" "$fish_script" | sed 's/^--\(.\)$/-\1/' | sort)" "$options" "fish's script has"
command -v fish >/dev/null || exit 0
by_fish() {  # by_fish LINE: what completes it
  # shellcheck disable=SC2016
  XDG_CONFIG_HOME=$work HOME=$work fish -c "${script:+source \$argv[2]; }"'complete -C $argv[1]' -- "$1" "$fish_script" | cut -f1
}
is "$(by_fish "$name --" | sort)" "$(grep '^--' <<<"$options")" "fish completes"
is "$(by_fish "$name --completion " | sort)" $'bash\nfish' "fish completes after --completion"
by_fish "$name -o a" | grep -q 'a b\.toml\|a\\ b\.toml' || fail "fish completes no file after -o"
