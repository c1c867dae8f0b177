#!/usr/bin/env bash
# Holds windrow against real faults of the machine: a full disk, a disk that can't be read in the middle of a file, media that can
# only be read, lost permissions, and a standard output that is full.
#
#   tests/interop/faults.sh SEASON WINDROW
#
# Needs bash, and root for the mounts and for giving up root; what isn't permitted is skipped, and said so. Changes nothing but a
# temporary folder. Prints one line a check; exit code 0 if all are ok, 1 if one failed, 2 if it could not be run.
set -u

if [ $# -ne 2 ] || [ ! -f "$1/season.toml" ] || [ ! -x "$2" ]; then
    echo "usage: $0 SEASON WINDROW" >&2
    exit 2
fi
original=$(realpath -- "$1") || exit 2
windrow=$(realpath -- "$2") || exit 2
here=$(cd -- "$(dirname -- "$0")" && pwd) || exit 2
folder=$(mktemp -d) || exit 2
mounts=()
tidy() {
    local at
    for ((at = ${#mounts[@]} - 1; at >= 0; at--)); do umount -- "${mounts[at]}"; done
    rm -rf -- "$folder"
}
trap tidy EXIT
chmod 755 "$folder"
cd -- "$folder" || exit 2

skipped=0
source "$here/checks.sh"
skip() {
    echo "SKIPPED $1"
    skipped=$((skipped + 1))
}
refuses() { # CODE WORDS COMMAND...: the command ends with the code and says the words
    local wanted=$1 words=$2
    shift 2
    "$@" >"$folder/said" 2>&1
    local code=$?
    [ "$code" -eq "$wanted" ] && grep -q -- "$words" "$folder/said" && ! grep -q "ZipWriter\|panicked" "$folder/said" && return
    echo "exit code $code, not $wanted; or no word of '$words':"
    cat "$folder/said"
    return 1
}
mounted() { # WHERE WORDS-OF-MOUNT...
    local where=$1
    shift
    mkdir -p -- "$where" && mount "$@" "$where" 2>"$folder/log" && mounts+=("$folder/$where")
}
sums() { (cd -- "$1" && find . -type f ! -name filler -exec sha256sum {} + | sort); }
same() { diff <(sums "$1") "$2"; }

cp -r -- "$original" season
chmod -R a+rX season
check "a first close-out" "$windrow" close season --output out
sums out >former

echo "-- a full disk"
if mounted small -t tmpfs -o size=64m tmpfs; then
    check "a close-out on a small disk" "$windrow" close season --output small/out
    sums small >small.former
    check "gives what it gives elsewhere" same small/out former
    echo "invented, amended" >season/papers/more.txt
    for left in 0 4096 65536 1000000 2500000 4000000 9000000 15000000; do
        rm -f small/filler
        room=$(df --output=avail -B1 small | tail -n 1)
        head -c $((room - left)) /dev/zero >small/filler
        check "$left bytes of room: told, with what to do" refuses 3 "make room" "$windrow" close season --output small/out
        check "and the former outputs are whole, with nothing beside them" same small small.former
    done
    rm small/filler
    check "with room again it succeeds" "$windrow" close season --output small/out
    check "and the archive is whole" "$windrow" verify small/out/season-evidence.zip
    rm season/papers/more.txt
else
    skip "a full disk: a file system may not be mounted here"
fi
if [ -c /dev/full ]; then
    for words in "figures season" "figures season --json" "check season --json"; do
        # shellcheck disable=SC2086
        check "a full standard output is told: $words" refuses 3 "standard output" bash -c '"$0" "$@" >/dev/full' "$windrow" $words
    done
fi

echo "-- a disk that can't be read in the middle of a file"
# A file system whose image is cut off under its feet: the blocks behind the cut give errors, as a bad sector does.
if truncate -s 96M image && mkfs.ext4 -q -F image 2>/dev/null && mounted bad -o loop image; then
    cp -r season bad/season
    head -c 30000000 /dev/urandom >bad/season/papers/scan.bin
    cp season/photos/2025-05-17/*.jpg bad/season/photos/ 2>/dev/null
    sync
    umount bad && unset 'mounts[-1]'
    # The same image, but reading beyond the cut fails: the device is as long as before, and its file is not.
    device=$(losetup --find --show image) && mount -o ro "$device" bad 2>"$folder/log" && mounts+=("$folder/bad")
    truncate -s 30M image
    echo 3 >/proc/sys/vm/drop_caches 2>/dev/null
    if cat bad/season/papers/scan.bin >/dev/null 2>&1; then
        skip "a disk that can't be read: the cut image gives no errors here"
    else
        refused() { refuses 3 "can't be read" "$windrow" close bad/season --output out; }
        check "the file is named and nothing is packed" refused
        check "with what to do" grep -q "another disk" said
        check "and the former outputs are whole" same out former
    fi
    [ -n "${device:-}" ] && umount bad 2>/dev/null && unset 'mounts[-1]'
    [ -n "${device:-}" ] && losetup -d "$device"
else
    skip "a disk that can't be read: an image may not be mounted here"
fi

echo "-- media that can only be read"
if mounted disc --bind season && mount -o remount,ro,bind "$folder/disc" 2>"$folder/log"; then
    check "a season on read-only media closes" "$windrow" close disc --output out-disc
    check "its archive is whole" "$windrow" verify out-disc/disc-evidence.zip
    check "check works there" "$windrow" check disc
else
    skip "read-only media: a folder may not be mounted here"
fi
if mounted sealed -t tmpfs -o size=64m tmpfs && cp -r season sealed/season && mount -o remount,ro "$folder/sealed" 2>"$folder/log"; then
    check "where the outputs can't go beside it, --output is named" refuses 3 "--output" "$windrow" close sealed/season
else
    skip "outputs beside read-only media: a file system may not be mounted here"
fi

echo "-- permissions"
if as_nobody=(setpriv --reuid 65534 --regid 65534 --clear-groups --) && "${as_nobody[@]}" true 2>/dev/null; then
    cp -- "$windrow" windrow.copy && chmod 755 windrow.copy
    mkdir -m 777 theirs && mkdir -m 755 ours
    nobody() { HOME=$folder/theirs XDG_CACHE_HOME=$folder/theirs/cache "${as_nobody[@]}" "$folder/windrow.copy" "$@"; }
    check "a folder that may not be written to is told" refuses 3 "permissions" nobody close season --output ours
    check "the season of another can be closed" nobody close season --output theirs/out
    sums theirs/out >theirs.former
    photo=$(find season/photos -name '*.jpg' | sort | head -n 1)
    chmod 000 "$photo"
    check "a photo that may not be read is told by name" refuses 3 "${photo##*/}" nobody close season --output theirs/out
    check "and the former outputs are whole" same theirs/out theirs.former
    chmod 644 "$photo"
    chmod 555 theirs/out
    check "a folder whose permission was lost is told" refuses 3 "permissions" nobody close season --output theirs/out
    chmod 755 theirs/out
    check "with permission again it succeeds" nobody close season --output theirs/out
else
    skip "permissions: this user may not become another"
fi

[ "$skipped" -gt 0 ] && echo "skipped: $skipped parts, for want of rights"
if [ "$failures" -gt 0 ]; then
    echo "failed: $failures of $checks checks"
    exit 1
fi
echo "ok: all $checks checks"
