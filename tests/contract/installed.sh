# The plugin header as installed: plugin.h and lab.h alone, found by pkg-config and by CMake's find_package, with which
# the installed template builds and keeps the contract.
# installed.sh CMAKE BUILD_DIR OUT_DIR TEST_CONTRACT [FLAGS...]
set -eu
cmake=$1 build=$2 out=$3 contract=$4
shift 4
rm -rf "$out"
mkdir -p "$out/by_pkg" "$out/by_cmake"
"$cmake" --install "$build" --prefix "$out/prefix" > "$out/install.log"
[ "$(ls "$out/prefix/include/dropwise")" = "lab.h
plugin.h" ]

export PKG_CONFIG_PATH="$out/prefix/share/pkgconfig"
template=$(pkg-config --variable=templatedir dropwise-plugin)
cc "$@" -std=c11 -Wall -Wextra -Werror -fPIC -shared -fvisibility=hidden $(pkg-config --cflags dropwise-plugin) \
  "$template/template.c" -o "$out/by_pkg/template.so" -lm
"$contract" "$out/by_pkg"

cat > "$out/by_cmake/CMakeLists.txt" <<END
cmake_minimum_required(VERSION 3.25)
project(mine C)
find_package(dropwise-plugin REQUIRED)
add_library(mine MODULE \${dropwise_plugin_template}/template.c)
target_link_libraries(mine PRIVATE dropwise::plugin m)
set_target_properties(mine PROPERTIES PREFIX "")
target_compile_options(mine PRIVATE $*)
END
"$cmake" -S "$out/by_cmake" -B "$out/by_cmake/build" -DCMAKE_PREFIX_PATH="$out/prefix" > "$out/by_cmake.log"
"$cmake" --build "$out/by_cmake/build" >> "$out/by_cmake.log"
mkdir "$out/built" && cp "$out/by_cmake/build/mine.so" "$out/built/"
"$contract" "$out/built"
