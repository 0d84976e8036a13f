#!/usr/bin/env bash
# scripts/check-includes accepts the source tree as it is and refuses a file that breaks a rule.
set -euo pipefail
check=$DRYFRONT_SOURCE_DIR/scripts/check-includes
"$check" "$DRYFRONT_SOURCE_DIR"

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
mkdir -p "$scratch"/solver/{physics,files/case,report,commands} "$scratch/postproc"
refuse() {  # room, include line
  printf '#pragma once\n#include %s\n' "$2" >"$scratch/$1/broken.hpp"
  if "$check" "$scratch" >"$scratch/log"; then
    echo "not refused: #include $2 in $1"
    exit 1
  fi
  grep -q "$1/broken.hpp:2: #include" "$scratch/log"
  rm "$scratch/$1/broken.hpp"
}
accept() {  # room, include line
  printf '#pragma once\n#include %s\n' "$2" >"$scratch/$1/sound.hpp"
  "$check" "$scratch" >"$scratch/log" || { cat "$scratch/log"; exit 1; }
  rm "$scratch/$1/sound.hpp"
}
refuse solver/physics '"simulation/run.hpp"'
refuse solver/physics '<fstream>'
refuse solver/physics '<toml++/toml.h>'
refuse solver/physics '"../numerics/grid.hpp"'
refuse solver/physics '<unlisted/library.hpp>'
refuse postproc '"simulation/run.hpp"'
refuse solver/files/case '"studies/parallel_runs.hpp"'
refuse solver/report '"commands/command.hpp"'
refuse solver/report '<CLI/CLI.hpp>'
refuse solver '"files/json.hpp"'
mkdir "$scratch/solver/new_room"
refuse solver/new_room '"numerics/grid.hpp"'
accept solver/files/case '"files/json.hpp"'
accept solver/report '"studies/parallel_runs.hpp"'
accept solver/commands '"postproc/figures.hpp"'
accept solver '"commands/command_line.hpp"'
