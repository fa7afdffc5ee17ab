//! The likely slip behind a reading that the others contradict.
//!
//! Each slip that people make with a caliper, a pencil and a keyboard turns the reading into another; the one that comes
//! nearest to what the others say is offered as a question, never as a correction.

use crate::job::MeasureKind;
use serde::Serialize;

/// A slip, and what the reading would have been without it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Slip {
    /// What may have happened.
    pub kind: SlipKind,
    /// What would have been read without it, mm; for another kind of measure the reading itself.
    pub meant_mm: f64,
}

/// What may have happened to a reading. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlipKind {
    /// It is right, but of another kind: the jaws were on the other rims.
    OtherRims(MeasureKind),
    /// It is right for one far side and one near side.
    OneRimEach,
    /// Inches were typed as mm.
    InchesForMm,
    /// Millimetres were typed as inches.
    MmForInches,
    /// The radius was given for the diameter.
    RadiusForDiameter,
    /// Two digits changed places.
    DigitsSwapped,
    /// The decimal point slipped.
    PointSlipped,
    /// A whole number of mm was misread.
    WholeMillimetres,
}

/// A reading under suspicion and what the others say.
#[derive(Debug, Clone)]
pub(super) struct Doubted {
    pub(super) kind: MeasureKind,
    pub(super) reading_mm: f64,
    /// What the others make of it, mm, and the standard deviation of reading less that.
    pub(super) by_others_mm: f64,
    pub(super) sigma_mm: f64,
    /// What the others make of other kinds between the same two holes, mm.
    pub(super) other_kinds: Vec<(MeasureKind, f64)>,
    /// The same from the far side of one hole to the near side of the other, either way round, mm.
    pub(super) one_rim_each_mm: Vec<f64>,
}

/// A slip explains a reading when what was meant lies within this many standard deviations of what the others say.
const EXPLAINS_SIGMAS: f64 = 2.5;

/// A slip is looked for only where the explanation is better than chance: the others know the length better than this,
/// mm, so that the nearest whole millimetre is one in three by luck at most.
const KNOWN_TO_MM: f64 = 0.2;

/// Whole millimetres that are misread: the next line, a scale's long lines, a decade.
const WHOLE_MM: [f64; 7] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];

const MM_PER_INCH: f64 = 25.4;

/// The slip that comes nearest, where one explains the reading.
pub(super) fn likely_slip(doubted: &Doubted) -> Option<Slip> {
    if doubted.sigma_mm.partial_cmp(&KNOWN_TO_MM) != Some(std::cmp::Ordering::Less) {
        return None;
    }
    let off = |mm: f64| (mm - doubted.by_others_mm).abs();
    let explains = |slip: &Slip| slip.meant_mm > 0.0 && off(slip.meant_mm) <= EXPLAINS_SIGMAS * doubted.sigma_mm;
    let other_rims = other_rims(doubted);
    // Slips in the order in which they are believed; of one sort, the nearest.
    let sorts = [other_rims, units(doubted), digits(doubted), whole_mm(doubted)];
    sorts
        .into_iter()
        .find_map(|sort| sort.into_iter().filter(explains).min_by(|a, b| off(a.meant_mm).total_cmp(&off(b.meant_mm))))
}

/// The reading fits another kind: what was meant is what the others say, off by what the reading is off from that kind.
fn other_rims(doubted: &Doubted) -> Vec<Slip> {
    let meant = |mm: f64| doubted.by_others_mm + doubted.reading_mm - mm;
    let kinds =
        doubted.other_kinds.iter().map(|(kind, mm)| Slip { kind: SlipKind::OtherRims(*kind), meant_mm: meant(*mm) });
    let each = doubted.one_rim_each_mm.iter().map(|mm| Slip { kind: SlipKind::OneRimEach, meant_mm: meant(*mm) });
    kinds.chain(each).collect()
}

fn units(doubted: &Doubted) -> Vec<Slip> {
    let reading = doubted.reading_mm;
    let mut slips = vec![
        Slip { kind: SlipKind::InchesForMm, meant_mm: reading * MM_PER_INCH },
        Slip { kind: SlipKind::MmForInches, meant_mm: reading / MM_PER_INCH },
    ];
    if doubted.kind == MeasureKind::Diameter {
        slips.push(Slip { kind: SlipKind::RadiusForDiameter, meant_mm: 2.0 * reading });
    }
    slips
}

