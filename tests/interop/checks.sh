# What the scripts here share: one line a check, and how many there were. Sourced; `folder` is the script's temporary folder.

failures=0
checks=0
check() { # NAME COMMAND...
    local name=$1
    shift
    checks=$((checks + 1))
    if "$@" >"$folder/log" 2>&1; then
        echo "ok      $name"
    else
        echo "failed  $name"
        sed 's/^/        /' "$folder/log"
        failures=$((failures + 1))
    fi
}
