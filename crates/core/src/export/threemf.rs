//! The proof plate as 3MF, whose unit is the millimetre (3MF Core Specification 1.4.0).
//!
//! A package of three parts: content types, the relation that names the model, and the model. It holds no date and is not
//! packed, so that the same plate gives the same bytes whatever packs or prints it.

use super::ProofPlate;
use super::xml::xml;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

const CONTENT_TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
 <Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
 <Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"#;

const RELATIONS: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
 <Relationship Target="/3D/3dmodel.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"#;

/// The parts of the package could not be put together.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the 3MF could not be put together: {0}")]
pub struct NotPacked(String);

/// The bytes of the 3MF of a plate.
///
/// # Errors
/// Where the library that packs it fails.
pub fn threemf(plate: &ProofPlate) -> Result<Vec<u8>, NotPacked> {
    let parts = [
        ("[Content_Types].xml", CONTENT_TYPES.to_owned()),
        ("_rels/.rels", RELATIONS.to_owned()),
        ("3D/3dmodel.model", model(plate)),
    ];
    let mut package = ZipWriter::new(Cursor::new(Vec::new()));
    let plain =
        SimpleFileOptions::DEFAULT.compression_method(CompressionMethod::Stored).last_modified_time(DateTime::DEFAULT);
    let failed = |what: &dyn std::fmt::Display| NotPacked(what.to_string());
    for (name, text) in parts {
        package.start_file(name, plain).map_err(|error| failed(&error))?;
        package.write_all(text.as_bytes()).map_err(|error| failed(&error))?;
    }
    Ok(package.finish().map_err(|error| failed(&error))?.into_inner())
}

/// The model: one object, as it lies in the printer.
fn model(plate: &ProofPlate) -> String {
    let ProofPlate { title, options, mesh } = plate;
    let title = xml(if title.trim().is_empty() { "Proof plate" } else { title });
    let mut text = format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
 <metadata name="Title">{title}</metadata>
 <metadata name="Description">Proof plate, a template only: {}.</metadata>
 <metadata name="Application">Platewright</metadata>
 <resources>
  <object id="1" type="model" name="{title}">
   <mesh>
    <vertices>
"#,
        xml(&options.in_words())
    );
    // Writing into a String cannot fail.
    for [x, y, z] in &mesh.vertices {
        let _ = writeln!(text, r#"     <vertex x="{x}" y="{y}" z="{z}"/>"#);
    }
    text.push_str("    </vertices>\n    <triangles>\n");
    for [a, b, c] in &mesh.triangles {
        let _ = writeln!(text, r#"     <triangle v1="{a}" v2="{b}" v3="{c}"/>"#);
    }
    text.push_str(
        "    </triangles>\n   </mesh>\n  </object>\n </resources>\n <build>\n  <item objectid=\"1\"/>\n </build>\n</model>\n",
    );
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::plate::tests::{drawing, options};
    use crate::export::proof_plate;
    use std::io::Read as _;

    fn read(bytes: Vec<u8>) -> Vec<(String, String)> {
        let mut package = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
        let names: Vec<String> = package.file_names().map(|name| name.unwrap().into_owned()).collect();
        let part = |name: String| {
            let mut text = String::new();
            package.by_name(&name).unwrap().read_to_string(&mut text).unwrap();
            (name, text)
        };
        names.into_iter().map(part).collect()
    }

    #[test]
    fn the_package_holds_one_model_in_millimetres() {
        let plate = proof_plate(&drawing(), &options()).unwrap();
        let parts = read(threemf(&plate).unwrap());
        let names: Vec<&str> = parts.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(names, ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"], "the content types come first");
        let model = &parts[2].1;
        for expected in [
            r#"<model unit="millimeter" "#,
            r#"<metadata name="Title">Flange &lt;2&gt; &amp; &quot;cover&quot;</metadata>"#,
            "3.0 mm thick, 0.30 % larger in x and y",
            r#"<item objectid="1"/>"#,
        ] {
            assert!(model.contains(expected), "{expected} is missing in\n{model}");
        }
        assert_eq!(model.matches("<vertex ").count(), plate.mesh.vertices.len(), "every corner");
        assert_eq!(model.matches("<triangle ").count(), plate.mesh.triangles.len(), "every triangle");
    }

    #[test]
    fn the_same_plate_gives_the_same_bytes() {
        let bytes = || threemf(&proof_plate(&drawing(), &options()).unwrap());
        assert_eq!(bytes(), bytes(), "no date and no random number");
    }
}
