#!/usr/bin/env bash
# Every text that scripts/mutate replaces stands in the source, exactly once; and the check of it is able to fail.
set -euo pipefail
"$DRYFRONT_SOURCE_DIR/scripts/mutate" --check
mkdir -p elsewhere/scripts
cp "$DRYFRONT_SOURCE_DIR/scripts/mutate" elsewhere/scripts/mutate
if elsewhere/scripts/mutate --check 2>/dev/null; then
  echo "WRONG: mutations fit a tree without a source"
  exit 1
fi
