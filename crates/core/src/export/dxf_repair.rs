//! What the writing library leaves out of a DXF R2000 or gets wrong, put right in its output.
//!
//! Measured by the audit of an outside reader (ezdxf 1.4: no error and nothing to fix, whether it reads plainly or
//! recovers) and by what files of that release hold. Each repair below looks at one record at a time and says why it is
//! there.

use super::ExportRefused;
use super::dxf_records::{Record, insert_behind, malformed, name, record_of, records, set_header, text_of, value};

/// The text of a drawing that the library wrote, repaired.
pub(super) fn repaired(raw: &str) -> Result<String, ExportRefused> {
    let records = records(raw)?;
    let mut repair = Repair::new(&records)?;
    let mut out: Vec<Record> = Vec::with_capacity(records.len() + 16);
    for record in records {
        repair.take(record, &mut out);
    }
    set_header(&mut out, "$HANDSEED", &format!("{:X}", repair.next_handle));
    for (variable, text) in FIXED_HEADER {
        set_header(&mut out, variable, text);
    }
    Ok(text_of(&out))
}

/// Header variables that would make each file differ from the last: the part is the same, so is the file.
const FIXED_HEADER: [(&str, &str); 6] = [
    ("$TDCREATE", "2451544.5"),
    ("$TDUCREATE", "2451544.5"),
    ("$TDUPDATE", "2451544.5"),
    ("$TDUUPDATE", "2451544.5"),
    ("$FINGERPRINTGUID", "{00000000-0000-0000-0000-000000000001}"),
    ("$VERSIONGUID", "{00000000-0000-0000-0000-000000000002}"),
];

struct Repair {
    /// Every handle of a file is there once; new ones start where the library stopped.
    next_handle: u64,
    /// Handles of the records of the two spaces that entities can lie in.
    model_space: String,
    paper_space: String,
    section: String,
    table_head: String,
}

impl Repair {
    fn new(records: &[Record]) -> Result<Self, ExportRefused> {
        let handle_of = |space: &str| {
            let record = records.iter().find(|r| name(r) == "BLOCK_RECORD" && value(r, 2) == Some(space));
            let handle = record.and_then(|r| value(r, 5)).map(str::to_owned);
            handle.ok_or_else(|| malformed(&format!("there is no {space}")))
        };
        let handles = records.iter().filter(|r| name(r) != "SECTION").filter_map(|r| value(r, 5));
        let greatest = handles.filter_map(|handle| u64::from_str_radix(handle, 16).ok()).max().unwrap_or(0);
        Ok(Self {
            next_handle: greatest + 1,
            model_space: handle_of("*MODEL_SPACE")?,
            paper_space: handle_of("*PAPER_SPACE")?,
            section: String::new(),
            table_head: String::new(),
        })
    }

    fn handle(&mut self) -> String {
        self.next_handle += 1;
        format!("{:X}", self.next_handle - 1)
    }

    fn take(&mut self, mut record: Record, out: &mut Vec<Record>) {
        match (self.section.as_str(), name(&record)) {
            (_, "SECTION") => return self.open_section(record, out),
            ("TABLES", "ENDSEC") => self.add_empty_tables(out),
            (_, "ENDSEC" | "ENDTAB" | "EOF") => {}
            ("TABLES", "TABLE") => self.head_table(&mut record),
            ("TABLES", _) => self.own_entry(&mut record),
            ("ENTITIES", _) => self.own_entity(&mut record),
            _ => {}
        }
        out.push(record);
    }

    fn open_section(&mut self, record: Record, out: &mut Vec<Record>) {
        value(&record, 2).unwrap_or_default().clone_into(&mut self.section);
        if self.section == "ENTITIES" {
            self.add_blocks(out);
        }
        out.push(record);
        if self.section == "OBJECTS" {
            self.add_dictionaries(out);
        }
    }

    /// Table heads have no handle, and entries have to name theirs as their owner.
    fn head_table(&mut self, record: &mut Record) {
        self.table_head = self.handle();
        insert_behind(record, 2, [(5, self.table_head.as_str()), (330, "0")]);
    }

