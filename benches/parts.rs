//! What the inner parts cost by themselves: `cargo bench --bench parts`, or with a word to choose by, `… -- photo`.
//!
//! Everything comes from memory or from the system's memory of files; the disk is no part of it. Measures and judges nothing.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use divan::counter::{BytesCount, ItemsCount};
use divan::{Bencher, black_box};
use image::codecs::jpeg::JpegEncoder;
use image::{GrayImage, Luma, Rgb, RgbImage};
use windrow::archive::tree;
use windrow::photo::grouping;
use windrow::photo::likeness::{self, Look, NEAR};
use windrow::photo::{self, Photo, thumbnail};
use windrow::season::{self, FileEntry, PhotoReader, Season};
use windrow::{figure, hash};

fn main() {
    divan::main();
}

/// The invented season that comes with the sources.
const SEASON: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sample-season");

static READ: LazyLock<Season> =
    LazyLock::new(|| season::load(Path::new(SEASON), &|_| ()).expect("the sample season"));

/// Numbers that look random (G. Marsaglia 2003, Xorshift RNGs), the same each time.
struct Dice(u32);

impl Dice {
    fn next(&mut self) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0
    }
}

/// A made picture of 12 megapixels as a file, gone with the process's temporary folder.
struct Large {
    path: PathBuf,
    bytes: u64,
    _folder: tempfile::TempDir,
}

static LARGE: LazyLock<Large> = LazyLock::new(|| {
    let mut dice = Dice(0x9e37_79b9);
    let picture = RgbImage::from_fn(4032, 3024, |x, y| {
        let wave = 40.0 * ((f64::from(x) / 300.0).sin() + (f64::from(y) / 170.0).cos());
        let grain = dice.next() >> 28;
        Rgb([110, 140, 120].map(|part| (f64::from(part) + wave) as u8 + grain as u8))
    });
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("large.jpg");
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 88)
        .encode_image(&picture)
        .expect("into memory");
    fs::write(&path, &jpeg).expect("room on the disk");
    Large {
        path,
        bytes: jpeg.len() as u64,
        _folder: folder,
    }
});

/// A photo of the sample season with everything that a phone writes into one.
fn phone() -> &'static FileEntry {
    let is_photo = |file: &&FileEntry| file.path.ends_with(".jpg");
    READ.files.iter().find(is_photo).expect("a photo")
}

/// A hash and the metadata.
#[divan::bench]
fn photo_read(bencher: Bencher<'_, '_>) {
    let file = phone();
    bencher
        .counter(BytesCount::new(file.bytes))
        .bench(|| photo::read(black_box(&file.on_disk()), &file.path));
}

/// The same, and what near-same pictures are found by.
#[divan::bench]
fn photo_read_and_look(bencher: Bencher<'_, '_>) {
    let file = phone();
    bencher
        .counter(BytesCount::new(file.bytes))
        .bench(|| photo::read_and_look(black_box(&file.on_disk()), &file.path, |_| None));
}

/// SHA-256 of what is read from memory.
#[divan::bench]
fn hash_of_four_megabytes(bencher: Bencher<'_, '_>) {
    let bytes = vec![7; 4 << 20];
    bencher
        .counter(BytesCount::of_slice(&bytes))
        .bench(|| hash::of_reader(black_box(bytes.as_slice())));
}

/// A small copy of 12 megapixels: for a plate, a contact sheet, and at a size for which all has to be decoded.
#[divan::bench(args = [810, 160, 3600], sample_count = 10)]
fn photo_small_copy(bencher: Bencher<'_, '_>, edge: u32) {
    let large = &*LARGE;
    bencher
        .counter(BytesCount::new(large.bytes))
        .bench(|| thumbnail::upright(black_box(&large.path), 6, edge));
}

/// A look at 12 megapixels without a small copy inside.
#[divan::bench(sample_count = 10)]
fn photo_look_at_the_whole(bencher: Bencher<'_, '_>) {
    let large = &*LARGE;
    bencher.bench(|| likeness::look(black_box(&large.path), 1));
}

/// Which of so many pictures are near another.
#[divan::bench(args = [1000, 10_000, 50_000], sample_count = 5)]
fn photo_near_same(bencher: Bencher<'_, '_>, number: usize) {
    let mut dice = Dice(0x2545_f491);
    let looks: Vec<Option<Look>> = (0..number)
        .map(|_| {
            let picture = GrayImage::from_fn(8, 6, |_, _| Luma([(dice.next() >> 24) as u8]));
            Look::of(&picture)
        })
        .collect();
    bencher
        .counter(ItemsCount::new(number))
        .bench(|| grouping::near_same(black_box(&looks), NEAR));
}

/// The root over so many files.
#[divan::bench(args = [100, 50_000], sample_count = 20)]
fn tree_root(bencher: Bencher<'_, '_>, number: usize) {
    let leaves: Vec<hash::Hash> = (0..number)
        .map(|leaf| tree::leaf_hash(leaf.to_string().as_bytes()))
        .collect();
    bencher
        .counter(ItemsCount::new(number))
        .bench(|| tree::root(black_box(&leaves)));
}

/// Hands out records that were read before.
struct Known(BTreeMap<String, Photo>);

impl PhotoReader for Known {
    fn expect(&self, _: &[&FileEntry]) {}

    fn read(&self, file: &FileEntry) -> io::Result<Photo> {
        let photo = self.0.get(file.path.as_str()).cloned();
        photo.ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

/// The folder's list, its tables, outlines and tracks, and which pull each photo belongs to; no photo is opened.
#[divan::bench(sample_count = 20)]
fn season_tables_and_matching(bencher: Bencher<'_, '_>) {
    let photos = READ.photos.iter();
    let known = Known(
        photos
            .map(|photo| (photo.path.to_string(), photo.clone()))
            .collect(),
    );
    bencher.bench(|| season::load_by(black_box(Path::new(SEASON)), &known));
}

/// The ledger from the records.
#[divan::bench(sample_count = 20)]
fn figures(bencher: Bencher<'_, '_>) {
    let season = &*READ;
    bencher.bench(|| figure::compute(black_box(season)));
}
