"""Makes broken copies of an archive for verify-page.sh, with Python's standard library alone.

    verify-page.py ARCHIVE.zip FOLDER

Writes ZIPs (name.zip) and unpacked folders (name/) into FOLDER, and cases.json: for each its path, and the root to type, if any.
'redone' means that all lists and hashes were made anew, as only the packer could.
"""

import hashlib
import json
import pathlib
import shutil
import struct
import sys
import zipfile


def sha(data):
    return hashlib.sha256(data).digest()


def read(archive):
    with zipfile.ZipFile(archive) as zip_file:
        return {name: zip_file.read(name) for name in zip_file.namelist()}


def write(path, files):
    """A ZIP with the profile's fields, in the order of the names' bytes."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as zip_file:
        for name in sorted(files, key=lambda name: name.encode()):
            info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            info.create_system, info.external_attr, info.create_version, info.extract_version = 3, 0o100644 << 16, 10, 10
            zip_file.writestr(info, files[name])
    # Python states version 2.0 for every entry; the profile wants 1.0.
    data = bytearray(path.read_bytes())
    start = struct.unpack("<I", data[-6:-2])[0]
    at = start
    while data[at : at + 4] == b"PK\x01\x02":
        data[at + 4], data[at + 6] = 10, 10
        local = struct.unpack("<I", data[at + 42 : at + 46])[0]
        data[local + 4] = 10
        at += 46 + sum(struct.unpack("<HHH", data[at + 28 : at + 34]))
    path.write_bytes(bytes(data))


def tree_root(hashes):
    if len(hashes) < 2:
        return hashes[0] if hashes else sha(b"")
    k = 1
    while k * 2 < len(hashes):
        k *= 2
    return sha(b"\x01" + tree_root(hashes[:k]) + tree_root(hashes[k:]))


def line(path, content):
    return f"{hashlib.sha256(content).hexdigest()}  {path}\n"


def redo_tags(files, base):
    tags = sorted(name[len(base) :] for name in files if not name.startswith(base + "data/"))
    lines = [line(tag, files[base + tag]) for tag in tags if tag != "tagmanifest-sha256.txt"]
    files[base + "tagmanifest-sha256.txt"] = "".join(lines).encode()


def redo(files, base):
    payload = sorted((name[len(base) :] for name in files if name.startswith(base + "data/")), key=str.encode)
    files[base + "manifest-sha256.txt"] = "".join(line(path, files[base + path]) for path in payload).encode()
    leaves = [path for path in payload if path.startswith(("data/season/", "data/ledger/"))]
    records = [(path, len(files[base + path]), hashlib.sha256(files[base + path]).hexdigest()) for path in leaves]
    root = tree_root([sha(b"\x00" + f"{sum} {size} {path}\n".encode()) for path, size, sum in records]).hex()
    document = json.loads(files[base + "evidence.json"])
    old = document["root"]
    document["root"] = root
    document["leaves"] = [{"path": path, "size": size, "sha256": sum} for path, size, sum in records]
    files[base + "evidence.json"] = json.dumps(document, ensure_ascii=False).encode()
    info = files[base + "bag-info.txt"].decode().replace(old, root)
    oxum = f"Payload-Oxum: {sum_of(files, base, payload)}.{len(payload)}\n"
    lines = [oxum if text.startswith("Payload-Oxum") else text for text in info.splitlines(keepends=True)]
    files[base + "bag-info.txt"] = "".join(lines).encode()
    redo_tags(files, base)


def sum_of(files, base, payload):
    return sum(len(files[base + path]) for path in payload)


def main(archive, folder):
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True)
    honest = read(archive)
    base = next(iter(honest)).split("/")[0] + "/"
    root = json.loads(honest[base + "evidence.json"])["root"]
    photo = next(name for name in sorted(honest) if "/photos/" in name)
    pulls = base + "data/season/pulls.csv"
    cases = []

    def case(name, **more):
        cases.append({"name": name, "path": str(folder / name), **more})
        return folder / name

    def as_zip(name, change, **more):
        files = dict(honest)
        change(files)
        write(case(name + ".zip", **more), files)

    def as_folder(name, change, **more):
        files = dict(honest)
        change(files)
        place = case(name, **more)
        for path, content in files.items():
            target = place / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)

    def of_bytes(name, change, **more):
        data = bytearray(archive.read_bytes())
        case(name + ".zip", **more).write_bytes(bytes(change(data)))

    def edit(name, old, new):
        def change(files):
            assert old in files[name], (name, old)
            files[name] = files[name].replace(old, new, 1)

        return change

    def both(*changes):
        return lambda files: [change(files) for change in changes]

    def redone(change):
        return both(change, lambda files: redo(files, base))

    def tags_redone(change):
        return both(change, lambda files: redo_tags(files, base))

    def flip(name):
        def change(files):
            content = bytearray(files[name])
            content[len(content) // 2] ^= 1
            files[name] = bytes(content)

        return change

    def evidence(change):
        def run(files):
            document = json.loads(files[base + "evidence.json"])
            change(document)
            files[base + "evidence.json"] = json.dumps(document, ensure_ascii=False).encode()
            redo_tags(files, base)

        return run

    def nothing(files):
        pass

    shutil.copy(archive, case("whole.zip"))
    shutil.copy(archive, case("whole-right-root.zip", root=root))
    shutil.copy(archive, case("whole-root-in-words.zip", root=root, words=True))
    shutil.copy(archive, case("whole-wrong-root.zip", root="0" * 64))
    as_zip("whole-written-anew", nothing)
    as_folder("whole-folder", nothing, root=root)
    as_folder("redone-without-a-change", redone(nothing), root=root)

    as_zip("photo-flipped", flip(photo))
    as_folder("photo-flipped-folder", flip(photo))
    as_zip("report-flipped", flip(next(name for name in honest if name.endswith(".pdf"))))
    for tag in ["HOW-TO-VERIFY.txt", "bag-info.txt", "bagit.txt", "evidence.json", "manifest-sha256.txt", "tagmanifest-sha256.txt", "verify.html"]:
        as_zip(f"{tag}-flipped", flip(base + tag))
        as_zip(f"{tag}-missing", lambda files, tag=tag: files.pop(base + tag))
    as_zip("cell-edited", edit(pulls, b"2025", b"2026"))
    as_zip("cell-edited-redone", redone(edit(pulls, b"2025", b"2026")))
    as_zip("cell-edited-redone-right-root", redone(edit(pulls, b"2025", b"2026")), root=root)
    as_folder("missing", lambda files: files.pop(pulls))
    as_folder("added", lambda files: files.update({base + "data/season/more.txt": b"x"}))
    as_zip("added-tag-file", tags_redone(lambda files: files.update({base + "notes.txt": b"x"})))
    as_zip("added-below-seal", lambda files: files.update({base + "seal/notes.txt": b"x"}))
    as_zip("misplaced", redone(lambda files: files.update({base + "data/other/x": b"x"})))
    as_folder("renamed", lambda files: files.update({base + "data/season/pulls2.csv": files.pop(pulls)}))
    as_zip("same-but-case", redone(lambda files: files.update({base + "data/season/PULLS.csv": b"x"})))
    as_zip("folder-and-file", redone(lambda files: files.update({base + "data/season/pulls.csv/x": b"x"})))
    as_zip("bad-name", redone(lambda files: files.update({base + "data/season/CON.txt": b"x"})))
    as_zip("not-composed", redone(lambda files: files.update({base + "data/season/u\u0308.txt": b"x"})))
    as_zip("high-letters", redone(lambda files: files.update({base + "data/season/\U00010437.txt": b"x", base + "data/season/\uff21.txt": b"y"})))
    as_zip("leaf-dropped", evidence(lambda document: document["leaves"].pop()))
    as_zip("leaf-twice", evidence(lambda document: document["leaves"].append(document["leaves"][-1])))
    as_zip("leaf-withheld-but-here", evidence(lambda document: document["leaves"][-1].update(withheld="because")))
    as_zip("leaf-with-more", evidence(lambda document: document["leaves"][-1].update(more=1)))
    as_zip("root-edited", evidence(lambda document: document.update(root="1" * 64)))

    def without_photo(leaf):
        def change(files):
            document = json.loads(files[base + "evidence.json"])
            redone_files = {name: content for name, content in files.items() if name != photo}
            redo(redone_files, base)
            info = redone_files[base + "bag-info.txt"].decode()
            stated = next(text.split(": ")[1].strip() for text in info.splitlines() if text.startswith("Windrow-Root"))
            at = next(n for n, one in enumerate(document["leaves"]) if base + one["path"] == photo)
            document["leaves"][at] = leaf(document["leaves"][at])
            files.clear()
            files.update(redone_files)
            files[base + "evidence.json"] = json.dumps(document, ensure_ascii=False).encode()
            files[base + "bag-info.txt"] = info.replace(stated, root).encode()
            redo_tags(files, base)

        return change

    def hash_of(leaf):
        return sha(b"\x00" + f"{leaf['sha256']} {leaf['size']} {leaf['path']}\n".encode()).hex()

    as_zip("withheld", without_photo(lambda leaf: {**leaf, "withheld": "no consent"}), root=root)
    as_folder("withheld-folder", without_photo(lambda leaf: {**leaf, "withheld": "no consent"}), root=root)
    as_zip("withheld-hidden", without_photo(lambda leaf: {"leaf": hash_of(leaf), "withheld": "no consent"}), root=root)
    as_zip("withheld-no-reason", without_photo(lambda leaf: {**leaf, "withheld": " "}))
    as_zip("withheld-other-hash", without_photo(lambda leaf: {"leaf": "2" * 64, "withheld": "no consent"}), root=root)

    of_bytes("cut-short", lambda data: data[:-100])
    of_bytes("junk-after", lambda data: data + b"x")
    of_bytes("junk-before", lambda data: b"x" + data)
    of_bytes("comment", lambda data: data[:-2] + b"\x01\x00x")
    of_bytes("local-name", lambda data: data[:35] + bytes([data[35] ^ 1]) + data[36:])
    of_bytes("compressed", lambda data: data[:8] + b"\x08" + data[9:])
    (case("no-zip.zip")).write_bytes(b"nothing of the kind, but longer than the end of a ZIP")
    (case("empty.zip")).write_bytes(b"")
    (case("end-alone.zip")).write_bytes(b"PK\x05\x06" + bytes(18))

    (folder / "verify.html").write_bytes(honest[base + "verify.html"])
    (folder / "cases.json").write_text(json.dumps(cases))


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), sys.argv[2])
