//! What the words of the sheets mean, each in a sentence: shown where the pointer rests on the word, and read out.

/// What is off, in the window and in print.
pub(crate) const OFF: &str = "How much too long (+) or too short (\u{2212}) it was read, by what all the others say.";

/// What a word at the head of a column or in a sentence means; `None` for a word that says it itself.
pub(super) fn meaning(word: &str) -> Option<&'static str> {
    Some(match word {
        "value" => "What was read.",
        "off" => OFF,
        "allowance" => {
            "The bar is how far off it is. The ticks are how far off it may be before it disagrees: an honest reading \
             passes them once in 1000."
        }
        "checked" => "How much of a misreading the others would bring to light. Under 10 % nothing checks it.",
        "Clicks ±" => {
            "How near to the edge each click lies, two times in three, in pixels of the photo. Empty: as the zoom allowed."
        }
        "X" => "From the zero hole along the line to the second one.",
        "Y" => "From the zero hole, square to X.",
        "dia." => "The diameter that the jaws would read.",
        "±" => "How far off it can be: 19 times in 20 it is nearer than this. For a hole, in the worst direction.",
        "good to" => {
            "Good to: 19 times in 20 the hole is nearer to its place than this, once the plate lies as it fits best."
        }
        "odds" => {
            "Odds: of many plates that could be this one, within all that is ±, so many go over all their fasteners \
             at once."
        }
        "play" => "How far the fastener may lie off the middle of its hole: half of the hole less the fastener.",
        "in the way" => "Of the plates that do not go on, the share in which this fastener stands in the way.",
        "worst hole now → then" => "How far off the worst hole can be now, and with this measure taken.",
        "off the rim" => "How far the picks lie off the rim that fits them best, in pixels of the photo.",
        "points" => "So many places of the rim were used.",
        _ => return None,
    })
}

/// What the words of a sentence mean, each that needs it.
pub(super) fn in_sentence(sentence: &str) -> Option<String> {
    let words = [("good to", "good to"), ("bolts up", "odds")];
    let said: Vec<&str> =
        words.iter().filter(|(part, _)| sentence.contains(part)).filter_map(|(_, word)| meaning(word)).collect();
    (!said.is_empty()).then(|| said.join("\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_is_explained_by_its_words() {
        let said = in_sentence("Worst hole is good to ±0.08 mm. It bolts up 97 times in 100.").unwrap();
        assert!(said.contains("Good to") && said.contains("Odds"), "{said}");
        assert_eq!(in_sentence("The size is not known yet."), None, "nothing to explain");
    }
}
