# Read by the run scripts (". .setup/prepare.sh", from the project's root): finds a Python, sets up .venv, and puts it first on
# the path. Where the script said FOR=tests, it also sees to the Debian packages that tests need.

say() { printf '%s\n' "$*" >&2; }

new_enough() {
    "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null
}

find_python() {
    for name in ${PYTHON:+"$PYTHON"} python3 python3.13 python3.12 python3.11 python; do
        if new_enough "$name"; then
            command -v "$name"
            return 0
        fi
    done
    return 1
}

may_install() {
    [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1
}

install_debian() {
    say "Installing $* with apt-get …"
    log=.cache/debian.log
    mkdir -p .cache
    export DEBIAN_FRONTEND=noninteractive
    if ! { apt-get -q update && apt-get -q install -y --no-install-recommends "$@"; } >"$log" 2>&1; then
        say "apt-get could not install $*: see $log. Install them by hand, then run this again."
        return 1
    fi
}

missing_debian() {
    sed 's/#.*//' .setup/debian.txt | while read -r name || [ -n "$name" ]; do
        [ -z "$name" ] || dpkg-query -W -f='${Status}' "$name" 2>/dev/null | grep -q 'ok installed' || printf '%s ' "$name"
    done
}

found=$(find_python) || {
    may_install && install_debian python3 python3-venv && found=$(find_python)
} || {
    say "Remnants needs Python 3.11 or later and found none. Install it, or name it: PYTHON=/path/to/python3 sh $0"
    exit 1
}

makes_environments() {
    "$found" -c 'import ensurepip, venv' 2>/dev/null
}

if ! makes_environments && ! "$found" .setup/prepare.py --ready; then
    may_install && install_debian python3-venv && makes_environments || {
        say "$found can't make virtual environments. Install its venv package (on Debian: apt-get install python3-venv), then run this again."
        exit 1
    }
fi

"$found" .setup/prepare.py || exit 1
PATH=$PWD/.venv/bin:$PATH
export PATH

if [ "${FOR-}" = tests ] && command -v dpkg-query >/dev/null 2>&1; then
    wanted=$(missing_debian)
    if [ -n "$wanted" ] && may_install; then
        # shellcheck disable=SC2086  # the names are words
        install_debian $wanted || exit 1
    elif [ -n "$wanted" ]; then
        say "Some tests need these Debian packages and will be skipped or fail without them: $wanted"
        say "Install them with: apt-get install $wanted"
    fi
fi
