#!/bin/sh
# Installs what is missing, builds, and runs every test: once as built for use, once under the address and
# undefined-behavior sanitizers.  With PT_CI=1 warnings are errors.
set -eu
cd "$(dirname "$0")/.."
sh .ci/packages.sh build test

jobs=$(nproc)
werror=OFF
[ "${PT_CI:-0}" = 1 ] && werror=ON
export NPM_CONFIG_UPDATE_NOTIFIER=false
for folder in tests/reference tests/browser; do
  [ -f "$folder/package.json" ] && (cd "$folder" && npm ci --silent --no-audit --no-fund)
done

cmake -S . -B build-test -DCMAKE_BUILD_TYPE=Release -DPT_WERROR=$werror
cmake --build build-test -j "$jobs"
cmake -S . -B build-clang -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=Debug -DPT_WERROR=$werror
cmake --build build-clang -j "$jobs"
cmake -S . -B build-sanitize -DCMAKE_BUILD_TYPE=RelWithDebInfo -DPT_WERROR=$werror -DPT_SANITIZE=ON
cmake --build build-sanitize -j "$jobs"

failed=0
# What drives a whole browser, starts or kills hundreds of processes, or simulates for minutes would find nothing more
# under the sanitizers than the tests of the same code do.
echo "== under the sanitizers"
ctest --test-dir build-sanitize -j "$jobs" --output-on-failure -E '^(browser|book_kill|book_commands|samples_rerun|fit_loop|fit_figures|drift)$' ||
  failed=1
echo "== as built for use"
ctest --test-dir build-test -j "$jobs" --output-on-failure || failed=1
exit $failed
