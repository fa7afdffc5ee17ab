//! Fasteners and the holes that standards give them, as data.
//!
//! ## Invariants
//! - One published table per file, with its source and how far the figures were checked; what is in doubt is left out.
//! - A class is looked up in its own standard only: no inch fastener has a medium hole, no metric one a close hole.
//! - A fastener is told from a measured hole only where no other comes near: M6 medium and 1/4 close differ by 0.16 mm.

mod asme_b18_2_8;
mod fastener;
mod iso_2306;
mod iso_273;

pub use fastener::Fastener;

/// What a hole is for, by the names that the standards use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HoleClass {
    /// Clearance, fine series of ISO 273.
    Fine,
    /// Clearance, medium series of ISO 273.
    Medium,
    /// Clearance, coarse series of ISO 273.
    Coarse,
    /// Clearance, close fit of ASME B18.2.8.
    Close,
    /// Clearance, normal fit of ASME B18.2.8.
    Normal,
    /// Clearance, loose fit of ASME B18.2.8.
    Loose,
    /// To be tapped: the drill of ISO 2306 for the coarse thread.
    Tapping,
}

impl HoleClass {
    /// All of them.
    pub const ALL: [Self; 7] =
        [Self::Fine, Self::Medium, Self::Coarse, Self::Close, Self::Normal, Self::Loose, Self::Tapping];

    /// Its name, in small letters.
    pub fn name(self) -> &'static str {
        match self {
            Self::Fine => "fine",
            Self::Medium => "medium",
            Self::Coarse => "coarse",
            Self::Close => "close",
            Self::Normal => "normal",
            Self::Loose => "loose",
            Self::Tapping => "tapping",
        }
    }

    /// The class of this name, in any case.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|class| class.name().eq_ignore_ascii_case(text.trim()))
    }
}

/// Diameter of the hole of this class for this fastener, mm; the tapping drill for [`HoleClass::Tapping`]. `None` where
/// the fastener's standard does not have the class, or the table leaves the figure out.
pub fn clearance_hole_mm(fastener: Fastener, class: HoleClass) -> Option<f64> {
    fastener.hole_mm(class)
}

/// Diameter of the drill before tapping the coarse thread, mm. `None` for fasteners that the table does not have.
pub fn tapping_drill_mm(fastener: Fastener) -> Option<f64> {
    fastener.hole_mm(HoleClass::Tapping)
}

/// How far a second hole of the tables has to lie from a measured one, in multiples of how far that may be off.
const CLEAR: f64 = 3.0;

/// The one fastener and class whose clearance hole a measured one can be, and the diameter of that, mm: it lies within
/// `plus_minus_mm` (95 %) of what was measured, and no hole of another fastener or class comes near. `None` where there is no
/// such hole, or more than one: a fastener is never guessed.
pub fn the_one_hole(measured_mm: f64, plus_minus_mm: f64) -> Option<(Fastener, HoleClass, f64)> {
    let holes = Fastener::all().flat_map(|fastener| {
        let clearance = HoleClass::ALL.into_iter().filter(|class| *class != HoleClass::Tapping);
        clearance.filter_map(move |class| Some((fastener, class, clearance_hole_mm(fastener, class)?)))
    });
    let mut near = holes.filter(|(.., mm)| (mm - measured_mm).abs() <= CLEAR * plus_minus_mm);
    let only = near.next().filter(|(.., mm)| (mm - measured_mm).abs() <= plus_minus_mm)?;
    near.next().is_none().then_some(only)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(fastener: &str, class: &str, mm: Option<f64>) {
        let (fastener, class) = (Fastener::parse(fastener).unwrap(), HoleClass::parse(class).unwrap());
        let found = clearance_hole_mm(fastener, class);
        let is_same = match (found, mm) {
            (Some(found), Some(mm)) => (found - mm).abs() < 1e-9,
            (found, mm) => found == mm,
        };
        assert!(is_same, "{fastener} {}: {found:?}, not {mm:?}", class.name());
    }

    #[test]
    fn iso_273_as_published() {
        check("M5", "medium", Some(5.5));
        check("M8", "fine", Some(8.4));
        check("M8", "medium", Some(9.0));
        check("M20", "coarse", Some(24.0));
        check("M36", "coarse", Some(42.0));
        // Copies of the table differ here (7.8 and 8.0).
        check("M7", "coarse", None);
    }

    #[test]
    fn asme_b18_2_8_as_published() {
        check("#10", "loose", Some(0.238 * 25.4));
        check("1/4", "close", Some(0.266 * 25.4));
        check("1/2", "normal", Some(0.562 * 25.4));
        check("1 in", "loose", Some(1.156 * 25.4));
    }

    #[test]
    fn iso_2306_as_published() {
        check("M6", "tapping", Some(5.0));
        check("M12", "tapping", Some(10.2));
        assert_eq!(Fastener::parse("M24").and_then(tapping_drill_mm), Some(21.0), "the drill by its own name");
    }

    #[test]
    fn a_fastener_is_told_from_its_hole_only_where_no_other_comes_near() {
        let told = |measured, plus_minus| {
            the_one_hole(measured, plus_minus).map(|(fastener, class, _)| format!("{fastener} {}", class.name()))
        };
        // M6 medium 6.6, 1/4 close 6.756, M6 coarse 7.0 mm.
        assert_eq!(told(6.61, 0.04).as_deref(), Some("M6 medium"));
        assert_eq!(told(6.61, 0.06), None, "1/4 close is not ruled out");
        assert_eq!(told(6.68, 0.04), None, "between the two");
        assert_eq!(told(21.0, 0.01), None, "M18 coarse and M20 fine are the same hole");
        assert_eq!(told(32.0, f64::NAN), None, "nothing is known of it");
    }

    #[test]
    fn a_class_belongs_to_one_standard() {
        check("M6", "close", None);
        check("1/4", "medium", None);
        check("1/4", "tapping", None);
        assert_eq!(HoleClass::parse(" Loose"), Some(HoleClass::Loose), "any case, and a space");
        assert_eq!(HoleClass::parse("tight"), None, "no such class");
    }

    #[test]
    fn holes_widen_with_the_class_and_with_the_fastener() {
        let classes = [HoleClass::Fine, HoleClass::Medium, HoleClass::Coarse];
        let fits = [HoleClass::Close, HoleClass::Normal, HoleClass::Loose];
        for class in HoleClass::ALL {
            let sizes: Vec<f64> = Fastener::all().filter_map(|fastener| clearance_hole_mm(fastener, class)).collect();
            assert!(sizes.len() > 10 && sizes.is_sorted(), "{}: {sizes:?}", class.name());
        }
        for fastener in Fastener::all() {
            let own: Vec<f64> =
                classes.iter().chain(&fits).filter_map(|class| clearance_hole_mm(fastener, *class)).collect();
            assert!(own.is_sorted() && own[0] > fastener.diameter_mm(), "{fastener}: {own:?}");
            assert!(tapping_drill_mm(fastener).is_none_or(|drill| drill < fastener.diameter_mm()), "{fastener}");
        }
    }
}
