//! What is typed and pointed at of the advice on taking photos.

/// What is typed and pointed at of the advice on taking photos.
#[derive(Debug, Clone, Default)]
pub struct OnPhotoAdvice {
    /// What is to be photographed, as it is typed on the start guide.
    pub plan: PlanTyped,
    /// The rule whose places are drawn on the photo: the one that the pointer or the keyboard is on in the sheet.
    pub pointed: Option<&'static str>,
    /// All rules are shown, where no other photo would be better.
    pub is_open: bool,
}

/// What is to be photographed, as it is typed.
#[derive(Debug, Clone)]
pub struct PlanTyped {
    /// Longest side of the part.
    pub longest: String,
    /// How far what is picked may lie off the face.
    pub off: String,
}

impl Default for PlanTyped {
    /// A plate of a usual size with a burr.
    fn default() -> Self {
        Self { longest: "200 mm".to_owned(), off: "0.5 mm".to_owned() }
    }
}