fn digits(doubted: &Doubted) -> Vec<Slip> {
    let reading = doubted.reading_mm;
    let mut slips = vec![
        Slip { kind: SlipKind::PointSlipped, meant_mm: reading * 10.0 },
        Slip { kind: SlipKind::PointSlipped, meant_mm: reading / 10.0 },
    ];
    let text = format!("{reading:.2}");
    let places: Vec<usize> = text.char_indices().filter(|(_, c)| c.is_ascii_digit()).map(|(i, _)| i).collect();
    for pair in places.windows(2) {
        let mut swapped = text.clone().into_bytes();
        swapped.swap(pair[0], pair[1]);
        // Two equal digits swapped are no slip.
        let meant = String::from_utf8(swapped).ok().filter(|swapped| *swapped != text);
        if let Some(meant_mm) = meant.and_then(|text| text.parse::<f64>().ok()) {
            slips.push(Slip { kind: SlipKind::DigitsSwapped, meant_mm });
        }
    }
    slips
}

fn whole_mm(doubted: &Doubted) -> Vec<Slip> {
    let slip = |by: f64| Slip { kind: SlipKind::WholeMillimetres, meant_mm: doubted.reading_mm + by };
    WHOLE_MM.iter().flat_map(|by| [slip(*by), slip(-by)]).collect()
}

impl Slip {
    /// The slip as a question: `Nearly 1 mm: could it have read 73.75?`
    pub fn question(&self, reading_mm: f64) -> String {
        let meant = self.meant_mm;
        match self.kind {
            SlipKind::OtherRims(kind) => format!("It fits {}: were the jaws there?", kind.words()),
            SlipKind::OneRimEach => "It fits from a far side to a near side: were both jaws as shown?".to_owned(),
            SlipKind::InchesForMm => "It fits in inches: was it typed as mm?".to_owned(),
            SlipKind::MmForInches => "It fits in mm: was it typed as inches?".to_owned(),
            SlipKind::RadiusForDiameter => "It is half the diameter: was the radius meant?".to_owned(),
            SlipKind::DigitsSwapped => format!("Two digits swapped: could it have read {meant:.2}?"),
            SlipKind::PointSlipped => format!("The point may have slipped: could it have read {meant:.2}?"),
            SlipKind::WholeMillimetres => {
                let by = (meant - reading_mm).abs();
                format!("Nearly {by:.0} mm: could it have read {meant:.2}?")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn doubted(kind: MeasureKind, reading_mm: f64, by_others_mm: f64) -> Doubted {
        Doubted {
            kind,
            reading_mm,
            by_others_mm,
            sigma_mm: 0.06,
            other_kinds: vec![(MeasureKind::NearRims, by_others_mm - 18.0), (MeasureKind::Centres, by_others_mm - 9.0)],
            one_rim_each_mm: vec![by_others_mm - 11.0, by_others_mm - 7.0],
        }
    }

    fn check(kind: MeasureKind, reading: f64, by_others: f64, wanted: Option<(SlipKind, &str)>) {
        let found = likely_slip(&doubted(kind, reading, by_others));
        let said = found.map(|slip| (slip.kind, slip.question(reading)));
        let wanted = wanted.map(|(kind, words)| (kind, words.to_owned()));
        assert_eq!(said, wanted, "{reading} read where the others say {by_others}");
    }

    #[test]
    fn slips_are_named() {
        use MeasureKind::{Diameter, FarRims};
        let near = SlipKind::OtherRims(MeasureKind::NearRims);
        check(FarRims, 74.73, 73.77, Some((SlipKind::WholeMillimetres, "Nearly 1 mm: could it have read 73.73?")));
        check(FarRims, 87.31, 78.33, Some((SlipKind::DigitsSwapped, "Two digits swapped: could it have read 78.31?")));
        check(FarRims, 102.0, 120.02, Some((near, "It fits near rims: were the jaws there?")));
        let each = "It fits from a far side to a near side: were both jaws as shown?";
        check(FarRims, 109.03, 120.02, Some((SlipKind::OneRimEach, each)));
        check(
            Diameter,
            3.31,
            6.62,
            Some((SlipKind::RadiusForDiameter, "It is half the diameter: was the radius meant?")),
        );
        check(FarRims, 4.252, 108.0, Some((SlipKind::InchesForMm, "It fits in inches: was it typed as mm?")));
        check(FarRims, 2743.2, 108.02, Some((SlipKind::MmForInches, "It fits in mm: was it typed as inches?")));
        let point = "The point may have slipped: could it have read 73.70?";
        check(FarRims, 7.37, 73.72, Some((SlipKind::PointSlipped, point)));
    }

    #[test]
    fn where_no_slip_explains_it_none_is_named() {
        check(MeasureKind::FarRims, 74.23, 73.77, None);
        check(MeasureKind::FarRims, 33.31, 36.7, None);
        let vague = Doubted { sigma_mm: 0.4, ..doubted(MeasureKind::FarRims, 74.7, 73.7) };
        assert_eq!(likely_slip(&vague), None, "the others do not know it well enough");
    }
}
