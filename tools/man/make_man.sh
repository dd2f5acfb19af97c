#!/usr/bin/env bash
# make_man.sh TOOL PAGE.gz: writes the man page of a program from its own --help and --version.
set -euo pipefail
tool=$1 page=$2
name=$(basename "$tool")
help=$("$tool" --help)
help=${help//"$tool"/"$name"}      # a usage line shows the path the tool was called by
version=$("$tool" --version)

# The one-line description: first line of the help, without the tool's name before it and a full stop after it.
summary=$(sed -n "/[^[:space:]]/ { s/^[[:space:]]*//; s/^$name\( -\|:\) *//; s/\.\{0,1\}[[:space:]]*\$//; p; q; }" <<<"$help")
case $summary in
  "" | Usage* | Example*)
    echo "make_man.sh: the first line of \"$name --help\" must describe the tool, but is \"$summary\"" >&2
    exit 1
    ;;
esac
synopsis=$(sed -n 's/^Usage:[[:space:]]*\([^[:space:]].*\)/\1/p' <<<"$help" | head -n 1)
[[ -n $synopsis ]] || synopsis="$name [OPTION]..."

# Backslashes and hyphens are meant as they stand; a line may not start with the control characters . and '.
roff() { sed -e 's/\\/\\e/g' -e 's/-/\\-/g' -e "s/^[.']/\\\\\\&&/"; }

trap 'rm -f "$page.part"' EXIT
{
  echo ".TH ${name^^} 1 \"\" \"$(head -n 1 <<<"$version")\" \"User commands\""
  echo ".SH NAME"
  roff <<<"$name - $summary"
  echo ".SH SYNOPSIS"
  roff <<<"$synopsis"
  echo ".SH DESCRIPTION"
  echo ".nf"
  roff <<<"$help"
  echo ".fi"
} | gzip -9n >"$page.part"
mv "$page.part" "$page"
