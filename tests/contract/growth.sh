# A plugin built against a header with fewer or more trailing fields than the host's loads and keeps the contract.
# growth.sh CC SOURCE_DIR OUT_DIR TEST_CONTRACT [FLAGS...]
set -eu
cc=$1 source=$2 out=$3 contract=$4
shift 4
rm -rf "$out"
for kind in short long; do
  mkdir -p "$out/$kind/dropwise" "$out/$kind/plugins"
  cp "$source/core/include/dropwise/lab.h" "$out/$kind/dropwise/"
done

# Version 1.0: without what stands after "since 1.1" in a struct, and without the functions that read it.
awk '/^static inline .*[ *](dw_plugin_guide|dw_plugin_value)\(/ { skip = 2 }
  /since 1\.1/ { skip = 1 }
  skip == 1 && /^}/ { skip = 0 }
  !skip { gsub(/4, 1, 0};/, "4, 1};"); gsub(/use, 1, 0, 0};/, "use, 1, 0};"); print }
  skip == 2 && /^}/ { skip = 0 }' "$source/core/include/dropwise/plugin.h" > "$out/short/dropwise/plugin.h"
# A later version: three fields more at the end of every struct that may grow.
sed -E 's/^} (dw_request|dw_plugin_aim|dw_host|dw_reply|dw_plugin|dw_plugin_solution|dw_plugin_blend);/  double later_1; const void *later_2; uint64_t later_3[8]; } \1;/;
  s/^#define DW_ABI_MINOR .*/#define DW_ABI_MINOR 9/' "$source/core/include/dropwise/plugin.h" > "$out/long/dropwise/plugin.h"
! grep -q 'since 1.1' "$out/short/dropwise/plugin.h"
[ "$(grep -c later_1 "$out/long/dropwise/plugin.h")" = 7 ]

awk '/^```c$/ && !n++ { inside = 1; next } /^```/ { inside = 0 } inside' "$source/docs/plugin-guide.md" > "$out/lighten.c"
for kind in short long; do
  newer=
  [ $kind = short ] || newer="$source/plugins/natural/natural.c $source/plugins/blend/blend.c" # they ask for what 1.0 lacks
  for file in "$out/lighten.c" "$source/plugins/clearness/clearness.c" "$source/plugins/browning/browning.c" $newer; do
    name=$(basename "$file" .c)
    "$cc" "$@" -std=c11 -Wall -Wextra -Wno-missing-field-initializers -Werror -fPIC -shared -fvisibility=hidden \
      -I "$out/$kind" "$file" -o "$out/$kind/plugins/$name.so" -lm
  done
  "$contract" "$out/$kind/plugins"
done
