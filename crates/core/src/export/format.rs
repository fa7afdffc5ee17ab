//! Which file goes to the cutter, and what its name has to say.

use super::{CutDrawing, DxfRelease, ExportRefused, KerfRefused, RowsRefused, dxf, svg};
use crate::job::{FileUnit, Stock};

/// A format of the cut file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CutFormat {
    /// DXF R2000: the usual one.
    #[default]
    Dxf,
    /// DXF R12, for old controls. It cannot say its unit.
    DxfR12,
    /// SVG, in true size.
    Svg,
}

/// Why there is no drawing for the cutter.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NotForCutter {
    /// It does not go into a file.
    #[error(transparent)]
    Export(#[from] ExportRefused),
    /// There is no path that allows for the kerf.
    #[error(transparent)]
    Kerf(#[from] KerfRefused),
    /// The copies do not go on the sheet.
    #[error(transparent)]
    Rows(#[from] RowsRefused),
}

impl CutFormat {
    /// All of them, in the order of the screen.
    pub const ALL: [Self; 3] = [Self::Dxf, Self::DxfR12, Self::Svg];

    /// The extension of its files.
    pub fn extension(self) -> &'static str {
        match self {
            Self::Dxf | Self::DxfR12 => "dxf",
            Self::Svg => "svg",
        }
    }

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Dxf => "DXF R2000",
            Self::DxfR12 => "DXF R12",
            Self::Svg => "SVG",
        }
    }

    /// The bytes of a file of it.
    ///
    /// # Errors
    /// An empty drawing, a number that is none, or a hole without a size is refused.
    pub fn bytes(self, drawing: &CutDrawing, unit: FileUnit) -> Result<Vec<u8>, ExportRefused> {
        match self {
            Self::Dxf => dxf::dxf(drawing, DxfRelease::R2000, unit),
            Self::DxfR12 => dxf::dxf(drawing, DxfRelease::R12, unit),
            Self::Svg => svg::svg(drawing, unit),
        }
    }

    /// What the name of a file has to hold so that nobody cuts it wrongly: that it allows for the kerf, and the unit where
    /// the format cannot say it.
    pub fn marks(self, stock: &Stock) -> Vec<String> {
        let kerf = stock.kerf_to_allow_mm().map(|kerf_mm| format!("kerf-{kerf_mm}"));
        let unit = (self == Self::DxfR12).then(|| match stock.unit {
            FileUnit::Mm => "mm".to_owned(),
            FileUnit::Inch => "inch".to_owned(),
        });
        kerf.into_iter().chain(unit).collect()
    }

    /// The name of a file, without its extension, for a part called `stem`: with everything that it has to say, and how many
    /// copies it holds.
    pub fn file_stem(self, stem: &str, stock: &Stock) -> String {
        let copies = (stock.copy_count() > 1).then(|| format!("{}-off", stock.copy_count()));
        let marks = copies.into_iter().chain(self.marks(stock));
        marks.fold(stem.to_owned(), |name, mark| if says(&name, &mark) { name } else { format!("{name}-{mark}") })
    }

    /// The first thing that the name `stem` has to say and does not.
    pub fn missing_mark(self, stem: &str, stock: &Stock) -> Option<String> {
        self.marks(stock).into_iter().find(|mark| !says(stem, mark))
    }
}

/// `name` holds `mark` as words of its own.
fn says(name: &str, mark: &str) -> bool {
    let is_part = |c: char| c.is_alphanumeric();
    name.match_indices(mark).any(|(at, _)| {
        let before = name[..at].chars().next_back();
        let after = name[at + mark.len()..].chars().next();
        !before.is_some_and(is_part) && !after.is_some_and(is_part)
    })
}

impl CutDrawing {
    /// The drawing as it goes into the cut file: the cutter's path where the file allows for the kerf, and all the copies.
    ///
    /// # Errors
    /// Where the cutter does not get into something, or the copies do not go on the sheet.
    pub fn for_cutter(self, stock: &Stock) -> Result<Self, NotForCutter> {
        let path = match stock.kerf_to_allow_mm() {
            Some(kerf_mm) => self.allowing_for_kerf(kerf_mm)?,
            None => self,
        };
        let mut all = path.in_rows(stock)?;
        if stock.unit == FileUnit::Inch {
            all.notes.iter_mut().filter(|note| *note == Self::SCALE_NOTE).for_each(|note| "inch, 1:1".clone_into(note));
        }
        Ok(all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_says_what_a_file_cannot() {
        let kerf = Stock { kerf_mm: Some(0.15), kerf_in_file: true, copies: Some(6), ..Stock::default() };
        assert_eq!(CutFormat::Dxf.file_stem("flange", &kerf), "flange-6-off-kerf-0.15");
        assert_eq!(CutFormat::DxfR12.file_stem("flange", &kerf), "flange-6-off-kerf-0.15-mm");
        let inch = Stock { unit: FileUnit::Inch, kerf_mm: Some(0.2), ..Stock::default() };
        assert_eq!(CutFormat::DxfR12.file_stem("flange", &inch), "flange-inch", "the shop allows for the kerf");
        assert_eq!(CutFormat::Svg.file_stem("flange", &inch), "flange", "an SVG says its unit itself");
        assert_eq!(CutFormat::DxfR12.file_stem("cover mm", &Stock::default()), "cover mm", "it is said already");
        assert_eq!(
            CutFormat::DxfR12.missing_mark("hammer", &Stock::default()).as_deref(),
            Some("mm"),
            "no word of its own"
        );
        assert_eq!(CutFormat::Dxf.missing_mark("flange_kerf-0.15", &kerf), None);
        assert_eq!(CutFormat::Dxf.missing_mark("flange-kerf-0.1", &kerf).as_deref(), Some("kerf-0.15"), "another kerf");
    }
}
