//! What the writing library leaves out of a DXF R12 or gets wrong, put right in its output.
//!
//! R12 is the plainest release: no handles are needed, no subclass markers, no blocks of the two spaces. What the library
//! writes of later releases is taken out, and what is left is what old cutters' controls read. Measured by the audit of
//! an outside reader (ezdxf 1.4: no error and nothing to fix, whether it reads plainly or recovers).

use super::ExportRefused;
use super::dxf_records::{Record, name, record_of, records, text_of, value};

/// Variables of the header that a reader of R12 needs or that tell it how large the part is. The rest are settings of
/// dimensions and screens, some of them empty or of this minute.
const HEADER: [&str; 6] = ["$ACADVER", "$INSBASE", "$EXTMIN", "$EXTMAX", "$LIMMIN", "$LIMMAX"];

/// Tables that entities of ours name something in. The others hold styles of later releases, some of them without a name.
const TABLES: [&str; 4] = ["VPORT", "LTYPE", "LAYER", "STYLE"];

/// The text of a drawing that the library wrote as R12, repaired.
pub(super) fn repaired(raw: &str) -> Result<String, ExportRefused> {
    let mut out: Vec<Record> = Vec::new();
    let (mut section, mut table, mut layer) = (String::new(), String::new(), String::new());
    for mut record in records(raw)? {
        match name(&record) {
            "SECTION" => {
                value(&record, 2).unwrap_or_default().clone_into(&mut section);
                if section == "ENTITIES" {
                    // A file of this release has its blocks, if none.
                    out.push(record_of(&[(0, "SECTION"), (2, "BLOCKS")]));
                    out.push(record_of(&[(0, "ENDSEC")]));
                }
            }
            "ENDSEC" | "EOF" => table.clear(),
            "TABLE" => value(&record, 2).unwrap_or_default().clone_into(&mut table),
            _ => {}
        }
        let is_dropped = section == "TABLES" && !table.is_empty() && !TABLES.contains(&table.as_str());
        if is_dropped || is_style_of_later(&record) {
            continue;
        }
        if section == "HEADER" {
            keep_header(&mut record);
        }
        // Handles are of no use to a reader of this release, and the library gives one twice; markers came later.
        record.retain(|(code, _)| !matches!(code, 5 | 100));
        if section == "ENTITIES" {
            own_layer(&mut record, &mut layer);
        }
        out.push(record);
    }
    Ok(text_of(&out))
}

/// The library lays a style for scaled notes into every file.
fn is_style_of_later(record: &Record) -> bool {
    name(record) == "STYLE" && value(record, 2) == Some("ANNOTATIVE")
}

/// Leaves of the header's variables those that are wanted; a variable is a pair of code 9 and what follows it.
fn keep_header(record: &mut Record) {
    let mut is_wanted = true;
    record.retain(|(code, value)| {
        if *code == 9 {
            is_wanted = HEADER.contains(&value.as_str());
        }
        is_wanted
    });
}

/// The vertices of a polyline and what ends them lie on its layer; the library leaves them on layer 0, or on none.
fn own_layer(record: &mut Record, layer: &mut String) {
    match name(record) {
        "POLYLINE" => value(record, 8).unwrap_or_default().clone_into(layer),
        "VERTEX" | "SEQEND" => {
            record.retain(|(code, _)| *code != 8);
            record.insert(1, (8, layer.clone()));
        }
        _ => {}
    }
}
