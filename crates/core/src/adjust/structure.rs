//! Which unknowns meet in the normal matrix, and the order in which they are eliminated.

/// The outline of a symmetric matrix and of its Cholesky factor: columns in groups ("panels"), each with the rows in
/// which it has entries, filled ones included. All columns of a panel share their rows. The last panel is dense: what is
/// left when nothing sparse remains.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Structure {
    panels: Vec<Panel>,
    /// For each unknown its panel.
    panel_of: Vec<usize>,
    entries: usize,
}

/// Columns `first..first + columns`, one below the other in the store, each over all `rows`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Panel {
    pub(super) first: usize,
    pub(super) columns: usize,
    /// Its own unknowns, then those below that it meets, ascending.
    pub(super) rows: Vec<usize>,
    /// Where its entries begin.
    pub(super) entries: usize,
    /// What its elimination changes in panels to come.
    pub(super) updates: Vec<Update>,
}

/// The rows of a panel from `from` on as they stand in the panel `target`, to which the first `count` of them belong.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Update {
    pub(super) target: usize,
    pub(super) from: usize,
    pub(super) count: usize,
    pub(super) places: Vec<usize>,
}

impl Panel {
    /// Where the unknown `row`, which the panel meets, stands among its rows.
    fn place(&self, row: usize) -> usize {
        let own = row - self.first;
        if own < self.columns {
            return own;
        }
        let below = &self.rows[self.columns..];
        let place = below.partition_point(|other| *other < row);
        debug_assert!(below.get(place) == Some(&row), "unknown {row} lies outside the outline");
        self.columns + place
    }
}

impl Structure {
    /// Every unknown meets every other: for models of a few unknowns.
    #[cfg(test)]
    pub(super) fn dense(size: usize) -> Self {
        Self::of_panels(size, vec![(size, Vec::new())])
    }

    /// From the number of columns of each panel, with the unknowns below that it meets, ascending.
    fn of_panels(size: usize, list: Vec<(usize, Vec<usize>)>) -> Self {
        let (mut panels, mut panel_of) = (Vec::with_capacity(list.len()), Vec::with_capacity(size));
        let mut entries = 0;
        for (number, (columns, below)) in list.into_iter().enumerate() {
            let first = panel_of.len();
            panel_of.resize(first + columns, number);
            let rows: Vec<usize> = (first..first + columns).chain(below).collect();
            let begin = entries;
            entries += rows.len() * columns;
            panels.push(Panel { first, columns, rows, entries: begin, updates: Vec::new() });
        }
        let mut structure = Self { panels, panel_of, entries };
        for number in 0..structure.panels.len() {
            structure.panels[number].updates = structure.updates(&structure.panels[number]);
        }
        structure
    }

    fn updates(&self, panel: &Panel) -> Vec<Update> {
        let (mut updates, mut from) = (Vec::new(), panel.columns);
        while from < panel.rows.len() {
            let target = self.panel_of[panel.rows[from]];
            let below = &panel.rows[from..];
            let count = below.iter().take_while(|row| self.panel_of[**row] == target).count();
            let places = below.iter().map(|row| self.panels[target].place(*row)).collect();
            updates.push(Update { target, from, count, places });
            from += count;
        }
        updates
    }

    pub(super) fn size(&self) -> usize {
        self.panel_of.len()
    }

    pub(super) fn entries(&self) -> usize {
        self.entries
    }

    pub(super) fn panels(&self) -> &[Panel] {
        &self.panels
    }

    /// The panels from the one of the unknown `from` on.
    pub(super) fn panels_from(&self, from: usize) -> &[Panel] {
        &self.panels[self.panel_of[from]..]
    }

    /// Where the entry in row `i` and column `j`, `i >= j`, is kept. The next unknown, where the panel meets it too, is
    /// next to it.
    pub(super) fn entry(&self, i: usize, j: usize) -> usize {
        let panel = &self.panels[self.panel_of[j]];
        panel.entries + (j - panel.first) * panel.rows.len() + panel.place(i)
    }
}

/// Groups of unknowns before they have their order: those that may come in any order, then those that come last.
#[derive(Debug)]
pub(super) struct Groups {
    sizes: Vec<usize>,
    last: usize,
    /// For each free group the others that it meets, ascending.
    meets: Vec<Vec<usize>>,
}

