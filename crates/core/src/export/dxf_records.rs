//! A DXF as records, each from one code 0 to the next: what repairs of every release are made on.

use super::ExportRefused;

/// A group code and its value.
pub(super) type Pair = (i32, String);

/// The pairs from one code 0 up to the next.
pub(super) type Record = Vec<Pair>;

/// The records of a file.
pub(super) fn records(raw: &str) -> Result<Vec<Record>, ExportRefused> {
    let mut records: Vec<Record> = Vec::new();
    let mut lines = raw.lines();
    while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
        let code = code.trim().parse().map_err(|err| malformed(&format!("'{code}' is not a group code ({err})")))?;
        let pair = (code, value.trim_start().to_owned());
        match records.last_mut() {
            Some(record) if code != 0 => record.push(pair),
            _ => records.push(vec![pair]),
        }
    }
    Ok(records)
}

pub(super) fn malformed(problem: &str) -> ExportRefused {
    ExportRefused::NotPutTogether(problem.to_owned())
}

pub(super) fn value(record: &Record, code: i32) -> Option<&str> {
    record.iter().find(|pair| pair.0 == code).map(|pair| pair.1.as_str())
}

pub(super) fn name(record: &Record) -> &str {
    value(record, 0).unwrap_or_default()
}

/// Inserts pairs behind the first one with the code `behind`.
pub(super) fn insert_behind<const N: usize>(record: &mut Record, behind: i32, pairs: [(i32, &str); N]) {
    let at = record.iter().position(|pair| pair.0 == behind).map_or(record.len(), |at| at + 1);
    record.splice(at..at, pairs.map(|(code, value)| (code, value.to_owned())));
}

pub(super) fn record_of(pairs: &[(i32, &str)]) -> Record {
    pairs.iter().map(|&(code, value)| (code, value.to_owned())).collect()
}

/// The file that the records make.
pub(super) fn text_of(records: &[Record]) -> String {
    records.iter().flatten().map(|(code, value)| format!("{code:>3}\r\n{value}\r\n")).collect::<Vec<_>>().concat()
}

/// Sets a variable of the header that is there.
pub(super) fn set_header(records: &mut [Record], variable: &str, text: &str) {
    for record in records.iter_mut().filter(|record| value(record, 2) == Some("HEADER")) {
        if let Some(at) = record.iter().position(|pair| pair.0 == 9 && pair.1 == variable)
            && let Some(pair) = record.get_mut(at + 1)
        {
            text.clone_into(&mut pair.1);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_none_is_refused_by_name() {
        assert_eq!(
            records("SECTION\r\nHEADER").unwrap_err(),
            malformed("'SECTION' is not a group code (invalid digit found in string)")
        );
    }

    #[test]
    fn pairs_go_in_behind_their_code() {
        let mut record = record_of(&[(0, "LINE"), (5, "1F"), (8, "0")]);
        insert_behind(&mut record, 5, [(330, "5"), (100, "AcDbEntity")]);
        assert_eq!(record, record_of(&[(0, "LINE"), (5, "1F"), (330, "5"), (100, "AcDbEntity"), (8, "0")]));
    }

    #[test]
    fn what_is_read_is_written_the_same() {
        let text = "  0\r\nSECTION\r\n  2\r\nHEADER\r\n  9\r\n$ACADVER\r\n  1\r\nAC1015\r\n  0\r\nEOF\r\n";
        let mut read = records(text).unwrap();
        assert_eq!(text_of(&read), text);
        set_header(&mut read, "$ACADVER", "AC1009");
        assert_eq!(text_of(&read), text.replace("AC1015", "AC1009"));
    }
}
