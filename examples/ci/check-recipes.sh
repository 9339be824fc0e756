#!/bin/sh
# Checks the recipes a change touches and leaves the reports in a folder.
#
#   check-recipes.sh REVISION [FOLDER]
#
# REVISION: what the change is compared with, such as origin/main. FOLDER: where the recipes are.
# RECIPE_TOOLS: the command, if it is not on the path. REPORTS: where the reports go.
# BASELINE: findings accepted so far, recipe-tools-baseline.json if there is such a file.
# The exit code is that of the check: 0 clean, 1 findings, 2 wrong use, 3 something unchecked.
set -eu

revision="${1:?name the revision the change is compared with, such as origin/main}"
folder="${2:-.}"
reports="${REPORTS:-reports}"

baseline="${BASELINE:-recipe-tools-baseline.json}"
set -- check "$folder"
if [ -f "$baseline" ]; then
  set -- "$@" --baseline "$baseline"
fi

mkdir -p "$reports"
exec ${RECIPE_TOOLS:-recipe-tools} "$@" \
  --changed-since "$revision" \
  --color never \
  --format "${FORMAT:-text}" \
  --output "sarif=$reports/recipes.sarif" \
  --output "junit=$reports/recipes.junit.xml" \
  --output "gitlab=$reports/recipes.codequality.json" \
  --output "rdjson=$reports/recipes.rdjson" \
  --output "markdown=$reports/recipes.md" \
  --output "html=$reports/recipes.html"
