#!/bin/sh
# Installs the npm packages that a folder of tests has pinned.  Use: sh .ci/npm.sh FOLDER
# A package that does not support this machine's node is an error (engine-strict in the folder's .npmrc).
set -eu
cd "$1"
export NPM_CONFIG_UPDATE_NOTIFIER=false
npm ci --loglevel=error --no-audit --no-fund || {
  echo "The npm packages of $1 could not be installed; see npm's message above." >&2
  exit 2
}
