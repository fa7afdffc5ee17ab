//! Text in the letters that every cutter's software reads.

/// `text` in printable ASCII, for a format that holds nothing else (DXF before R2007).
///
/// Letters with marks lose them (German umlauts are spelt out), signs are written as on a typewriter, and a letter of
/// another script becomes `?`. Signs that text in a DXF takes for commands (`\`, `^`, `%%`) are replaced.
pub(super) fn ascii(text: &str) -> String {
    text.chars().map(ascii_of).collect::<String>().replace("%%", "% %").trim().to_owned()
}

fn ascii_of(letter: char) -> &'static str {
    const PRINTABLE: &str =
        " !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~";
    match letter {
        '\\' => "/",
        '^' => "'",
        c if c.is_control() || c.is_whitespace() => " ",
        c if c.is_ascii() => PRINTABLE.find(c).map_or(" ", |at| &PRINTABLE[at..=at]),
        'Ä' => "Ae",
        'Ö' => "Oe",
        'Ü' => "Ue",
        'ä' | 'æ' => "ae",
        'ö' | 'œ' => "oe",
        'ü' => "ue",
        'ß' => "ss",
        'Æ' => "AE",
        'Œ' => "OE",
        'À' | 'Á' | 'Â' | 'Ã' | 'Å' | 'Ā' | 'Ă' | 'Ą' => "A",
        'à' | 'á' | 'â' | 'ã' | 'å' | 'ā' | 'ă' | 'ą' => "a",
        'Ç' | 'Ć' | 'Č' => "C",
        'ç' | 'ć' | 'č' => "c",
        'Ď' | 'Đ' | 'Ð' => "D",
        'ď' | 'đ' | 'ð' => "d",
        'È' | 'É' | 'Ê' | 'Ë' | 'Ē' | 'Ę' | 'Ě' => "E",
        'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ę' | 'ě' => "e",
        'Ì' | 'Í' | 'Î' | 'Ï' | 'Ī' | 'İ' => "I",
        'ì' | 'í' | 'î' | 'ï' | 'ī' | 'ı' => "i",
        'Ğ' => "G",
        'ğ' => "g",
        'Ł' => "L",
        'ł' => "l",
        'Ñ' | 'Ń' | 'Ň' => "N",
        'ñ' | 'ń' | 'ň' => "n",
        'Ò' | 'Ó' | 'Ô' | 'Õ' | 'Ø' | 'Ő' => "O",
        'ò' | 'ó' | 'ô' | 'õ' | 'ø' | 'ő' => "o",
        'Ř' => "R",
        'ř' => "r",
        'Ś' | 'Š' | 'Ş' | 'Ș' => "S",
        'ś' | 'š' | 'ş' | 'ș' => "s",
        'Ť' | 'Ț' | 'Ţ' => "T",
        'ť' | 'ț' | 'ţ' => "t",
        'Ù' | 'Ú' | 'Û' | 'Ū' | 'Ů' | 'Ű' => "U",
        'ù' | 'ú' | 'û' | 'ū' | 'ů' | 'ű' | 'µ' | 'μ' => "u",
        'Ý' => "Y",
        'ý' | 'ÿ' => "y",
        'Ź' | 'Ż' | 'Ž' => "Z",
        'ź' | 'ż' | 'ž' => "z",
        '±' => "+/-",
        '×' => "x",
        '°' => " deg",
        '²' => "2",
        '³' => "3",
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '‐' | '‑' | '–' | '—' | '−' => "-",
        '‘' | '’' | '′' => "'",
        '“' | '”' | '„' | '«' | '»' | '″' => "\"",
        '…' => "...",
        _ => "?",
    }
}

#[cfg(test)]
mod tests {
    use super::ascii;
    use proptest::prelude::*;

    #[test]
    fn names_stay_readable() {
        for (text, expected) in [
            ("Milk valve flange", "Milk valve flange"),
            ("Käserei – Deckel Größe 2", "Kaeserei - Deckel Groesse 2"),
            ("Série nº 4 ±0,1", "Serie n? 4 +/-0,1"),
            ("a\nb\tc", "a b c"),
            ("50%%d \\U+0041 ^J", "50% %d /U+0041 'J"),
            ("牛乳", "??"),
        ] {
            assert_eq!(ascii(text), expected, "{text}");
        }
    }

    proptest! {
        #[test]
        fn nothing_but_printable_ascii_comes_out(text: String) {
            prop_assert!(ascii(&text).bytes().all(|b| (b' '..=b'~').contains(&b)));
        }
    }
}
