#!/bin/sh
# Installs what is missing of .ci/packages.txt.  Use: sh .ci/packages.sh build [test]
# Runs as root or through sudo; where neither is there, it says what to install and stops with 2.
set -u
here=$(cd "$(dirname "$0")" && pwd)
missing=""
for kind in "$@"; do
  for package in $(sed -n "s/^$kind //p" "$here/packages.txt"); do
    case $(dpkg-query -W -f '${Status}' "$package" 2>/dev/null) in
    "install ok installed") ;;
    *)
      # A newer node or npm may be there without Debian's package of that name.
      case $package in
      nodejs) command -v node >/dev/null 2>&1 && continue ;;
      npm) command -v npm >/dev/null 2>&1 && continue ;;
      esac
      missing="$missing $package"
      ;;
    esac
  done
done
[ -z "$missing" ] && exit 0

if [ "$(id -u)" = 0 ]; then
  as_root=""
elif command -v sudo >/dev/null 2>&1; then
  as_root="sudo"
else
  echo "These Debian packages are missing, and neither root nor sudo is at hand to install them:$missing" >&2
  echo "Ask whoever runs this machine for: apt-get install$missing" >&2
  exit 2
fi
echo "Installing:$missing" >&2
export DEBIAN_FRONTEND=noninteractive
# shellcheck disable=SC2086
$as_root apt-get -q update >&2 && $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q install -y --no-install-recommends $missing >&2 || {
  echo "The packages could not be installed; see apt's message above." >&2
  exit 2
}
