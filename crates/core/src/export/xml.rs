//! Text as it stands in XML 1.0.

/// `text` between tags or inside quotes. Control characters and what is no character have no place in XML 1.0 (W3C
/// Recommendation, production 2): a space stands for each.
pub(super) fn xml(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_of_any_letters_is_xml() {
        assert_eq!(xml("a<b>&\"c\"\u{0}\n\u{FFFF}ü牛"), "a&lt;b&gt;&amp;&quot;c&quot;   ü牛");
    }
}
