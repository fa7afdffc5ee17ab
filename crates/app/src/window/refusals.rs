//! What an edit that is not carried out is told, in the words of the screen.

use platewright_core::job::EditRefused;

/// The sentence for an edit that was refused: the job file's keys are no words of the screen.
pub(super) fn sentence(refused: &EditRefused) -> String {
    let EditRefused::Invalid(error) = refused else { return format!("That was not done: {refused}.") };
    let key = &error.key;
    let subject = SUBJECTS.iter().find(|(part, _)| key.contains(part)).map_or("What was typed", |(_, subject)| subject);
    let end = if error.problem.ends_with('.') { "" } else { "." };
    format!("That was not taken. {subject} {}{end}", error.problem)
}

/// What part of a key stands for which thing on the screen; the first that fits.
const SUBJECTS: [(&str, &str); 23] = [
    ("thickness_mm", "The sheet’s thickness"),
    ("kerf_mm", "The kerf"),
    ("cut_tolerance_mm", "What the cutter cuts to"),
    ("gap_mm", "What is left between copies"),
    ("sheet_mm", "The side of the sheet"),
    ("radius_mm", "The radius"),
    ("focal_px.sigma", "The ± of the focal length"),
    ("focal_px", "The focal length"),
    ("lens", "What is believed of the lens"),
    ("statements", "How far off it may be"),
    ("same_size", "How far the diameters differ"),
    ("edges", "The edge"),
    ("finished_mm", "The size to cut to"),
    ("sigma_px", "How well the picks lie"),
    ("sigma_mm", "How well the instrument reads"),
    ("measures", "The length"),
    ("diameter_mm", "The diameter"),
    ("nodes", "The node"),
    ("added", "What is added"),
    ("land_mm", "The land"),
    ("contours", "The contour"),
    ("rim", "The pick"),
    ("name", "The name"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use platewright_core::job::JobError;

    #[test]
    fn keys_of_the_file_do_not_reach_the_screen() {
        let error =
            JobError { key: "stock.cut_tolerance_mm".to_owned(), problem: "is 1e9, which is too large".to_owned() };
        let said = sentence(&EditRefused::Invalid(error));
        assert_eq!(said, "That was not taken. What the cutter cuts to is 1e9, which is too large.");
        let error =
            JobError { key: "statements[0].sigma_mm".to_owned(), problem: "is 1e9, which is too large".to_owned() };
        let said = sentence(&EditRefused::Invalid(error));
        assert_eq!(said, "That was not taken. How far off it may be is 1e9, which is too large.", "no instrument's");
    }
}
