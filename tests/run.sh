#!/bin/sh
# Installs what is missing, builds, and runs every test: as built for use (gcc), and under clang's address and
# undefined-behavior sanitizers.  With DROPWISE_CI=1 warnings are errors.  What takes long and rarely tells more is left to
# tests/long.sh.
set -eu
cd "$(dirname "$0")/.."
sh .ci/packages.sh build test
sh .ci/versions.sh build test

jobs=$(nproc)
werror=OFF
[ "${DROPWISE_CI:-0}" = 1 ] && werror=ON
for folder in tests/reference tests/browser; do
  sh .ci/npm.sh "$folder"
done

cmake -S . -B build-test -DCMAKE_BUILD_TYPE=Release -DDW_WERROR=$werror
cmake --build build-test -j "$jobs"
cmake -S . -B build-sanitize -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=RelWithDebInfo -DDW_WERROR=$werror -DDW_SANITIZE=ON
cmake --build build-sanitize -j "$jobs"

# Every commit tries other mutations of the fuzzers' seeds, and the same ones each time (tests/fuzz/replay.c).
DW_FUZZ_TURN=$(git rev-parse HEAD 2>/dev/null || echo none)
export DW_FUZZ_TURN

failed=0
# Labeled "costly": what drives a whole browser, starts or kills hundreds of processes, or simulates for minutes would find
# nothing more under the sanitizers than the tests of the same code do.
echo "== under the sanitizers"
ctest --test-dir build-sanitize -j "$jobs" --output-on-failure -LE '^(long|costly)$' || failed=1
echo "== as built for use"
ctest --test-dir build-test -j "$jobs" --output-on-failure -LE '^long$' || failed=1
exit $failed
