#!/usr/bin/env bash
# Holds windrow's signatures against ssh-keygen (OpenSSH), and its time stamps against an authority run by openssl on this computer.
#
#   tests/interop/seal.sh ARCHIVE.zip WINDROW
#
# Needs bash, unzip, ssh-keygen and openssl; reaches no network. All keys are made for this run and thrown away. Prints one line a
# check; exit code 0 if all are ok, 1 if one failed, 2 if it could not be run.
set -u

if [ $# -ne 2 ] || [ ! -f "$1" ] || [ ! -x "$2" ]; then
    echo "usage: $0 ARCHIVE.zip WINDROW" >&2
    exit 2
fi
original=$(realpath -- "$1") || exit 2
windrow=$(realpath -- "$2") || exit 2
here=$(cd -- "$(dirname -- "$0")" && pwd) || exit 2
folder=$(mktemp -d) || exit 2
trap 'rm -rf -- "$folder"' EXIT
cd -- "$folder" || exit 2

source "$here/checks.sh"
refuses() { # CODE WORDS COMMAND...: the command ends with the code and says the words
    local wanted=$1 words=$2
    shift 2
    "$@" >"$folder/said" 2>&1
    local code=$?
    [ "$code" -eq "$wanted" ] && grep -q -- "$words" "$folder/said" && return
    echo "exit code $code, not $wanted; or no word of '$words':"
    cat "$folder/said"
    return 1
}
fails() { ! "$@"; }
says() { # WORDS COMMAND...: the command ends well and says the words
    local words=$1
    shift
    "$@" >"$folder/said" 2>&1 && grep -q -- "$words" "$folder/said" && return
    cat "$folder/said"
    return 1
}
unpacked() { # ARCHIVE: leaves the bag in $bag
    rm -rf out && unzip -q -- "$1" -d out && bag=$(find "$folder/out" -mindepth 1 -maxdepth 1 -type d)
}
fingerprint() { "$windrow" verify "$1" --json | sed -n 's/^  "fingerprint": "\(.*\)",/\1/p'; }
flip() { # FILE OFFSET FROM-THE-END: turns one bit
    local size at byte
    size=$(stat -c %s "$1")
    at=$((size - $2))
    byte=$(od -An -tu1 -j "$at" -N 1 "$1")
    printf "\\$(printf '%03o' $((byte ^ 1)))" | dd of="$1" bs=1 seek="$at" conv=notrunc status=none
}

export LC_ALL=C.UTF-8
cp -- "$original" archive.zip
before=$(fingerprint archive.zip)

ssh-keygen -q -t ed25519 -N '' -C 'invented signer' -f key || exit 2
ssh-keygen -q -t ed25519 -N 'a pass phrase' -C 'invented' -f locked || exit 2
ssh-keygen -q -t ecdsa -N '' -C 'invented' -f other || exit 2
signed_as() { # KEY SIGNATURE FILE
    echo "signer@invented.example namespaces=\"windrow-evidence\" $(cut -d' ' -f1,2 <"$1")" >allowed
    ssh-keygen -Y verify -f allowed -I signer@invented.example -n windrow-evidence -s "$2" <"$3"
}
check "windrow signs" "$windrow" sign archive.zip --key key
check "the archive is whole, and the key is told" says "$(ssh-keygen -l -f key.pub | cut -d' ' -f2)" "$windrow" verify archive.zip --fingerprint "$before"
check "unzip takes the signed archive" unzip -tq archive.zip
unpacked archive.zip || exit 2
check "ssh-keygen -Y verify takes the signature" signed_as key.pub "$bag/seal/fingerprint.sig" "$bag/tagmanifest-sha256.txt"
check_novalidate() { ssh-keygen -Y check-novalidate -n windrow-evidence -s "$1" <"$2"; }
check "ssh-keygen -Y check-novalidate does too" check_novalidate "$bag/seal/fingerprint.sig" "$bag/tagmanifest-sha256.txt"
cp "$bag/tagmanifest-sha256.txt" plain
check "ssh-keygen signs" ssh-keygen -q -Y sign -f key -n windrow-evidence plain
check "and its signature is windrow's, byte for byte" cmp plain.sig "$bag/seal/fingerprint.sig"
check "the unpacked archive is whole as well" says "signed by the key" "$windrow" verify "$bag"
check "signing again with the same key changes nothing" "$windrow" sign archive.zip --key key
ssh-keygen -q -t ed25519 -N '' -C 'invented' -f second || exit 2
check "another signature needs --replace" refuses 2 "replace" "$windrow" sign archive.zip --key second
check "and takes its place with it" "$windrow" sign archive.zip --key second --replace
check "a signature beside the archive" "$windrow" sign archive.zip --key key --output beside.sig
check "is the same" cmp beside.sig plain.sig
check "a signature that ssh-keygen made is kept" "$windrow" sign archive.zip --signature plain.sig --replace
check "a locked key is told" refuses 2 "passphrase" "$windrow" sign archive.zip --key locked
check "a key of another kind is told" refuses 2 "no private Ed25519 key" "$windrow" sign archive.zip --key other
cp plain longer && echo x >>longer && ssh-keygen -q -Y sign -f key -n windrow-evidence longer
check "a signature over something else is not kept" refuses 1 "doesn't fit" "$windrow" sign archive.zip --signature longer.sig --replace
rm -f plain.sig && ssh-keygen -q -Y sign -f key -n file plain
check "nor one for another purpose" refuses 1 "purpose" "$windrow" sign archive.zip --signature plain.sig --replace
for file in seal/fingerprint.sig tagmanifest-sha256.txt; do
    unpacked archive.zip
    flip "$bag/$file" 50
    check "$file altered: windrow refuses" refuses 1 "not whole" "$windrow" verify "$bag"
    check "$file altered: ssh-keygen refuses" fails signed_as key.pub "$bag/seal/fingerprint.sig" "$bag/tagmanifest-sha256.txt"
done
unpacked archive.zip
echo x >"$bag/seal/other"
check "another file below seal/ is told" refuses 1 "seal/other" "$windrow" verify "$bag"
head -c 100000 /dev/zero >"$bag/seal/fingerprint.sig"
check "a seal beyond all bounds is refused" refuses 1 "longer than" "$windrow" verify "$bag"

# An authority: a root of its own, and a key for time stamps, of three kinds.
cat >authority.cnf <<'CNF'
[stamping]
extendedKeyUsage = critical, timeStamping
subjectKeyIdentifier = hash
[tsa]
default_tsa = one
[one]
serial = serial
crypto_device = builtin
default_policy = 1.3.6.1.4.1.99999.1
digests = sha1, sha256, sha512
ordering = yes
tsa_name = yes
accuracy = secs:1, millisecs:500
ess_cert_id_alg = sha256
signer_digest = sha256
[v1]
serial = serial
crypto_device = builtin
default_policy = 1.3.6.1.4.1.99999.1
digests = sha256
clock_precision_digits = 3
ess_cert_id_alg = sha1
signer_digest = sha512
CNF
echo 01 >serial
openssl req -x509 -newkey rsa:2048 -nodes -keyout ca.key -out ca.pem -days 30 -subj '/O=Invented Stamps/CN=Invented root' 2>/dev/null || exit 2
certificate() { # NAME EXTENSIONS OPTIONS OF THE KEY...
    local name=$1 extensions=$2
    shift 2
    openssl req -new -newkey "$@" -nodes -keyout "$name.key" -out "$name.csr" -subj "/O=Invented Stamps/CN=$name" 2>/dev/null &&
        openssl x509 -req -in "$name.csr" -CA ca.pem -CAkey ca.key -CAcreateserial -days 30 -extfile authority.cnf -extensions "$extensions" -out "$name.pem" 2>/dev/null
}
certificate rsa stamping rsa:2048 && certificate p256 stamping ec -pkeyopt ec_paramgen_curve:P-256 &&
    certificate p384 stamping ec -pkeyopt ec_paramgen_curve:P-384 || exit 2
answer() { # CERTIFICATE REQUEST ANSWER SECTION
    openssl ts -reply -config authority.cnf -section "$4" -queryfile "$2" -signer "$1.pem" -inkey "$1.key" -chain ca.pem -out "$3"
}
verified() { openssl ts -verify -in "$1" -data "$2" -CAfile ca.pem; }

check "windrow writes a request" "$windrow" timestamp archive.zip --request request.tsq --nonce 20261001
check "and the same one again" "$windrow" timestamp archive.zip --request again.tsq --nonce 20261001
check "byte for byte" cmp request.tsq again.tsq
check "openssl reads it" says "Certificate required: yes" openssl ts -query -in request.tsq -text
openssl ts -query -data plain -sha256 -cert -no_nonce -out theirs.tsq 2>/dev/null
"$windrow" timestamp archive.zip --request ours.tsq >/dev/null
check "without a nonce it is openssl's, byte for byte" cmp ours.tsq theirs.tsq
for kind in rsa p256 p384; do
    for section in one v1; do
        check "the authority answers ($kind, $section)" answer "$kind" request.tsq answer.tsr "$section"
        check "windrow takes the answer and keeps it" "$windrow" timestamp archive.zip --answer answer.tsr --request request.tsq --replace
        check "verify tells the authority" says "CN=$kind" "$windrow" verify archive.zip --fingerprint "$before"
        unpacked archive.zip
        check "openssl takes the kept answer" verified "$bag/seal/fingerprint.tsr" "$bag/tagmanifest-sha256.txt"
    done
done
check "the archive with both seals is unchanged by fingerprint" [ "$(fingerprint archive.zip)" = "$before" ]
check "another stamp needs --replace" answer rsa request.tsq second.tsr one
check "as it says" refuses 2 "replace" "$windrow" timestamp archive.zip --answer second.tsr

openssl ts -query -data longer -sha256 -cert -out longer.tsq 2>/dev/null && answer rsa longer.tsq longer.tsr one 2>/dev/null
check "an answer over something else is refused" refuses 1 "something else" "$windrow" timestamp archive.zip --answer longer.tsr --replace
check "by openssl as well" fails verified longer.tsr plain
"$windrow" timestamp archive.zip --request nonce.tsq --nonce 7 >/dev/null
check "an answer to another request is refused" refuses 1 "nonce" "$windrow" timestamp archive.zip --answer answer.tsr --request nonce.tsq --replace
openssl ts -query -data plain -sha256 -out bare.tsq 2>/dev/null && answer rsa bare.tsq bare.tsr one 2>/dev/null
check "an answer without a certificate is refused" refuses 1 "certificate" "$windrow" timestamp archive.zip --answer bare.tsr --replace
openssl ts -query -data plain -sha512 -cert -out other.tsq 2>/dev/null && answer rsa other.tsq other.tsr one 2>/dev/null
check "an answer over another hash is told" refuses 1 "SHA-256" "$windrow" timestamp archive.zip --answer other.tsr --replace
openssl ts -query -data plain -sha384 -cert -out refused.tsq 2>/dev/null && answer rsa refused.tsq refused.tsr one 2>/dev/null
check "a refusal of the authority is told" refuses 1 "refused to stamp" "$windrow" timestamp archive.zip --answer refused.tsr --replace

# Any bit of the answer: whatever openssl refuses, windrow must refuse.
answer rsa request.tsq answer.tsr one 2>/dev/null
disagreements() {
    local size at wrong=0
    size=$(stat -c %s answer.tsr)
    unpacked archive.zip
    for at in $(seq 1 29 "$size"); do
        cp answer.tsr "$bag/seal/fingerprint.tsr"
        flip "$bag/seal/fingerprint.tsr" "$at"
        if "$windrow" verify "$bag" >/dev/null && ! verified "$bag/seal/fingerprint.tsr" "$bag/tagmanifest-sha256.txt" >/dev/null 2>&1; then
            echo "bit at $at bytes from the end: windrow takes it, openssl doesn't"
            wrong=1
        fi
    done
    return "$wrong"
}
check "altered answers are refused wherever openssl refuses" disagreements

if [ "$failures" -gt 0 ]; then
    echo "failed: $failures of $checks checks"
    exit 1
fi
echo "ok: all $checks checks"
