#!/bin/sh
# From a fresh clone to a first report: installs what is missing, builds, reads a sample photo, asks for advice
# and leaves a report in out/.  Use: sh samples/try.sh [BUILD OUT]
# BUILD  a folder that was built already: nothing is installed or built; OUT  where the report goes.
set -eu
build=${1:-build}
out=${2:-out}
cd "$(dirname "$0")/.."

if [ $# -eq 0 ]; then
  sh .ci/packages.sh build
  cmake -S . -B "$build" -DCMAKE_BUILD_TYPE=Release -DBUILD_TESTING=OFF >/dev/null
  cmake --build "$build" --parallel
fi

dropwise="$build/dropwise"
sample="crawfish-2"
mkdir -p "$out"

echo
echo "The first batch of the creek crawfish, as it is found in the photo, nothing marked:"
"$dropwise" find "samples/$sample.jpg" --layers 3 --picture "$out/$sample.png"

echo
# What is in the cups, 4 fl oz each, in bottles of the starter shelf: a book of one's own, with other bottles, is looked for elsewhere.
echo "What to add to which cup, to come to the bait that worked:"
XDG_DATA_HOME=$(cd "$out" && pwd) "$dropwise" advise --photo "samples/$sample.jpg" \
  --targets samples/patterns.json --pattern "creek crawfish" --plugins "$build/plugins" \
  --cup "back:brown=8;orange=1;black=1;melon-green=1;white=1" --cup "middle:orange=9;yellow=3;white=3" \
  --cup "belly:yellow=8;white=24;brown=4" \
  --html "$out/$sample.html"

echo
echo "What was found, drawn: $(cd "$out" && pwd)/$sample.png"
echo "The report: $(cd "$out" && pwd)/$sample.html"
