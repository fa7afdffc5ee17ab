//! Finding things in a job by their ids.

use super::Added;
use super::contours::Contour;
use super::model::{Group, Hole, Id, Job, Photo};
use super::trial::Trial;

impl Job {
    /// Every id in the job, in the order of the file.
    pub fn ids(&self) -> impl Iterator<Item = &Id> {
        let features = self.holes.iter().map(|h| &h.id).chain(self.points.iter().map(|p| &p.id));
        let features = features.chain(self.edges.iter().map(|e| &e.id));
        let rest = self.measures.iter().map(|m| &m.id).chain(self.statements.iter().map(|s| &s.id));
        let rest = rest.chain(self.groups.iter().map(|g| &g.id));
        let rest = rest.chain(self.contours.iter().map(|c| &c.id)).chain(self.added.iter().map(|a| &a.id));
        features.chain(rest).chain(self.trials.iter().map(|t| &t.id))
    }

    /// An id that nothing has yet: `prefix` with the smallest free number from 1.
    pub fn free_id(&self, prefix: &str) -> Id {
        let mut number = 1_usize;
        loop {
            let id = Id(format!("{prefix}{number}"));
            if self.ids().all(|taken| *taken != id) {
                return id;
            }
            number += 1;
        }
    }

    /// `H1`, or the first number after it that no hole has.
    pub fn free_hole_name(&self) -> String {
        let is_free = |name: &String| self.holes.iter().all(|hole| hole.name != *name);
        (1..=self.holes.len() + 1).map(|number| format!("H{number}")).find(is_free).unwrap_or_default()
    }

    /// A job with a photo and nothing said about it yet.
    pub fn new(photo: Photo) -> Self {
        Self {
            format: super::FORMAT.to_owned(),
            version: super::VERSION,
            title: String::new(),
            photo,
            holes: Vec::new(),
            points: Vec::new(),
            edges: Vec::new(),
            measures: Vec::new(),
            statements: Vec::new(),
            groups: Vec::new(),
            contours: Vec::new(),
            added: Vec::new(),
            design: super::Design::default(),
            datum: None,
            stock: None,
            duties: Vec::new(),
            tried: None,
            trials: Vec::new(),
        }
    }

    /// The name shown for the hole, point or edge with this id; the id itself where it has none.
    pub fn feature_name<'a>(&'a self, id: &'a Id) -> &'a str {
        let holes = self.holes.iter().map(|h| (&h.id, &h.name));
        let points = self.points.iter().map(|p| (&p.id, &p.name));
        let edges = self.edges.iter().map(|e| (&e.id, &e.name));
        holes.chain(points).chain(edges).find(|(own, _)| *own == id).map_or(&id.0, |(_, name)| name)
    }

    /// The name shown for a hole, a point, an edge or something added; the id itself where nothing has it.
    pub fn placed_name(&self, id: &Id) -> String {
        let added = self.added.iter().find(|added| added.id == *id);
        added.map_or_else(|| self.feature_name(id).to_owned(), Added::shown_name)
    }

    /// What was added with this id.
    pub fn added(&self, id: &Id) -> Option<&Added> {
        self.added.iter().find(|added| added.id == *id)
    }

    /// The number of the plate that was tried last, 1 where none was.
    pub fn last_round(&self) -> u32 {
        self.trials.iter().map(|trial| trial.round).max().unwrap_or(1)
    }

    /// What the plate that was tried last showed, in the order in which it was said.
    pub fn last_trials(&self) -> impl Iterator<Item = &Trial> {
        let last = self.last_round();
        self.trials.iter().filter(move |trial| trial.round == last)
    }

    /// What a measure, a statement, a group's one size or a trial is called in a sentence: by its number in the list, or
    /// by what it is about; the id itself for anything else.
    pub fn reading_name(&self, id: &Id) -> String {
        if let Some(place) = self.measures.iter().position(|measure| measure.id == *id) {
            return format!("M{}", place + 1);
        }
        if let Some(place) = self.statements.iter().position(|statement| statement.id == *id) {
            return format!("S{}", place + 1);
        }
        if let Some(trial) = self.trials.iter().find(|trial| trial.id == *id) {
            let which = if trial.round == self.last_round() { "the" } else { "an earlier" };
            return format!("{which} trial at {}", self.feature_name(&trial.hole));
        }
        if self.group(id).is_some() { "the one size".to_owned() } else { id.0.clone() }
    }

    /// The names of readings in the order of the lists, each once: `M1 and M3`.
    pub fn reading_names<'a>(&self, ids: impl IntoIterator<Item = &'a Id>) -> String {
        let mut names: Vec<String> = ids.into_iter().map(|id| self.reading_name(id)).collect();
        // By the number, so that M10 comes after M9.
        names.sort_by_key(|name| (name.len(), name.clone()));
        names.dedup();
        listed(&names)
    }

    /// The hole with this id.
    pub fn hole(&self, id: &Id) -> Option<&Hole> {
        self.holes.iter().find(|h| h.id == *id)
    }

    /// The group with this id.
    pub fn group(&self, id: &Id) -> Option<&Group> {
        self.groups.iter().find(|g| g.id == *id)
    }

    /// The contour with this id.
    pub fn contour(&self, id: &Id) -> Option<&Contour> {
        self.contours.iter().find(|c| c.id == *id)
    }
}

impl Group {
    /// A group of which nothing is said yet.
    pub fn new(id: Id) -> Self {
        Self { id, fastener: None, clearance: None, finished_mm: None, same_size_sigma_mm: None, tapped: false }
    }
}

/// `M1`, `M1 and M2`, `M1, M2 and M3`.
pub fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// A number of things with their name, `1 hole` or `3 holes`.
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// With a capital at its beginning.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
