#!/bin/sh
# Prints the versions that a run stands on.  Use: sh .ci/versions.sh build [test]
# Where one is too old it says so in one sentence and stops with 2.
set -u

# at_least HAVE WANT: whether the dotted version HAVE is WANT or newer.
at_least() { [ "$(printf '%s\n%s\n' "$2" "$1" | sort -V | head -n 1)" = "$2" ]; }

# need NAME WANT HAVE: one line of the list.
need() {
  if [ -z "$3" ]; then
    echo "$1 cannot be found, or does not say its version; version $2 or newer is needed." >&2
    exit 2
  fi
  printf '  %-16s %s\n' "$1" "$3"
  at_least "$3" "$2" && return
  echo "$1 is $3 here, and version $2 or newer is needed: install Debian 12's package of it, or a newer one." >&2
  exit 2
}

# said COMMAND...: the first dotted number of what it prints.
said() { "$@" 2>/dev/null | grep -oE '[0-9]+(\.[0-9]+)+' | head -n 1; }

library() { need "$1" "$3" "$(pkg-config --modversion "$2" 2>/dev/null)"; }

echo "Versions:"
need gcc 12 "$(gcc -dumpfullversion 2>/dev/null)"
need cmake 3.25 "$(said cmake --version)"
library libjpeg-turbo libjpeg 2.1
library libpng libpng 1.6
library LittleCMS lcms2 2.14
library libexif libexif 0.6.24
library SQLite sqlite3 3.40
library jansson jansson 2.14
library libmicrohttpd libmicrohttpd 0.9.75
library LAPACKE lapacke 3.11
library nettle nettle 3.8
library libqrencode libqrencode 4.1
library libheif libheif 1.15
case " $* " in *" test "*) ;; *) exit 0 ;; esac
need clang 14 "$(said clang --version)"
need cmocka 1.1.5 "$(pkg-config --modversion cmocka 2>/dev/null)"
need python3 3.11 "$(said /usr/bin/python3 --version)"
need skimage 0.19 "$(said /usr/bin/python3 -c 'import skimage; print(skimage.__version__)')"
need scipy 1.10 "$(said /usr/bin/python3 -c 'import scipy; print(scipy.__version__)')"
need node 18 "$(said node --version)"
need npm 9 "$(said npm --version)"
need chromium 120 "$(said chromium --version)"
