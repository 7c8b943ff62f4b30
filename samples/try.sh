#!/bin/sh
# From a fresh clone to a first report: installs what is missing, builds, reads a sample photo, asks for advice
# and leaves a report in out/.  Use: sh samples/try.sh
set -eu
cd "$(dirname "$0")/.."

sh .ci/packages.sh build
cmake -S . -B build -DCMAKE_BUILD_TYPE=Release -DBUILD_TESTING=OFF >/dev/null
cmake --build build --parallel

dropwise="build/dropwise"
sample="crawfish-2"
mkdir -p out

echo
echo "The first batch of the creek crawfish, as it is found in the photo, nothing marked:"
"$dropwise" find "samples/$sample.jpg" --layers 3 --picture "out/$sample.png"

echo
# What is in the cups, 4 fl oz each, in bottles of the starter shelf.
echo "What to add to which cup, to come to the bait that worked:"
"$dropwise" advise --photo "samples/$sample.jpg" \
  --targets samples/patterns.json --pattern "creek crawfish" --plugins build/plugins \
  --cup "back:brown=8;orange=1;black=1;melon-green=1;white=1" --cup "middle:orange=9;yellow=3;white=3" \
  --cup "belly:yellow=8;white=24;brown=4" \
  --html "out/$sample.html"

echo
echo "What was found, drawn: $(pwd)/out/$sample.png"
echo "The report: $(pwd)/out/$sample.html"
