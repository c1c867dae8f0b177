//! What a figure leaves out: records by the reasons for it.
//!
//! A long log may have thousands of rows that one thing keeps out of a figure. They are held, and named in the ledger, together.

use std::collections::BTreeMap;

use serde::Serialize;
use serde::ser::SerializeStruct;

use crate::place::{Place, Places};
use crate::season::Pull;
use crate::words;
use crate::words::Words;

/// A record that a figure could not use, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    pub place: Place,
    pub why: Why,
}

/// Why a record is left out.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Why {
    /// So much of what the record says, such as its containers, where the reason is about that.
    pub amount: Option<Words>,
    pub reason: Words,
}

impl LeftOut {
    pub fn new(place: Place, reason: impl Into<Words>) -> Self {
        Self {
            place,
            why: Why {
                amount: None,
                reason: reason.into(),
            },
        }
    }

    /// A pull that is left out.
    pub fn of_pull(pull: &Pull, reason: impl Into<Words>) -> Self {
        Self::new(pull.place(), reason)
    }
}

impl Why {
    /// The reason with the amount before it.
    pub fn told(&self) -> Words {
        match &self.amount {
            Some(about) => words!("{about}: {reason}", about, reason = &self.reason),
            None => self.reason.clone(),
        }
    }
}

/// Records that are left out for one reason.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    pub why: Why,
    pub records: Places,
}

impl Serialize for Together {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Together", 2)?;
        fields.serialize_field("records", &self.records)?;
        fields.serialize_field("reason", &self.why.told())?;
        fields.end()
    }
}

/// All that a figure leaves out, the reasons in the order in which they came.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct LeftOuts(Vec<Together>);

impl LeftOuts {
    pub fn by_reason(&self) -> &[Together] {
        &self.0
    }

    /// The places, reason by reason.
    pub fn places(&self) -> impl Iterator<Item = Place> + '_ {
        self.0.iter().flat_map(|together| together.records.iter())
    }

    /// How many records are left out; one that two reasons keep out counts twice.
    pub fn len(&self) -> usize {
        self.0.iter().map(|together| together.records.len()).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Each record by itself.
    pub fn iter(&self) -> impl Iterator<Item = LeftOut> + '_ {
        self.0.iter().flat_map(|together| {
            together.records.iter().map(|place| LeftOut {
                place,
                why: together.why.clone(),
            })
        })
    }
}

impl FromIterator<LeftOut> for LeftOuts {
    fn from_iter<I: IntoIterator<Item = LeftOut>>(records: I) -> Self {
        let mut known: BTreeMap<Why, usize> = BTreeMap::new();
        let mut groups: Vec<(Why, Vec<Place>)> = Vec::new();
        for LeftOut { place, why } in records {
            let at = *known.entry(why).or_insert_with_key(|why| {
                groups.push((why.clone(), Vec::new()));
                groups.len() - 1
            });
            if let Some((_, places)) = groups.get_mut(at) {
                places.push(place);
            }
        }
        let together = groups.into_iter().map(|(why, places)| Together {
            why,
            records: places.into_iter().collect(),
        });
        Self(together.collect())
    }
}

impl Extend<LeftOut> for LeftOuts {
    fn extend<I: IntoIterator<Item = LeftOut>>(&mut self, records: I) {
        let mut more = records.into_iter().peekable();
        if more.peek().is_some() {
            *self = self.iter().chain(more).collect();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Spot;

    #[test]
    fn records_that_are_left_out_stand_by_their_reasons() {
        let out = |row: u32, bags: Option<u64>, reason: &'static str| LeftOut {
            place: Place {
                file: "pulls.csv".into(),
                spot: Spot::Row { sheet: None, row },
            },
            why: Why {
                amount: bags.map(|count| words!("{count} bags", count)),
                reason: Words::fixed(reason),
            },
        };
        let mut left_out: LeftOuts = [
            out(2, None, "no hours"),
            out(3, Some(4), "none was weighed"),
            out(4, None, "no hours"),
            out(5, Some(7), "none was weighed"),
        ]
        .into_iter()
        .collect();
        left_out.extend([
            out(6, Some(4), "none was weighed"),
            out(2, None, "no hours"),
        ]);
        assert_eq!(
            serde_json::to_value(&left_out).unwrap(),
            serde_json::json!([
                {"records": ["pulls.csv rows 2, 4"], "reason": "no hours"},
                {"records": ["pulls.csv rows 3, 6"], "reason": "4 bags: none was weighed"},
                {"records": ["pulls.csv row 5"], "reason": "7 bags: none was weighed"},
            ])
        );
        assert_eq!(left_out.len(), 5);
        assert_eq!(left_out.places().count(), 5);
    }
}
