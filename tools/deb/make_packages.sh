#!/usr/bin/env bash
# make_packages.sh BUILD: the Debian packages stile, libstile<version> and libstile-dev of a built folder, in BUILD/packages,
# each with what `cmake --install` puts into its component. Compiles nothing. Needs dpkg-dev, and a folder that was configured
# for the prefix /usr, because only then its libraries go where Debian has them. Not CPack: it writes no list of symbols with
# versions, no changelog and no overrides, which lintian asks for, and names no library package by its ABI.
set -euo pipefail
here=$(cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")" && pwd)
build=$(cd "${1:?usage: make_packages.sh BUILD}" && pwd)
of_build() { sed -n "s/^$1:[A-Z]*=//p" "$build/CMakeCache.txt"; }
complain() { echo "make_packages: $*" >&2; exit 1; }

[[ $(of_build CMAKE_INSTALL_PREFIX) == /usr ]] ||
  complain "$build is not for /usr; legal: the preset deb, or another with -D CMAKE_INSTALL_PREFIX=/usr"
version=$(of_build CMAKE_PROJECT_VERSION)
abi=${version%.*}
revision=$(dpkg-parsechangelog -l "$here/changelog" -S Version)
[[ ${revision%-*} == "$version" ]] || complain "tools/deb/changelog is of version ${revision%-*}, the build of $version"

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
umask 022
mkdir "$work/debian"
sed "s/@ABI@/$abi/" "$here/control" >"$work/debian/control"
cp "$here/changelog" "$work/debian/changelog"
cd "$work"

quietly() { "$@" >log 2>&1 || { cat log >&2; complain "failed: $*"; }; }

tree() {  # tree PACKAGE COMPONENT: what the package installs, and its documents for Debian
  mkdir -p "$1/DEBIAN" "$1/usr/share/doc/$1" "$1/usr/share/lintian/overrides"
  DESTDIR="$work/$1" quietly cmake --install "$build" --component "$2"
  gzip -9n <"$here/changelog" >"$1/usr/share/doc/$1/changelog.Debian.gz"
  sed "s/@PACKAGE@/$1/" "$here/overrides" >"$1/usr/share/lintian/overrides/$1"
}
linked() {  # linked PACKAGE FILE...: stripped, and the packages that have the libraries these files need
  strip --strip-unneeded --remove-section=.comment --remove-section=.note "${@:2}"
  quietly dpkg-shlibdeps -T"debian/$1.substvars" --warnings=1 "${@:2}"
}
deb() {  # deb PACKAGE: control files, then the package
  : >>"debian/$1.substvars"
  quietly dpkg-gencontrol -p"$1" -P"$1" -T"debian/$1.substvars" -fdebian/files
  (cd "$1" && find usr -type f -print0 | LC_ALL=C sort -z | xargs -0 md5sum >DEBIAN/md5sums)
  quietly dpkg-deb --root-owner-group --build "$1" "$build/packages"
}

tree stile tools
linked stile stile/usr/bin/*

tree "libstile$abi" library
library=$(find "libstile$abi" -type f -name 'libstile.so.*')
linked "libstile$abi" "$library"
quietly dpkg-gensymbols -v"$version" -p"libstile$abi" -P"libstile$abi" -e"$library" -Osymbols
sed '1a * Build-Depends-Package: libstile-dev' symbols >"libstile$abi/DEBIAN/symbols"
echo "libstile $abi libstile$abi (>= $version)" >"libstile$abi/DEBIAN/shlibs"
echo "activate-noawait ldconfig" >"libstile$abi/DEBIAN/triggers"

tree libstile-dev development

mkdir -p "$build/packages"
rm -f "$build"/packages/*.deb
for package in stile "libstile$abi" libstile-dev; do deb "$package"; done