    fn own_entry(&self, record: &mut Record) {
        insert_behind(record, 5, [(330, self.table_head.as_str())]);
        match name(record) {
            // The handle of a DIMSTYLE, alone among all, has the code 105: 5 is an arrow block there. Its references to
            // a text style and arrow blocks are written as empty handles.
            "DIMSTYLE" => {
                record.iter_mut().filter(|pair| pair.0 == 5).for_each(|pair| pair.0 = 105);
                record.retain(|(code, value)| !((340..=344).contains(code) && value.is_empty()));
            }
            // A weight of 0 is the thinnest line there is; -3 is the usual one. A plot style 0 points nowhere.
            "LAYER" => {
                record.retain(|(code, value)| !(matches!(code, 347 | 390) && value == "0"));
                record.iter_mut().filter(|pair| pair.0 == 370).for_each(|pair| "-3".clone_into(&mut pair.1));
            }
            // The spaces are written in capitals; readers that compare letter by letter look for these.
            "BLOCK_RECORD" => {
                for pair in record.iter_mut().filter(|pair| pair.0 == 2) {
                    pair.1 = pair.1.replace("MODEL_SPACE", "Model_Space").replace("PAPER_SPACE", "Paper_Space");
                }
            }
            _ => {}
        }
    }

    /// Entities have to name the space that they lie in; -1 is the line weight of their layer.
    fn own_entity(&self, record: &mut Record) {
        insert_behind(record, 5, [(330, self.model_space.as_str())]);
        record.iter_mut().filter(|pair| pair.0 == 370).for_each(|pair| "-1".clone_into(&mut pair.1));
    }

    /// Tables without an entry are left out; a file of this release has all nine.
    fn add_empty_tables(&mut self, out: &mut Vec<Record>) {
        for table in ["VIEW", "UCS"] {
            let present = out.iter().any(|record| name(record) == "TABLE" && value(record, 2) == Some(table));
            if !present {
                let handle = self.handle();
                let head = [(0, "TABLE"), (2, table), (5, &handle), (330, "0"), (100, "AcDbSymbolTable"), (70, "0")];
                out.push(record_of(&head));
                out.push(record_of(&[(0, "ENDTAB")]));
            }
        }
    }

    /// The blocks of the two spaces are left out, although entities belong to one of them.
    fn add_blocks(&mut self, out: &mut Vec<Record>) {
        out.push(record_of(&[(0, "SECTION"), (2, "BLOCKS")]));
        for (space, owner) in [("*Model_Space", self.model_space.clone()), ("*Paper_Space", self.paper_space.clone())] {
            let (begin, end) = (self.handle(), self.handle());
            let in_paper = (space == "*Paper_Space").then_some((67, "1"));
            let common = |kind, handle| {
                let mut pairs = vec![(0, kind), (5, handle), (330, owner.as_str()), (100, "AcDbEntity")];
                pairs.extend(in_paper);
                pairs.push((8, "0"));
                pairs
            };
            let mut block = common("BLOCK", begin.as_str());
            block.extend([(100, "AcDbBlockBegin"), (2, space), (70, "0"), (10, "0.0"), (20, "0.0"), (30, "0.0")]);
            block.extend([(3, space), (1, "")]);
            let mut end = common("ENDBLK", end.as_str());
            end.push((100, "AcDbBlockEnd"));
            out.extend([record_of(&block), record_of(&end)]);
        }
        out.push(record_of(&[(0, "ENDSEC")]));
    }

    /// The root dictionary, which every reader starts from, is left out, and with it that of the groups.
    fn add_dictionaries(&mut self, out: &mut Vec<Record>) {
        let (root, groups) = (self.handle(), self.handle());
        let common =
            |handle, owner| vec![(0, "DICTIONARY"), (5, handle), (330, owner), (100, "AcDbDictionary"), (281, "1")];
        let mut dictionary = common(root.as_str(), "0");
        dictionary.extend([(3, "ACAD_GROUP"), (350, groups.as_str())]);
        out.push(record_of(&dictionary));
        out.push(record_of(&common(groups.as_str(), root.as_str())));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_without_spaces_is_refused_by_name() {
        assert_eq!(repaired("  0\r\nEOF").unwrap_err(), malformed("there is no *MODEL_SPACE"));
    }
}
