//! Words that several parts of the report share: counted things, and the ends and beginnings of sentences.

use crate::figure::Standing;
use crate::words;
use crate::words::Words;

/// `1 pull`, `1,200 pulls`.
pub fn pulls(count: usize) -> Words {
    words!("{count}\u{a0}{count:pull|pulls}", count)
}

/// `1 site`, `1,200 sites`.
pub fn sites(count: usize) -> Words {
    words!("{count}\u{a0}{count:site|sites}", count)
}

/// `1 photo station`, `1,200 photo stations`.
pub fn stations(count: usize) -> Words {
    words!("{count}\u{a0}{count:photo station|photo stations}", count)
}

/// `1 weighing`, `1,200 weighings`.
pub fn weighings(count: usize) -> Words {
    words!("{count}\u{a0}{count:weighing|weighings}", count)
}

/// `1 container`, `1,200 containers`.
pub fn weighed_containers(count: usize) -> Words {
    words!("{count}\u{a0}{count:container|containers}", count)
}

/// `1 record`, `1,200 records`.
pub fn records(count: usize) -> Words {
    words!("{count}\u{a0}{count:record|records}", count)
}

/// `1 file`, `1,200 files`.
pub fn files(count: usize) -> Words {
    words!("{count}\u{a0}{count:file|files}", count)
}

/// `1 photo`, `1,200 photos`.
pub fn photos(count: usize) -> Words {
    words!("{count}\u{a0}{count:photo|photos}", count)
}

/// `1 pair`, `1,200 pairs`.
pub fn pairs(count: usize) -> Words {
    words!("{count}\u{a0}{count:pair|pairs}", count)
}

/// `1 target`, `1,200 targets`.
pub fn targets(count: usize) -> Words {
    words!("{count}\u{a0}{count:target|targets}", count)
}

/// `1 promise`, `1,200 promises`.
pub fn promises(count: usize) -> Words {
    words!("{count}\u{a0}{count:promise|promises}", count)
}

/// `1 incident`, `1,200 incidents`.
pub fn incidents(count: usize) -> Words {
    words!("{count}\u{a0}{count:incident|incidents}", count)
}

/// `1 other site`, `1,200 other sites`.
pub fn other_sites(count: usize) -> Words {
    words!("{count}\u{a0}{count:other site|other sites}", count)
}

/// `1 error`, `1,200 errors`.
pub fn errors(count: usize) -> Words {
    words!("{count}\u{a0}{count:error|errors}", count)
}

/// `1 doubt`, `1,200 doubts`.
pub fn doubts(count: usize) -> Words {
    words!("{count}\u{a0}{count:doubt|doubts}", count)
}

/// `1 remark`, `1,200 remarks`.
pub fn remarks(count: usize) -> Words {
    words!("{count}\u{a0}{count:remark|remarks}", count)
}

/// `1 finding`, `1,200 findings`.
pub fn findings(count: usize) -> Words {
    words!("{count}\u{a0}{count:finding|findings}", count)
}

/// `1 met`, `2 not known`.
pub fn so_many(count: usize, standing: Standing) -> Words {
    match standing {
        Standing::Met => words!("{count} met", count),
        Standing::Missed => words!("{count} missed", count),
        Standing::Uncertain => words!("{count} uncertain", count),
        Standing::Unknown => words!("{count} not known", count),
    }
}

/// The sentence with a full stop.
pub fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?', '…']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

/// The text with a capital first.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counted_things_and_sentences() {
        assert_eq!(pulls(1), "1\u{a0}pull");
        assert_eq!(pulls(1_200), "1,200\u{a0}pulls");
        assert_eq!(sentence(" No bag was weighed "), "No bag was weighed.");
        assert_eq!(capital("élan"), "Élan");
    }
}
