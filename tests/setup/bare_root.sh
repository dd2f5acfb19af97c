#!/usr/bin/env bash
# bare_root.sh [--packages] COMMAND...: do the commands pass on a machine that has nothing? Builds a Debian 12 root of
# the smallest kind with git, clones what is committed here into a path with a space, and runs the commands in it, one
# after the other, as root; then all of them once more as an ordinary user who owns the clone, with the quick part of the
# suite: what depends on who runs it is there. Output is theirs; the status is that of the first command that fails.
# --packages: last the Debian packages are made of the user's build/release, judged by lintian, and used
# (tests/install/use_packages.sh) in a second root that has had none of these commands.
#
#   tests/setup/bare_root.sh --packages 'tools/setup demo' 'tools/setup test'
#
# Needs root and a Debian mirror: that of this machine, with its proxy. Nothing else of this machine is seen inside, and
# nothing stays behind. STILE_WERROR is handed on.
set -euo pipefail
packages=
if [[ ${1-} == --packages ]]; then
  packages=yes
  shift
fi
(($#)) || { echo "usage: bare_root.sh [--packages] COMMAND..." >&2; exit 2; }
[[ $(id -u) == 0 ]] || { echo "bare_root: only root can build a root" >&2; exit 2; }
top=$(cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")/../.." && pwd)
export DEBIAN_FRONTEND=noninteractive
say() { printf 'bare_root: %s\n' "$*" >&2; }

command -v mmdebstrap >/dev/null || { apt-get update && apt-get install -y --no-install-recommends mmdebstrap; } >&2

work=$(mktemp -d "${TMPDIR:-/tmp}/stile-bare-root.XXXXXX")
# The mounts below live in a namespace of their own; were one still seen here, it would not be entered.
trap 'rm -rf --one-file-system "$work"' EXIT
trap 'exit 130' INT
trap 'exit 143' TERM
chmod 755 "$work"
root=$work/root

# Where packages come from, and how they are fetched, is this machine's business.
apt-get indextargets --format 'deb $(REPO_URI) $(RELEASE) $(COMPONENT)' 'Created-By: Packages' |
  grep -E ' bookworm(-updates|-security)? main$' | sort -u >"$work/sources" ||
  { say "apt knows no mirror of Debian 12 (bookworm) here"; exit 2; }
apt-config dump | grep -E '^Acquire::(https?::|Check-|Retries|ForceIP)' >"$work/apt.conf" || true
handed_on=()
for name in http_proxy https_proxy no_proxy STILE_WERROR; do
  [[ -z ${!name-} ]] || handed_on+=("$name=${!name}")
done

say "building a root from $(head -n 1 "$work/sources")"
mmdebstrap --quiet --mode=root --variant=minbase --include=git --format=directory --aptopt="$work/apt.conf" \
  bookworm "$root" "$work/sources" >&2
cp --dereference /etc/resolv.conf /etc/hosts "$root/etc/"
chroot "$root" useradd --create-home walker

clone="/home/walker/a hill/stile"
git -C "$top" diff --quiet HEAD -- || say "what is not committed is not in the clone"
git -c safe.directory='*' clone --quiet --no-hardlinks "$top" "$root$clone"

[[ -z $packages ]] || cp -a "$root" "$work/second"

inside() {  # inside USER COMMAND: in the clone, with nothing but a plain environment
  local home=/root
  [[ $1 == root ]] || home=/home/$1
  say "as $1: $2"
  unshare --mount bash -c 'mount -t proc proc "$1/proc" && mount --rbind /dev "$1/dev" && exec chroot --userspec="$2" "${@:3}"' \
    bash "$root" "$1:$1" "$root" \
    /usr/bin/env -i "HOME=$home" PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin "${handed_on[@]}" \
    bash -c "cd '$clone' && $2" </dev/null || { local status=$?; say "status $status: as $1: $2"; exit "$status"; }
}
for command; do inside root "$command"; done
chroot "$root" chown -R walker:walker "${clone%/*}"
handed_on+=(STILE_TEST_PRESET=quick)
for command; do inside walker "$command"; done
[[ -n $packages ]] || exit 0

inside root 'tools/setup packages dpkg-dev lintian'
inside walker 'cmake --preset release -D CMAKE_INSTALL_PREFIX=/usr && cmake --build --preset release --target packages'
inside walker 'tests/install/lintian.sh build/release/packages'
cp -r "$root$clone/build/release/packages" "$work/second/root/packages"
root=$work/second
inside root 'tests/install/use_packages.sh /root/packages'
