"""Checks proofs that `windrow prove` wrote, by a second implementation: Python's standard library and RFC 9162 alone.

    proof.py PROOF ROOT FILE     one proof against a root from elsewhere and the file that it is about
    proof.py --all BAG WINDROW   for every leaf of an unpacked archive: the root over the files by the definition of
                                 RFC 9162, 2.1.1, and a proof made by windrow, checked by 2.1.3.2

Prints one line a check; exit code 0 if all are ok, 1 otherwise.
"""

import hashlib
import json
import pathlib
import subprocess
import sys
import tempfile


def sha(data):
    return hashlib.sha256(data).digest()


def tree_root(hashes):
    """RFC 9162, 2.1.1, as it is defined there."""
    if not hashes:
        return sha(b"")
    if len(hashes) == 1:
        return hashes[0]
    k = 1
    while k * 2 < len(hashes):
        k *= 2
    return sha(b"\x01" + tree_root(hashes[:k]) + tree_root(hashes[k:]))


def record(path, content):
    return f"{hashlib.sha256(content).hexdigest()} {len(content)} {path}\n".encode()


def root_of_proof(proof):
    """The root that a proof leads to, by the steps of RFC 9162, 2.1.3.2; None if it leads nowhere."""
    if (proof["format"], proof["hash"], proof["tree"]) != ("windrow proof 1", "SHA-256", "RFC 9162, SHA-256"):
        return None
    fn, sn = proof["index"], proof["leaves"] - 1
    if not 0 <= fn <= sn:
        return None
    r = sha(b"\x00" + proof["record"].encode())
    for step in map(bytes.fromhex, proof["hashes"]):
        if sn == 0:
            return None
        if fn % 2 == 1 or fn == sn:
            r = sha(b"\x01" + step + r)
            while fn % 2 == 0 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            r = sha(b"\x01" + r + step)
        fn, sn = fn >> 1, sn >> 1
    return r if sn == 0 else None


def check(proof, root, path, content):
    return proof["record"].encode() == record(path, content) and root_of_proof(proof) == root


def of_one(proof_file, root, file):
    proof = json.loads(pathlib.Path(proof_file).read_bytes())
    path = proof["record"].rstrip("\n").split(" ", 2)[2]
    holds = check(proof, bytes.fromhex(root), path, pathlib.Path(file).read_bytes())
    print(("ok      " if holds else "failed  ") + path)
    return holds


def of_all(bag, windrow):
    bag = pathlib.Path(bag)
    files = [f for d in ("data/season", "data/ledger") for f in (bag / d).rglob("*") if f.is_file()]
    contents = {f.relative_to(bag).as_posix(): f.read_bytes() for f in files}
    paths = sorted(contents, key=lambda path: path.encode())
    root = tree_root([sha(b"\x00" + record(path, contents[path])) for path in paths])
    stated = json.loads((bag / "evidence.json").read_bytes())["root"]
    print(("ok      " if root.hex() == stated else "failed  ") + "the root over the files is the one in evidence.json")
    good = root.hex() == stated
    failed = []
    # Every leaf of a small archive; of a large one some spread over all of it, the first and the last among them.
    step = max(1, len(paths) // 40)
    chosen = sorted(set(range(0, len(paths), step)) | {len(paths) - 1})
    with tempfile.TemporaryDirectory() as folder:
        for index in chosen:
            path = paths[index]
            out = pathlib.Path(folder) / "one.proof.json"
            subprocess.run([windrow, "prove", bag, path, "--output", out], check=True, stdout=subprocess.DEVNULL)
            proof = json.loads(out.read_bytes())
            altered = dict(proof, record=record(path, contents[path] + b"x").decode())
            ours = check(proof, root, path, contents[path]) and proof["index"] == index
            if not ours or root_of_proof(altered) == root:
                failed.append(path)
            # windrow's judgement of the same two, and of a root that is not this one.
            out.write_text(json.dumps(altered))
            if verify(windrow, out, root) != 1:
                failed.append(f"{path}, altered")
            out.write_text(json.dumps(proof))
            if verify(windrow, out, root, bag / path) != 0 or verify(windrow, out, sha(root)) != 1:
                failed.append(f"{path}, judged")
    for path in failed:
        print(f"        {path}")
    print(("failed  " if failed else "ok      ") + f"{len(chosen)} proofs hold, and no altered one does")
    return good and not failed


def verify(windrow, proof, root, file=None):
    words = [windrow, "verify", proof, "--root", root.hex()]
    if file is not None:
        words += ["--file", file]
    return subprocess.run(words, stdout=subprocess.DEVNULL).returncode


if __name__ == "__main__":
    words = sys.argv[1:]
    if len(words) == 3 and words[0] == "--all":
        sys.exit(0 if of_all(*words[1:]) else 1)
    if len(words) == 3:
        sys.exit(0 if of_one(*words) else 1)
    print(__doc__, file=sys.stderr)
    sys.exit(2)
