//! Which file goes to the cutter, and what its name has to say.

use super::{CutDrawing, DxfRelease, ExportRefused, KerfRefused, RowsRefused, dxf, svg};
use crate::job::{FileUnit, Stock};
use std::ops::Range;

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
        let kerf = stock.kerf_to_allow_mm().map(kerf_mark);
        let unit = self.unit_mark(stock).map(|unit| unit.words().to_owned());
        kerf.into_iter().chain(unit).collect()
    }

    /// The unit that the name has to say.
    fn unit_mark(self, stock: &Stock) -> Option<FileUnit> {
        (self == Self::DxfR12).then_some(stock.unit)
    }

    /// The name of a file, without its extension, for a part called `stem`: with everything that it has to say, with how
    /// many copies it holds, and without what is not so.
    pub fn file_stem(self, stem: &str, stock: &Stock) -> String {
        let mut name = stem.to_owned();
        while let Some(claim) = self.false_claim(&name, stock) {
            let [before, after] = [&name[..claim.start], &name[claim.end..]].map(|part| part.trim_matches(JOINTS));
            name = [before, after].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
        }
        if name.is_empty() {
            name.push_str("part");
        }
        let copies = (stock.copy_count() > 1).then(|| format!("{}-off", stock.copy_count()));
        let marks = copies.into_iter().chain(self.marks(stock));
        marks.fold(name, |name, mark| if says(&name, &mark) { name } else { format!("{name}-{mark}") })
    }

    /// What is wrong with `stem` as the name of a file, if anything is.
    pub fn wrong_name(self, stem: &str, stock: &Stock) -> Option<WrongName> {
        let name = || self.file_stem(stem, stock);
        if let Some(mark) = self.marks(stock).into_iter().find(|mark| !says(stem, mark)) {
            return Some(WrongName::Lacks { mark, name: name() });
        }
        let claim = self.false_claim(stem, stock)?;
        Some(WrongName::Claims { mark: stem[claim].to_owned(), name: name() })
    }

    /// Where the name says a kerf, or a unit that the format cannot say, which are not the file's.
    fn false_claim(self, name: &str, stock: &Stock) -> Option<Range<usize>> {
        let is_own = |kerf_mm: f64| stock.kerf_to_allow_mm().is_some_and(|own| kerf_mark(own) == kerf_mark(kerf_mm));
        let kerf = kerf_claims(name).into_iter().find(|(_, kerf_mm)| !kerf_mm.is_some_and(is_own)).map(|(at, _)| at);
        let other = self.unit_mark(stock).and_then(|own| FileUnit::ALL.into_iter().find(|unit| *unit != own));
        kerf.or_else(|| words_of(name, other?.words()).next())
    }
}

/// What is wrong with the name of a cut file, and a name that is right; both without the extension.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WrongName {
    /// It does not say what the file cannot.
    Lacks {
        /// What it has to say.
        mark: String,
        /// A name that says it.
        name: String,
    },
    /// It says of the file what is not so.
    Claims {
        /// What it says.
        mark: String,
        /// A name that does not.
        name: String,
    },
}

/// What stands between the words of a name.
const JOINTS: [char; 4] = ['-', '_', ' ', '.'];

fn kerf_mark(kerf_mm: f64) -> String {
    format!("kerf-{}", Stock::kerf_figure(kerf_mm))
}

/// `name` holds `mark` as words of its own.
fn says(name: &str, mark: &str) -> bool {
    words_of(name, mark).next().is_some()
}

/// Where `name` holds `mark` as words of its own, in capitals or not.
fn words_of(name: &str, mark: &str) -> impl Iterator<Item = Range<usize>> {
    // Of letters outside ASCII, which keep their length so, no mark is made.
    let small = name.to_ascii_lowercase();
    let places: Vec<Range<usize>> = small.match_indices(mark).map(|(at, _)| at..at + mark.len()).collect();
    places.into_iter().filter(move |at| {
        let before = small[..at.start].chars().next_back();
        let after = small[at.end..].chars().next();
        !before.is_some_and(char::is_alphanumeric) && !after.is_some_and(char::is_alphanumeric)
    })
}

