#!/bin/sh
# Everything: what tests/run.sh runs, then the tests labeled "long", the tests that it leaves out under the sanitizers,
# builds that it does not make (clang without sanitizers, gcc with them, the thread sanitizer, 16 bands), static analysis,
# what lines the tests run, and a minute of each fuzzer. The tests labeled "long" run as built for use, and under clang's
# sanitizers; two builds more would make two nights of one.
set -eu
cd "$(dirname "$0")/.."
sh .ci/packages.sh build test long
failed=0
sh tests/run.sh || failed=1

jobs=$(nproc)
# built NAME OPTION...: a build in build-NAME, warnings as errors.
built() {
  name=$1
  shift
  cmake -S . -B "build-$name" -DDW_WERROR=ON "$@"
  cmake --build "build-$name" -j "$jobs"
}
# ran NAME OPTION...: its tests.
ran() {
  name=$1
  shift
  echo "== $name"
  ctest --test-dir "build-$name" -j "$jobs" --output-on-failure "$@" || failed=1
}

built clang -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=Debug
built sanitize-gcc -DCMAKE_BUILD_TYPE=RelWithDebInfo -DDW_SANITIZE=ON
built tsan -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=RelWithDebInfo -DDW_TSAN=ON
built bands-16 -DCMAKE_BUILD_TYPE=Release -DDW_BANDS=16 -DBUILD_TESTING=OFF
ran test -L '^long$' --no-tests=ignore
ran sanitize -L '^(long|costly)$' -E '^browser$'
ran clang -LE '^long$' -E '^browser$'
ran sanitize-gcc -LE '^long$' -E '^browser$'
# What runs on several threads: the page asked from all sides, many photos at once.
ran tsan -R '^bench_together$'
build-tsan/dropwise find samples/crawfish-?.jpg samples/baitfish-?.jpg --jobs 4 --json >/dev/null || failed=1
sh tests/analyze.sh || failed=1
sh tests/coverage.sh || failed=1
sh tests/fuzz/long.sh 1 || failed=1
exit $failed
