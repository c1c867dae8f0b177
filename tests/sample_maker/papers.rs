//! Permit, sign-in sheets and receipts, all invented and marked so.
//!
//! Takes `scenario`; gives small PDF and text files by path. A sign-in sheet holds counts, never a name.

use std::collections::BTreeMap;

use crate::scenario::{PULLS, SPENDING};

const MARK: &str = "INVENTED: no real firm, person or payment";

pub fn all() -> BTreeMap<String, Vec<u8>> {
    let mut papers = BTreeMap::new();
    for (date, grant, line, amount, receipt, kind, notes) in SPENDING {
        let number = receipt.bytes().map(u32::from).sum::<u32>();
        let lines = [
            MARK.to_string(),
            String::new(),
            format!("Receipt {number}"),
            format!("Date          {date}"),
            "To            Lantern Ponds Trust (invented)".to_string(),
            format!("For           {notes}"),
            format!("Budget line   {line} ({grant})"),
            format!("Kind          {kind}"),
            format!("Amount        USD {amount}"),
        ];
        papers.insert(format!("papers/{receipt}"), paper(receipt, &lines));
    }
    papers.insert("papers/permit-2025.pdf".to_string(), pdf(&permit()));
    papers.insert(
        "papers/sign-in-counts.csv".to_string(),
        sign_in().into_bytes(),
    );
    papers
}

fn paper(name: &str, lines: &[String]) -> Vec<u8> {
    if name.ends_with(".pdf") {
        pdf(lines)
    } else {
        (lines.join("\n") + "\n").into_bytes()
    }
}

fn permit() -> Vec<String> {
    [
        "INVENTED: no real office and no real permit",
        "",
        "Permit for hand-pulling a listed water plant",
        "Holder        Lantern Ponds Trust (invented)",
        "Waters        Lantern Pond, Wick Pond, Tallow Pond and the narrows",
        "Season        2025-05-01 to 2025-09-30",
        "",
        "1. By hand and from unpowered boats only.",
        "2. The east bank of Otter Narrows is closed until 1 July (nesting).",
        "3. Plants travel in closed bags, straight to the compost yard.",
        "4. Boats and gear are cleaned, drained and dried before other water.",
        "5. A suspected bloom ends the work and is reported the same day.",
    ]
    .map(String::from)
    .to_vec()
}

/// Heads by outing, as they stand on the sheets; the names stay with the Trust.
fn sign_in() -> String {
    let mut out = String::from("date,site,staff,volunteers,life jackets handed out\n");
    for pull in PULLS.iter().filter(|pull| !pull.staff.is_empty()) {
        let heads = |text: &str| text.parse::<u32>().unwrap_or(0);
        let jackets = heads(pull.staff) + heads(pull.volunteers);
        out += &format!(
            "{},{},{},{},{jackets}\n",
            pull.date, pull.site, pull.staff, pull.volunteers
        );
    }
    out
}

/// One page of typewriter lines as PDF 1.4 (ISO 32000-1 describes the same structure).
fn pdf(lines: &[String]) -> Vec<u8> {
    let mut content = String::from("BT /F1 11 Tf 16 TL 54 380 Td\n");
    for line in lines {
        let escaped = line
            .replace('\\', "\\\\")
            .replace('(', "\\(")
            .replace(')', "\\)");
        content += &format!("({escaped}) Tj T*\n");
    }
    content += "ET";
    let objects = [
        "<< /Type /Catalog /Pages 2 0 R >>".to_string(),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_string(),
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 432] /Contents 5 0 R \
         /Resources << /Font << /F1 4 0 R >> >> >>"
            .to_string(),
        "<< /Type /Font /Subtype /Type1 /BaseFont /Courier >>".to_string(),
        format!(
            "<< /Length {} >>\nstream\n{content}\nendstream",
            content.len()
        ),
    ];
    let mut out = String::from("%PDF-1.4\n");
    let mut places = Vec::new();
    for (index, object) in objects.iter().enumerate() {
        places.push(out.len());
        out += &format!("{} 0 obj\n{object}\nendobj\n", index + 1);
    }
    let table = out.len();
    out += &format!("xref\n0 {}\n0000000000 65535 f \n", objects.len() + 1);
    for place in places {
        out += &format!("{place:010} 00000 n \n");
    }
    out += &format!(
        "trailer\n<< /Size {} /Root 1 0 R >>\nstartxref\n{table}\n%%EOF\n",
        objects.len() + 1
    );
    out.into_bytes()
}
