#!/bin/sh
# Line coverage of core by the suite: sh tests/coverage.sh [CTEST OPTION...]
# The counters are files mapped into memory (clang's continuous mode), so what sealed, forked and killed processes ran
# counts, too. What no test ran is left in build-coverage/missed.txt. Ends with 1 below 95%. The options choose tests; by
# default all but those labeled "long".
set -eu
cd "$(dirname "$0")/.."
sh .ci/packages.sh build test coverage
jobs=$(nproc)
least=95
work=$(pwd)/build-coverage
[ $# -gt 0 ] || set -- -LE '^long$'

flags="-fprofile-instr-generate=$work/counts/%m%c.profraw -fcoverage-mapping -mllvm -runtime-counter-relocation=true"
cmake -S . -B "$work" -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=RelWithDebInfo -DCMAKE_C_FLAGS="$flags" >/dev/null
cmake --build "$work" -j "$jobs" >/dev/null
rm -rf "$work/counts" # of another build, or of programs that were run while building

# Counting takes its time, and the seal's probe can't start without a file; what fails is for tests/run.sh to tell.
ctest --test-dir "$work" -j "$jobs" "$@" >"$work/tests.log" || sed -n '/The following/,$p' "$work/tests.log"
llvm-profdata merge -sparse -o "$work/all.profdata" "$work"/counts/*.profraw

# measured COMMAND OPTION...: of core as its programs have it. What plugin.h has is for plugins, which are not measured.
measured() {
  command=$1
  shift
  (cd "$work" && llvm-cov "$command" dropwise -object dropwise-bench -object dropwise-decode -object dropwise-decode-heic \
    -instr-profile all.profdata -ignore-filename-regex='plugin\.h$' "$@")
}
measured show -show-line-counts-or-regions=false | awk '/^\/.*:$/ { file = $0; sub(".*/core/", "core/", file) }
  /^ *[0-9]+\| +0\|/ { print file $0 }' >"$work/missed.txt"
lines=$(measured report | awk '/^TOTAL/ { print $8, $9 }')
echo "$lines" | awk -v least=$least '{ share = 100 * ($1 - $2) / $1
  printf "%d lines, %d not run: %.2f%% (at least %d%%)\n", $1, $2, share, least
  exit share < least }'
