#!/bin/sh
# Fuzzes with libFuzzer, under clang's sanitizers: sh tests/fuzz/long.sh MINUTES [TARGET...]
# Each target (all of them by default, in turns) runs so many minutes of the clock on what the runs before it found, which
# is kept in build-fuzz/fuzz/TARGET. An input that breaks something, leaks or takes over 2 seconds is kept in
# build-fuzz/fuzz/broke; put it into tests/fuzz/found/TARGET once its cause is mended.
set -eu
cd "$(dirname "$0")/../.."
minutes=${1:?how many minutes a target?}
shift
sh .ci/packages.sh build test
root=$(pwd)
failed=0
work=$root/build-fuzz/fuzz
[ $# -gt 0 ] || set -- $(sed -n 's/^ *dw_fuzz(\([a-z]*\) RUNS.*/\1/p' tests/fuzz/CMakeLists.txt)

cmake -S . -B build-fuzz -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=RelWithDebInfo -DDW_FUZZ=ON >/dev/null
for target; do
  cmake --build build-fuzz -j "$(nproc)" --target "fuzz_$target" "test_fuzz_$target" >/dev/null
done
mkdir -p "$work/broke"

# libFuzzer ends with 70 after an input that took too long by the clock; whether it was the input, drop_quick tells.
ended_slow() {
  [ "$1" -eq 70 ]
}
# drop_quick TARGET: on a busy machine the clock runs on while the processor is elsewhere. What takes 3 seconds of the
# processor at most, with the start of the program, is not kept.
drop_quick() {
  for kept in "$work/broke/$1"-slow-unit-* "$work/broke/$1"-timeout-*; do
    [ -f "$kept" ] || continue
    if (
      cd build-fuzz/tests/fuzz
      ulimit -t 3
      exec "./fuzz_$1" "$kept" >/dev/null 2>&1
    ); then
      rm "$kept"
    fi
  done
}

# run TARGET: one session; its figures are a line of sessions.txt: target, processor seconds, executions, edges.
run() {
  corpus=$work/$1
  mkdir -p "$corpus"
  for kept in "tests/fuzz/seeds/$1"/* "tests/fuzz/found/$1"/*; do
    [ ! -f "$kept" ] || cp "$kept" "$corpus/"
  done
  samples=$(sed -n "s/^ *dw_fuzz($1 RUNS [0-9]* SAMPLES \([^ ]*\).*/\1/p" tests/fuzz/CMakeLists.txt)
  [ -z "$samples" ] || cp samples/$samples "$corpus/"
  dictionary=
  [ ! -f "tests/fuzz/dict/$1.dict" ] || dictionary=-dict=$root/tests/fuzz/dict/$1.dict
  (
    cd build-fuzz/tests/fuzz && "./test_fuzz_$1" --write "$corpus" &&
      "./fuzz_$1" "$corpus" $dictionary -max_total_time=$((minutes * 60)) -timeout=20 -report_slow_units=2 \
        -rss_limit_mb=3000 -max_len=65536 -close_fd_mask=1 -print_final_stats=1 -artifact_prefix="$work/broke/$1-" \
        >"$work/$1.log" 2>&1
    ended=$?
    times >"$work/$1.times"
    exit $ended
  ) || ended_slow $? || {
    echo "$1 broke: see $work/$1.log"
    failed=1
  }
  drop_quick "$1"
  sed -n 2p "$work/$1.times" | tr 'ms' '  ' | awk -v target="$1" -v log_file="$work/$1.log" '{
    while ((getline line < log_file) > 0) {
      if (match(line, /number_of_executed_units: [0-9]+/)) runs = substr(line, RSTART + 26, RLENGTH - 26)
      if (match(line, /cov: [0-9]+/)) edges = substr(line, RSTART + 5, RLENGTH - 5)
    }
    print target, 60 * $1 + $2 + 60 * $3 + $4, runs + 0, edges + 0 }' >>"$work/sessions.txt"
}

for target; do
  run "$target"
done
echo "target, processor minutes, executions, edges (of all sessions in build-fuzz):"
awk '{ cpu[$1] += $2; runs[$1] += $3; if ($4 > edges[$1]) edges[$1] = $4 }
  END { for (t in cpu) printf "%-8s %6.1f %12.0f %7d\n", t, cpu[t] / 60, runs[t], edges[t] }' "$work/sessions.txt" | sort
[ -z "$(ls "$work/broke")" ] || {
  echo "Kept in $work/broke:"
  ls "$work/broke"
  failed=1
}
exit $failed
