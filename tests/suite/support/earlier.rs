//! The archive of an invented earlier season, small and whole, made without the rooms that make a real one.

use std::path::Path;

use serde_json::{Map, json};
use windrow::archive::{BagDescription, Evidence, Item, Packed, pack};

/// Packs an archive of a year with a ledger of these figures and these photos, by path below the season folder.
pub fn archive(
    output: &Path,
    year: i32,
    figures: &[(&str, f64)],
    photos: &[(&str, Vec<u8>)],
) -> Packed {
    let figures: Map<String, serde_json::Value> = figures
        .iter()
        .map(|(name, value)| ((*name).to_owned(), json!({"value": value})))
        .collect();
    let ledger = json!({"format": 1, "figures": figures}).to_string();
    let settings =
        format!("programme = \"Test Pond Trust (invented)\"\nyear = {year}\ntime_zone = \"UTC\"\n");
    let mut items = vec![
        Item::from_bytes("season/season.toml", settings.into_bytes()),
        Item::from_bytes("ledger/figures.json", ledger.into_bytes()),
        Item::from_bytes("report/earlier-report.pdf", b"%PDF-invented".to_vec()),
    ];
    for (path, bytes) in photos {
        items.push(Item::from_bytes(format!("season/{path}"), bytes.clone()));
    }
    let description = BagDescription {
        base: format!("season-{year}-evidence"),
        season: format!("Season {year}"),
        organisation: "Test Pond Trust (invented)".into(),
        description: "An invented earlier season".into(),
        bagging_date: format!("{year}-11-01"),
        tool_version: "0.1.0".into(),
    };
    std::fs::create_dir_all(output.parent().unwrap()).unwrap();
    let evidence = Evidence::of(&items);
    pack(items, &evidence, &description, output, &mut |_| {}).unwrap()
}
