//! What is doubtful in a group's own template.

use super::own;
use crate::finding::{Finding, Grade, Rule};
use crate::place::Place;
use crate::season::Season;
use crate::words;
use crate::words::number;

const TEMPLATE_COLOUR_FAINT: Rule = Rule {
    name: "template-colour-faint",
    grade: Grade::Remark,
    title: "A colour of the group's own template gives text too little contrast",
    why: "Text is read by everybody at a contrast of 4.5 to 1 or more (Web Content Accessibility Guidelines 2.1, 1.4.3); below it many can't.",
};

/// Every rule of this room.
pub const RULES: &[Rule] = &[TEMPLATE_COLOUR_FAINT];

/// All findings on the template. One that can't be used at all stops the report, which tells why.
pub fn findings(season: &Season) -> Vec<Finding> {
    let Ok(own) = own::read(season) else {
        return Vec::new();
    };
    own.faint()
        .into_iter()
        .map(|(text, ground, contrast)| {
            TEMPLATE_COLOUR_FAINT.at(
                Place::key("template/look.toml", format!("colours.{text}")),
                // Cut off and not rounded: 4.47 is not enough.
                words!(
                    "Text in {text} has a contrast of {contrast} to 1 on {ground}, and {needed} is needed.",
                    text,
                    contrast = number(format!("{:.1}", (contrast * 10.0).floor() / 10.0)),
                    ground,
                    needed = number("4.5")
                ),
                words!("Choose a darker text or a lighter ground."),
            )
        })
        .collect()
}
