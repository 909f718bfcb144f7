#!/usr/bin/env bash
# Bundles the parts of CodeMirror 6 that the bench uses into ../web/editor/codemirror.js, one file with
# no address in it, and their licences into ../web/editor/codemirror.LICENSE.txt. Run it after a change
# here; users need neither node nor npm.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp "$here/package.json" "$here/parts.mjs" "$work"
cd "$work"
npm install --silent --no-audit --no-fund --no-package-lock
npx esbuild parts.mjs --bundle --format=esm --minify --charset=ascii --legal-comments=none \
  --target=es2021 --log-level=warning --outfile="$here/../web/editor/codemirror.js"
{
  echo "codemirror.js bundles these packages, each under the licence that follows its name."
  for licence in node_modules/@codemirror/*/LICENSE node_modules/@lezer/*/LICENSE \
    node_modules/@marijn/*/LICENSE node_modules/{crelt,style-mod,w3c-keyname}/LICENSE; do
    package=$(dirname "$licence")
    version=$(node -p "require('./$package/package.json').version")
    printf '\n== %s %s\n\n' "${package#node_modules/}" "$version"
    cat "$licence"
  done
} >"$here/../web/editor/codemirror.LICENSE.txt"
