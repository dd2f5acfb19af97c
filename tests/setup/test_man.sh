#!/usr/bin/env bash
# tools/man/make_man.sh on a stand-in tool: sections, protected text, refusal of a help text without a description.
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cat >"$work/stile-try" <<'TOOL'
#!/bin/bash
[[ $1 == --version ]] && { echo "stile-try 1.2.3"; exit; }
cat <<'TEXT'
stile-try: tries a thing - twice.

Examples:
  stile-try --load 12-230j | sed 's/\n/ /'
.5 is a number
'quoted'
TEXT
echo "Usage: $0 [OPTIONS] FILE"
TOOL
chmod +x "$work/stile-try"
"$here/../../tools/man/make_man.sh" "$work/stile-try" "$work/stile-try.1.gz"
zcat "$work/stile-try.1.gz" | diff /dev/fd/3 - 3<<'PAGE'
.TH STILE-TRY 1 "" "stile-try 1.2.3" "User commands"
.SH NAME
stile\-try \- tries a thing \- twice
.SH SYNOPSIS
stile\-try [OPTIONS] FILE
.SH DESCRIPTION
.nf
stile\-try: tries a thing \- twice.

Examples:
  stile\-try \-\-load 12\-230j | sed 's/\en/ /'
\&.5 is a number
\&'quoted'
Usage: stile\-try [OPTIONS] FILE
.fi
PAGE

printf '#!/bin/bash\necho "Usage: x"\n' >"$work/stile-try"
if "$here/../../tools/man/make_man.sh" "$work/stile-try" "$work/other.1.gz" 2>"$work/err" || [[ -e $work/other.1.gz ]]; then
  echo "a help text without a description was accepted"
  exit 1
fi
grep -q 'must describe the tool' "$work/err"