/// Where `name` says a kerf, `kerf-0.15` or `kerf` alone, and how wide that is, mm.
fn kerf_claims(name: &str) -> Vec<(Range<usize>, Option<f64>)> {
    const WORD: &str = "kerf";
    let small = name.to_ascii_lowercase();
    let claim = |(at, _): (usize, &str)| {
        let rest = &small[at + WORD.len()..];
        let starts = !small[..at].chars().next_back().is_some_and(char::is_alphanumeric);
        let goes_on = rest.starts_with(char::is_alphabetic);
        let figure = rest.trim_start_matches(JOINTS);
        let digits = figure.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(figure.len());
        let figure = figure[..digits].trim_end_matches(['.', ',']);
        let length = if figure.is_empty() { 0 } else { rest.find(figure).map_or(0, |from| from + figure.len()) };
        let kerf_mm = figure.replace(',', ".").parse().ok();
        (starts && !goes_on).then_some((at..at + WORD.len() + length, kerf_mm))
    };
    small.match_indices(WORD).filter_map(claim).collect()
}

impl CutDrawing {
    /// The drawing as it goes into the cut file: the cutter's path where the file allows for the kerf, and all the copies.
    ///
    /// # Errors
    /// Where the cutter does not get into something, or the copies do not go on the sheet.
    pub fn for_cutter(self, stock: &Stock) -> Result<Self, NotForCutter> {
        let mut all = self.cutters_path(stock)?.in_rows(stock)?;
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
    }

    fn wrong(format: CutFormat, stem: &str, stock: &Stock) -> Option<(bool, String, String)> {
        match format.wrong_name(stem, stock)? {
            WrongName::Lacks { mark, name } => Some((false, mark, name)),
            WrongName::Claims { mark, name } => Some((true, mark, name)),
        }
    }

    #[track_caller]
    fn check(format: CutFormat, stock: &Stock, stem: &str, is_false: bool, mark: &str, name: &str) {
        assert_eq!(wrong(format, stem, stock), Some((is_false, mark.to_owned(), name.to_owned())));
        assert_eq!(wrong(format, name, stock), None, "{name} is right");
    }

    #[test]
    fn a_name_that_says_too_little_is_told_with_a_right_one() {
        let kerf = Stock { kerf_mm: Some(0.15), kerf_in_file: true, ..Stock::default() };
        check(CutFormat::DxfR12, &Stock::default(), "hammer", false, "mm", "hammer-mm");
        check(CutFormat::Dxf, &kerf, "flange-kerf-0.1", false, "kerf-0.15", "flange-kerf-0.15");
        check(CutFormat::Dxf, &kerf, "kerf", false, "kerf-0.15", "part-kerf-0.15");
        for stem in ["flange_kerf-0.15", "Flange KERF-0.15"] {
            assert_eq!(wrong(CutFormat::Dxf, stem, &kerf), None, "{stem}");
        }
    }

    #[test]
    fn a_name_that_says_what_is_not_so_is_told_with_a_right_one() {
        let by_shop = Stock { kerf_mm: Some(0.15), ..Stock::default() };
        check(CutFormat::Dxf, &by_shop, "flange-kerf-0.15", true, "kerf-0.15", "flange");
        check(CutFormat::Svg, &by_shop, "Kerf 0,2 flange kerf", true, "Kerf 0,2", "flange");
        let one = Stock { kerf_mm: Some(1.0), kerf_in_file: true, ..Stock::default() };
        check(CutFormat::Dxf, &one, "flange-kerf-1.5", true, "kerf-1.5", "flange-kerf-1");
        check(CutFormat::DxfR12, &Stock::default(), "cover-inch-mm", true, "inch", "cover-mm");
        let inch = Stock { unit: FileUnit::Inch, ..Stock::default() };
        check(CutFormat::DxfR12, &inch, "cover-mm-inch", true, "mm", "cover-inch");
        for (format, stem) in
            [(CutFormat::Dxf, "cover-mm"), (CutFormat::Dxf, "kerfed flange"), (CutFormat::Svg, "inchworm")]
        {
            assert_eq!(wrong(format, stem, &inch), None, "{stem}: the file says its unit, or it is another word");
        }
    }

    #[test]
    fn a_kerf_that_was_typed_in_inches_is_one_short_figure() {
        // 0.007 inch.
        let stock = Stock { kerf_mm: Some(0.007 * 25.4), kerf_in_file: true, ..Stock::default() };
        assert_eq!(CutFormat::Dxf.file_stem("flange", &stock), "flange-kerf-0.178");
        let path = CutDrawing::default().cutters_path(&stock).unwrap();
        assert_eq!(path.notes, ["ALLOWS FOR A KERF OF 0.178 mm: cut on the line"], "the same in the file");
    }
}
