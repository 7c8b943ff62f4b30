# The plugin header as installed: plugin.h and lab.h alone; and the plugin guide, followed outside the source tree with
# nothing but what is installed. Every plugin that comes of it keeps the contract.
# installed.sh CMAKE BUILD_DIR OUT_DIR TEST_CONTRACT PYTHON SOURCE_DIR
set -eu
cmake=$1 build=$2 out=$3 contract=$4 python=$5 source=$6
rm -rf "$out"
mkdir -p "$out"
"$cmake" --install "$build" --prefix "$out/prefix" > "$out/install.log"
[ "$(ls "$out/prefix/include/dropwise")" = "lab.h
plugin.h" ]
"$python" "$source/tests/contract/follow_guide.py" "$source/docs/plugin-guide.md" "$out/prefix" "$out/reader"

mkdir "$out/built"
cp "$out"/reader/work/*.so "$out/built/"
"$contract" "$out/built"

# The header alone, as C++ of every compiler there is, without a warning.
for cxx in g++ clang++; do
  command -v "$cxx" > /dev/null || continue
  for standard in c++11 c++17 c++20; do
    printf '#include "dropwise/plugin.h"\nextern "C" const dw_plugin *dw_plugin_entry(void) { return nullptr; }\n' |
      "$cxx" -std=$standard -Wall -Wextra -Wpedantic -Werror -fsyntax-only -I "$out/prefix/include" -x c++ -
  done
  compiled=yes
done
[ "$compiled" = yes ]
