# Sourced by the scripts that open a page in a headless Chromium.
#
#   browser_in FOLDER SCRIPT    puts the script there, with the driver and the rules for accessibility; their log is FOLDER/log
#
# Sets `browser`. Exit code 2 where there is no Chromium; 1 where npm brought nothing.

export LC_ALL=C.UTF-8
browser=${CHROMIUM:-$(command -v chromium)} || { echo "chromium is not installed" >&2; exit 2; }

browser_in() {
    cp -- "$2" "$1/" || exit 2
    (cd -- "$1" && npm install --silent --no-audit --no-fund --no-save playwright-core@1.65 axe-core@4.14) >"$1/log" 2>&1
}
