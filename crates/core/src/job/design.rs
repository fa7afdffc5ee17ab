//! What is designed on top of what the photo shows: added holes and slots, the other side, land.
//!
//! All of it lives on the plate, in mm of the datum's frame; nothing of it lies in the photo.

use super::Id;
use crate::space::{PlatePoint, PlateVec};
use serde::{Deserialize, Serialize};

/// Something that is cut although it is not on the photo: one hole or slot, or several of a kind on a circle.
///
/// It has one place, `at_mm` or `placed`, and one size, `diameter_mm`, `tapped` or `group`; without a size it is kept, and
/// nothing is cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Added {
    /// Its id.
    pub id: Id,
    /// Its name on screen; left out: its id in capitals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// What it is.
    pub kind: AddedKind,
    /// Its centre in the datum's frame, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<PlatePoint>,
    /// Its centre, by what it is placed from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub placed: Option<Placed>,
    /// Its diameter, mm; the width of a slot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter_mm: Option<f64>,
    /// The coarse thread that is to be tapped into it, `M6`: it is cut to the size of the drill.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tapped: Option<String>,
    /// The group whose finished size it gets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub group: Option<Id>,
    /// Of a slot: from the centre of one rounded end to that of the other, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
    /// Of a slot: which way it lies, degrees from x towards y; on a circle, from its own spoke. Left out: 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<f64>,
    /// Of a slot: the hole, point or added feature that it points to, in place of `angle_deg`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub towards: Option<Id>,
}

/// What is added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AddedKind {
    /// A round hole.
    Hole,
    /// A slot with round ends.
    Slot,
}

/// How something added is placed. Ids are those of holes, points and other added features; of several on a circle the
/// middle of the circle counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Placed {
    /// A step away from a feature.
    Offset(Offset),
    /// On the line through two features.
    Between(Between),
    /// Several, evenly on a circle.
    Circle(OnCircle),
}

/// A step away from a feature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Offset {
    /// The feature.
    pub from: Id,
    /// The step in the datum's directions, mm.
    pub by_mm: PlateVec,
}

/// On the line through two features; halfway where neither share nor distance is said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Between {
    /// Where the line starts.
    pub a: Id,
    /// What it runs towards.
    pub b: Id,
    /// The share of the way, 0 at `a` and 1 at `b`; it may lie beyond either.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share: Option<f64>,
    /// The distance from `a` towards `b`, mm, in place of `share`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_mm: Option<f64>,
}

/// Several, evenly on a circle, about a feature or about a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OnCircle {
    /// The feature in the middle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Id>,
    /// The place in the middle, mm, where no feature is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about_mm: Option<PlatePoint>,
    /// How many.
    pub n: usize,
    /// Radius of the circle that their centres lie on, mm.
    pub radius_mm: f64,
    /// Where the first lies, degrees from x towards y.
    #[serde(default)]
    pub first_deg: f64,
}

/// The most that one circle may hold: more are not meant.
pub const MOST_ON_A_CIRCLE: usize = 360;

/// The most holes and slots that may be added to one part, those on circles counted: every one is checked against every
/// other, and half a million pairs are still looked at within a frame or two.
pub const MOST_ADDED: usize = 1000;

/// What is done to the whole part before it is cut.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Design {
    /// It is cut as seen from the other side: y is turned round, so that the datum keeps its place and its x.
    #[serde(default, skip_serializing_if = "super::model::is_false")]
    pub mirrored: bool,
    /// Material left outside the outline, mm; less than 0: taken off.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub land_mm: f64,
    /// Material left inside every opening, mm; less than 0: taken off.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub opening_land_mm: f64,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference to skip_serializing_if")]
fn is_zero(value: &f64) -> bool {
    *value == 0.0
}

impl Design {
    /// The part is cut as it is seen.
    pub fn is_as_seen(&self) -> bool {
        *self == Self::default()
    }
}

impl Added {
    /// A hole or slot at a place, of no size yet.
    pub fn new(id: Id, kind: AddedKind, placed: Placed) -> Self {
        Self {
            id,
            name: None,
            kind,
            at_mm: None,
            placed: Some(placed),
            diameter_mm: None,
            tapped: None,
            group: None,
            length_mm: None,
            angle_deg: None,
            towards: None,
        }
    }

    /// Its name on screen.
    pub fn shown_name(&self) -> String {
        self.name.clone().unwrap_or_else(|| self.id.0.to_uppercase())
    }

    /// How many holes or slots it stands for.
    pub fn count(&self) -> usize {
        match &self.placed {
            Some(Placed::Circle(circle)) => circle.n,
            _ => 1,
        }
    }

    /// Its place or its direction changes with where coordinates start or which way x runs.
    pub fn lies_by_coordinates(&self) -> bool {
        match &self.placed {
            None | Some(Placed::Offset(_) | Placed::Circle(_)) => true,
            Some(Placed::Between(_)) => self.kind == AddedKind::Slot && self.towards.is_none(),
        }
    }

    /// The features that its place and its direction are told by.
    pub fn rests_on(&self) -> impl Iterator<Item = &Id> {
        let placed = match &self.placed {
            None => [None, None],
            Some(Placed::Offset(offset)) => [Some(&offset.from), None],
            Some(Placed::Between(between)) => [Some(&between.a), Some(&between.b)],
            Some(Placed::Circle(circle)) => [circle.about.as_ref(), None],
        };
        placed.into_iter().chain([self.towards.as_ref()]).flatten()
    }
}