impl Groups {
    /// `free` groups and `last` ones, by their sizes. Each free group meets the very last one.
    pub(super) fn new(free: Vec<usize>, last: impl IntoIterator<Item = usize>) -> Self {
        let count = free.len();
        let mut sizes = free;
        sizes.extend(last);
        let meets = vec![vec![sizes.len() - 1]; count];
        Self { last: count, sizes, meets }
    }

    /// All of `groups` meet in one observation.
    pub(super) fn tie(&mut self, groups: &[usize]) {
        for group in groups.iter().filter(|group| **group < self.last) {
            for other in groups.iter().filter(|other| *other != group) {
                insert(&mut self.meets[*group], *other);
            }
        }
    }

    /// Free neighbours of a free group.
    fn degree(&self, group: usize) -> usize {
        self.meets[group].partition_point(|other| *other < self.last)
    }

    /// Orders the free groups by minimum degree (George and Liu, The evolution of the minimum degree ordering algorithm,
    /// 1989): the one that meets the fewest others goes next, and those then meet each other. Where every group left
    /// meets half of the others, they make one dense panel with the last ones.
    ///
    /// Returns where each group's unknowns stand, and the structure.
    pub(super) fn order(mut self) -> (Vec<usize>, Structure) {
        let mut left: Vec<usize> = (0..self.last).collect();
        let mut eliminated = Vec::with_capacity(self.last);
        // Groups that meet no other stay so, and their order does not matter.
        left.retain(|group| {
            let alone = self.degree(*group) == 0;
            if alone {
                eliminated.push(*group);
            }
            !alone
        });
        while let Some(next) = (0..left.len()).min_by_key(|at| self.degree(left[*at])) {
            if 2 * self.degree(left[next]) + 1 >= left.len() {
                break;
            }
            let group = left.remove(next);
            self.eliminate(group);
            eliminated.push(group);
        }
        let mut starts = vec![0; self.sizes.len()];
        let mut size = 0;
        for group in eliminated.iter().copied().chain(left.iter().copied()).chain(self.last..self.sizes.len()) {
            starts[group] = size;
            size += self.sizes[group];
        }
        let sparse: usize = eliminated.iter().map(|group| self.sizes[*group]).sum();
        let mut panels: Vec<(usize, Vec<usize>)> = Vec::with_capacity(eliminated.len() + 1);
        for group in eliminated {
            let unknowns = |other: &usize| starts[*other]..starts[*other] + self.sizes[*other];
            let mut below: Vec<usize> = self.meets[group].iter().flat_map(unknowns).collect();
            below.sort_unstable();
            panels.push((self.sizes[group], below));
        }
        panels.push((size - sparse, Vec::new()));
        (starts, Structure::of_panels(size, panels))
    }

    fn eliminate(&mut self, group: usize) {
        let neighbours = self.meets[group].clone();
        for neighbour in neighbours.iter().filter(|other| **other < self.last) {
            let meets = &mut self.meets[*neighbour];
            meets.retain(|other| *other != group);
            for other in neighbours.iter().filter(|other| *other != neighbour) {
                insert(meets, *other);
            }
        }
    }
}

/// Inserts into an ascending list what is not in it yet.
fn insert(list: &mut Vec<usize>, item: usize) {
    if let Err(place) = list.binary_search(&item) {
        list.insert(place, item);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_is_eliminated_from_its_ends_without_fill() {
        let mut groups = Groups::new(vec![3; 9], [10]);
        for i in 0..8 {
            groups.tie(&[i, i + 1]);
        }
        let (starts, structure) = groups.order();
        assert_eq!(structure.size(), 37, "all unknowns");
        assert_eq!(starts[9], 27, "the camera last");
        for panel in &structure.panels()[..structure.panels().len() - 1] {
            assert!(panel.rows.len() <= 3 + 3 + 10, "one neighbour and the camera: {panel:?}");
        }
    }

    #[test]
    fn what_is_tied_all_round_is_one_dense_panel() {
        let mut groups = Groups::new(vec![3, 2, 2, 3], [1, 10]);
        groups.tie(&[0, 1, 2, 4]);
        let (starts, structure) = groups.order();
        assert_eq!(starts, [3, 6, 8, 0, 10, 11], "the group that meets no other first");
        assert_eq!(structure.panels().len(), 2, "one sparse panel and the dense one");
        assert_eq!(structure.panels()[0].rows, [0, 1, 2, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20], "rows of the first");
    }
}
