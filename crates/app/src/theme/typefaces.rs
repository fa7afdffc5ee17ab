//! IBM Plex Sans in four weights; its figures are equally wide in each, so columns line up.

use egui::{FontData, FontDefinitions, FontFamily, FontId};
use std::sync::Arc;

/// A weight of the typeface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// 400, for body text.
    Regular,
    /// 500, for agreeing values on the photo.
    Medium,
    /// 600, for names, results and heads.
    SemiBold,
    /// 700, for what is read from afar.
    Bold,
}

impl Weight {
    fn name(self) -> &'static str {
        match self {
            Self::Regular => "plex-400",
            Self::Medium => "plex-500",
            Self::SemiBold => "plex-600",
            Self::Bold => "plex-700",
        }
    }

    /// The font file.
    pub(crate) fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => include_bytes!("../../../../assets/type/IBMPlexSans_400Regular.ttf"),
            Self::Medium => include_bytes!("../../../../assets/type/IBMPlexSans_500Medium.ttf"),
            Self::SemiBold => include_bytes!("../../../../assets/type/IBMPlexSans_600SemiBold.ttf"),
            Self::Bold => include_bytes!("../../../../assets/type/IBMPlexSans_700Bold.ttf"),
        }
    }
}

/// A font of `size` points.
pub fn font(size: f32, weight: Weight) -> FontId {
    let family = match weight {
        Weight::Regular => FontFamily::Proportional,
        other => FontFamily::Name(other.name().into()),
    };
    FontId::new(size, family)
}

/// Puts the typeface into `ctx`. The library's own faces stay behind it for signs that it lacks.
pub fn install(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::default();
    let fallback = fonts.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    for weight in [Weight::Regular, Weight::Medium, Weight::SemiBold, Weight::Bold] {
        let name = weight.name().to_owned();
        fonts.font_data.insert(name.clone(), Arc::new(FontData::from_static(weight.bytes())));
        let mut faces = vec![name.clone()];
        faces.extend(fallback.iter().cloned());
        let family = match weight {
            Weight::Regular => FontFamily::Proportional,
            _ => FontFamily::Name(name.into()),
        };
        fonts.families.insert(family, faces);
    }
    ctx.set_fonts(fonts);
}
