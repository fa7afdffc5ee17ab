//! Long notes, broken into lines.

/// The most letters of a line: a text of DXF R12 holds 255 (from memory).
const MOST: usize = 200;

/// `text` in lines of at most 200 letters, broken at spaces; a word that is longer is broken anywhere. None where there is
/// nothing to say.
pub(super) fn broken(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut letters = MOST;
    for word in text.split_whitespace() {
        let long = word.chars().count();
        if letters + 1 + long <= MOST
            && let Some(line) = lines.last_mut()
        {
            line.push(' ');
            line.push_str(word);
            letters += 1 + long;
            continue;
        }
        let mut rest = word;
        while let Some((at, _)) = rest.char_indices().nth(MOST) {
            lines.push(rest[..at].to_owned());
            rest = &rest[at..];
        }
        letters = rest.chars().count();
        lines.push(rest.to_owned());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces() {
        assert_eq!(broken("mm, 1:1"), ["mm, 1:1"]);
        assert!(broken(" ").is_empty(), "nothing to say");
        // 28 words of seven letters with a space: 25 of them make 199 letters.
        let words = vec!["abcdefg"; 28].join(" ");
        let lines = broken(&words);
        assert_eq!(lines.iter().map(String::len).collect::<Vec<_>>(), [199, 23]);
        assert_eq!(lines.join(" "), words, "nothing is lost");
        let long = "ä".repeat(450);
        let lines = broken(&format!("so {long} far"));
        assert_eq!(lines.iter().map(|line| line.chars().count()).collect::<Vec<_>>(), [2, 200, 200, 54]);
    }
}
