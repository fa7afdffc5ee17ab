#![allow(clippy::all, clippy::pedantic, missing_docs)]
use platewright_core::edge::Picture;
use platewright_core::instrument::Instrument;
use platewright_core::solution::{Inputs, solve_photo};
use platewright_core::space::PlatePoint;
use platewright_tests::{CASES, Case, map_of, shared_dir};
fn main() {
    let shared = shared_dir().unwrap();
    for name in [CASES[4], CASES[2], CASES[3]] {
        let case = Case::read(&shared, name);
        let job = case.job();
        let photo = case.pixels();
        let picture = Picture::from_srgb([photo.width(), photo.height()], photo.as_raw()).unwrap();
        let inputs = Inputs { job: &job, exif_focal_px: None, instrument: Instrument::CALIPER, seen: None };
        let (seen, sol) = solve_photo(&inputs, &picture, &|| true).unwrap();
        let map = map_of(&case.camera());
        println!("{name}");
        for ((h, fit), rim) in job.holes.iter().zip(&sol.holes).zip(&seen.rims) {
            let t = case.true_radii_mm(&h.id).unwrap();
            let c = case.true_centre(&h.id).unwrap();
            let ppm = map.px_per_mm(c);
            let n = rim.found.as_ref().map(|r| r.points.len()).unwrap_or(0);
            let (mut ms, mut mr, mut r2) = (0.0, 0.0, (0.0, 0.0));
            if let Ok(r) = &rim.found {
                for p in &r.points {
                    let q: PlatePoint = map.plate_from_photo(p.at).unwrap();
                    let d = q.distance(c) - t[0];
                    mr += d;
                    ms += p.sigma_px;
                    let u = (q - c) * (1.0 / q.distance(c));
                    r2.0 += 2.0 * d * u.x;
                    r2.1 += 2.0 * d * u.y;
                }
                mr /= n as f64;
                ms /= n as f64;
                r2.0 /= n as f64;
                r2.1 /= n as f64;
            }
            let found = rim.found.as_ref().map(|r| {
                format!(
                    "{:?} rms {:.2} arc {:.0} shift {:.3} rad {:.3} inner {:?}",
                    r.verdict,
                    r.rms_px,
                    r.arc_deg,
                    r.shared_shift_px,
                    r.shared_radius_px,
                    r.inner_radius_mm.map(|x| x * ppm)
                )
            });
            println!(
                "{} Ø true {:.3} bore {:.3} off rim {:+.3} bore {:+.3} ± {:.3} meas {} ppm {:.1} | points {} mean off {:+.2} px ({:+.2},{:+.2}) sigma {:.2} {:?}",
                h.id.0,
                2.0 * t[0],
                2.0 * t[1],
                fit.rim_diameter_mm - 2.0 * t[0],
                fit.bore_diameter_mm - 2.0 * t[1],
                1.96 * fit.diameter_sigma_mm,
                fit.is_measured,
                ppm,
                n,
                mr * ppm,
                r2.0 * ppm,
                r2.1 * ppm,
                ms,
                found
            );
            let off: Vec<String> = h
                .rim
                .iter()
                .map(|p| format!("{:+.2}", (map.plate_from_photo(*p).unwrap().distance(c) - t[0]) * ppm))
                .collect();
            println!(
                "     picks off {:?} sigma {:?}  measures {:?}",
                off,
                h.sigma_px,
                job.measures
                    .iter()
                    .filter(|m| m.between.contains(&h.id))
                    .map(|m| format!("{:?}", m.kind))
                    .collect::<Vec<_>>()
            );
        }
    }
}
