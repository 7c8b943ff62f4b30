#!/bin/sh
# Every C block of the plugin guide compiles, and its main example keeps the contract.
# guide.sh CC SOURCE_DIR OUT_DIR TEST_CONTRACT [FLAGS...]
set -eu
cc=$1 source=$2 out=$3 contract=$4
shift 4
rm -rf "$out"
mkdir -p "$out/plugins"
awk -v out="$out" '/^```c$/ { n++; inside = 1; next } /^```/ { inside = 0 } inside { print > (out "/block-" n ".c") }' \
  "$source/docs/plugin-guide.md"
for block in "$out"/block-*.c; do
  "$cc" "$@" -std=c11 -Wall -Wextra -Wpedantic -Werror -Wno-unused-function -fPIC -I "$source/core/include" \
    -include dropwise/plugin.h -include stdio.h -c "$block" -o "${block%.c}.o"
done
"$cc" "$@" -shared "$out/block-1.o" -o "$out/plugins/lighten.so" -lm
"$contract" "$out/plugins"
