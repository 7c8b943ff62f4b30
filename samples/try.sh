#!/bin/sh
# From a fresh clone to a first report: installs what is missing, builds, reads a sample photo, asks for advice
# and leaves a report in out/.  Use: sh samples/try.sh
set -eu
cd "$(dirname "$0")/.."

sh .ci/packages.sh build
cmake -S . -B build -DCMAKE_BUILD_TYPE=Release -DBUILD_TESTING=OFF >/dev/null
cmake --build build --parallel

pourtone="build/pourtone"
sample="crawfish-2"
mkdir -p out

echo
echo "The first batch of the creek crawfish, as the photo shows it:"
"$pourtone" read "samples/$sample.jpg" --marks "samples/$sample.marks.json"

echo
echo "What to add to which cup, to come to the bait that worked:"
"$pourtone" advise --photo "samples/$sample.jpg" --marks "samples/$sample.marks.json" \
  --targets samples/patterns.json --pattern "creek crawfish" --plugins build/plugins \
  --html "out/$sample.html"

echo
echo "The report: $(pwd)/out/$sample.html"
