//! What explains a trial fit: of the few things that go wrong, the one that moves the holes as the trial says.
//!
//! ## Model
//! The adjustment without the trial says where each hole is and how well that is known; the trial says how far off each hole
//! of the plate was. Each [`Cause`] is one pattern in which holes can be off together: all in proportion, in proportion along
//! each side of the paper, as another tilt would have it, as one misread measure bends them, or one hole alone. How far each
//! explains the trial, and by how much it is off, is a least-squares fit of its sizes ([`compare`]). Of several plates tried
//! one after the other the last is explained; what the earlier ones showed is part of the adjustment.
//!
//! ## What is taken for granted
//! - Offsets are small against the plate, so that patterns add up linearly.
//! - One cause at a time. Where the best leaves something over, that is said.
//! - A print lies with the datum's x across the paper.
//! - A measure is believed to be misread by as much only as the other measures allow.
//!
//! ## When a cause is named
//! An accusation is false once in 100 trials at most in which nothing is wrong ([`FALSE_ALARM`], shared out evenly over the
//! causes: Bonferroni, from memory). Of those that pass, the one that explains most less its cost is the first, with
//! `ln(figures)` for each size that was fitted (Schwarz, Estimating the dimension of a model, 1978); others within
//! [`EQUALLY`] of it explain the trial as well, and all are named.

mod compare;
mod patterns;
mod words;

use super::results::Results;
use super::trial::{Showed, Tested, scale_sigma, tested};
use super::{Act, Cause, TrialFit, TrialVerdict};
use crate::adjust::{Adjusted, Sensitivity, adjust, best_move, chi_square_survival};
use crate::job::{Id, Outcome, Trial};
use crate::space::{PlatePoint, PlateVec};
use compare::{Explained, Figures, Seen};
use nalgebra::DMatrix;
use patterns::{Kind, Pattern, patterns};

/// In so many trials at which nothing is wrong something is accused.
const FALSE_ALARM: f64 = 0.01;

/// Chance below which what is left is too much to be chance.
const NOT_CHANCE: f64 = 0.001;

/// Explanations whose worth differs by less than this explain a trial equally well: the same bound as for two measures.
const EQUALLY: f64 = 4.0;

/// At most so many are named as explaining it equally well.
const NAMED: usize = 3;

/// How sharply 'would not go' is told from 'went on', mm. Common practice, no source.
const PLAY_SIGMA_MM: f64 = 0.03;

/// A plate that went on elsewhere has room there, and was moved about before anyone said that it would not go: that hole is
/// off by its play and by this share of the least play of those that went on. All of it, were they all in the middle of
/// their play. Common practice, no source.
const MOVED_ABOUT: f64 = 0.5;

/// With fewer holes one distance is all that there is, and everything explains it.
const ENOUGH_HOLES: usize = 3;

/// A trial with the adjustment that knows nothing of it, in that one's solve frame.
struct Evidence<'a> {
    results: &'a Results<'a>,
    without: Adjusted<'a>,
    sensitivity: Sensitivity,
    /// The holes that something is known of, by their numbers.
    rims: Vec<usize>,
    figures: Figures,
    /// From the middle of these holes, for every hole of the problem, mm.
    from_middle: Vec<PlateVec>,
    /// The way in which x of the plate that was tried runs.
    across: PlateVec,
    /// Along x and y whether a check bar says how large the print is.
    scale_known: [bool; 2],
    /// Some hole was seen to be off by a figure, so that sizes are known.
    sized: bool,
}

/// A pattern with how far it explains the trial.
struct Found {
    pattern: Pattern,
    explained: Explained,
    /// Square sum explained less the cost of its sizes.
    worth: f64,
}

/// What a trial comes to; `None` where nothing was tried, or nothing can be adjusted without it.
pub(super) fn trial_fit(results: &Results<'_>) -> Option<TrialFit> {
    if results.job.last_trials().all(|trial| trial.outcome == Outcome::NotTried) {
        return None;
    }
    let mut problem = results.assembled.problem.clone();
    problem.overlays.truncate(results.assembled.earlier_rounds);
    let without = adjust(&problem)?;
    let tested = last_of_each(tested(results.job, results.job.last_round(), results.assembled, &without));
    if tested.is_empty() {
        return None;
    }
    let evidence = Evidence::of(results, without, &tested)?;
    Some(if tested.len() < ENOUGH_HOLES { evidence.too_few() } else { evidence.judged() })
}

/// Of several trials at one hole the last counts; in the order of the holes.
fn last_of_each(mut tested: Vec<Tested>) -> Vec<Tested> {
    let numbers: Vec<usize> = tested.iter().map(|one| one.rim).collect();
    let mut at = 0;
    tested.retain(|one| {
        at += 1;
        !numbers[at..].contains(&one.rim)
    });
    tested.sort_by_key(|one| one.rim);
    tested
}

impl<'a> Evidence<'a> {
    fn of(results: &'a Results<'a>, without: Adjusted<'a>, tested: &[Tested]) -> Option<Self> {
        let should = |one: &Tested| match one.showed {
            Showed::Moves { by, .. } => one.had + by,
            Showed::MoreThan { .. } => one.had,
        };
        let pairs: Vec<(PlatePoint, PlatePoint)> =
            tested.iter().map(|one| (without.centre(one.rim), should(one))).collect();
        let aligned = best_move(&pairs)?;
        let room_mm = MOVED_ABOUT * least_play(results, tested, &without);
        let seen = tested.iter().zip(&pairs).map(|(one, (lies, should))| {
            let from = aligned.apply(*should) - *lies;
            match one.showed {
                Showed::Moves { .. } => Seen::Off(from),
                Showed::MoreThan { play_mm, towards } => {
                    let towards = towards.map(|way| aligned.turn(way));
                    Seen::Beyond { from, play_mm: play_mm + room_mm, towards }
                }
            }
        });
        let share = 1.0 / tested.len() as f64;
        let middle = pairs.iter().fold(PlatePoint::default(), |sum, (p, _)| sum + PlateVec::new(p.x, p.y) * share);
        let from_middle: Vec<PlateVec> =
            (0..results.assembled.problem.rims.len()).map(|rim| without.centre(rim) - middle).collect();
        let rims: Vec<usize> = tested.iter().map(|one| one.rim).collect();
        let sensitivity = without.sensitivity();
        let scale = scale_sigma(results.job);
        let across = aligned.turn(PlateVec::new(1.0, 0.0));
        let mut covariance = chosen(&sensitivity, &rims);
        for (i, one) in tested.iter().enumerate() {
            let sigma_mm = match one.showed {
                Showed::Moves { sigma_mm, .. } => sigma_mm,
                Showed::MoreThan { .. } => PLAY_SIGMA_MM,
            };
            // A print is as true to scale as its bars were read; where they were not, that is a cause of its own.
            let off = scale.map(|sigma| sigma.unwrap_or(0.0));
            let from = from_middle[one.rim];
            let by_bars = (from.dot(across) * off[0]).hypot(from.dot(across.perp()) * off[1]);
            let variance = sigma_mm * sigma_mm + by_bars * by_bars;
            covariance[(2 * i, 2 * i)] += variance;
            covariance[(2 * i + 1, 2 * i + 1)] += variance;
        }
        let places = rims.iter().map(|rim| from_middle[*rim]).collect();
        let figures = Figures::new(seen.collect(), places, covariance)?;
        let sized = tested.iter().any(|one| matches!(one.showed, Showed::Moves { by, .. } if by.length() > 0.0));
        let scale_known = scale.map(|sigma| sigma.is_some());
        Some(Self { results, without, sensitivity, rims, figures, from_middle, across, scale_known, sized })
    }

    /// Fewer holes than tell one cause from another.
    fn too_few(&self) -> TrialFit {
        let (more, untold) = (self.untried(), self.untold());
        let misfit = (self.figures.dof > 0).then(|| chi_square_survival(self.figures.to_explain, self.figures.dof));
        let (sentence, explanation) =
            words::too_few(self, misfit.is_some_and(|chance| chance < FALSE_ALARM), &untold, &more);
        let act = match (untold.is_empty(), more.is_empty()) {
            (false, _) => Some(Act::SeeWhichSide(untold)),
            (true, false) => Some(Act::TryAlso(more)),
            (true, true) => None,
        };
        TrialFit { verdict: TrialVerdict::TooFew, causes: Vec::new(), leaves_more: false, act, sentence, explanation }
    }

    /// Kept holes with a fastener that nothing is known of by the trial.
    fn untried(&self) -> Vec<Id> {
        let Results { job, assembled, .. } = self.results;
        let holes = job.holes.iter().zip(&assembled.holes);
        let untried = holes.filter(|(hole, rim)| {
            let has_stud = hole.keep && super::said_fastener(job, hole).is_some();
            has_stud && rim.is_ok_and(|rim| !self.rims.contains(&rim))
        });
        untried.map(|(hole, _)| hole.id.clone()).collect()
    }

    /// Holes that touched where nobody said which side, or how far.
    fn untold(&self) -> Vec<Id> {
        let Results { job, .. } = self.results;
        let is_untold =
            |trial: &&Trial| trial.outcome == Outcome::Touched && (trial.towards_deg.is_none() || trial.mm.is_none());
        let untold: Vec<&Id> = job.last_trials().filter(is_untold).map(|trial| &trial.hole).collect();
        job.holes.iter().filter(|hole| untold.contains(&&hole.id)).map(|hole| hole.id.clone()).collect()
    }

    fn judged(&self) -> TrialFit {
        let patterns = patterns(self);
        let alarm = FALSE_ALARM / patterns.len().max(1) as f64;
        let cost = (self.figures.seen.len() as f64 * 2.0).ln();
        let mut found: Vec<Found> = patterns
            .into_iter()
            .map(|pattern| {
                let explained = self.figures.explain(&pattern.design, pattern.own);
                let worth = explained.with_own - cost * explained.rank as f64;
                Found { pattern, explained, worth }
            })
            .filter(|one| one.explained.rank > 0)
            .filter(|one| chi_square_survival(one.explained.by_trial, one.explained.rank) < alarm)
            .collect();
        found.sort_by(|a, b| b.worth.total_cmp(&a.worth));
        let Some(first) = found.first() else { return self.without_cause() };
        let least = first.worth - EQUALLY;
        let named: Vec<&Found> = found.iter().filter(|one| one.worth > least).take(NAMED).collect();
        let causes: Vec<Cause> = named.iter().map(|one| self.cause(one)).collect();
        let dof = self.figures.dof.saturating_sub(first.explained.rank);
        let leaves_more = chi_square_survival(first.explained.left, dof) < NOT_CHANCE;
        let act = self.act(&named, &causes);
        let (sentence, explanation) = words::explained(self.results.job, &causes, leaves_more, &act);
        TrialFit { verdict: TrialVerdict::Explained, causes, leaves_more, act: Some(act), sentence, explanation }
    }

    /// Nothing explains it alone: all is well, or more than one thing is off.
    fn without_cause(&self) -> TrialFit {
        let agrees = chi_square_survival(self.figures.to_explain, self.figures.dof) >= NOT_CHANCE;
        let untold = self.untold();
        if agrees && !untold.is_empty() {
            let (sentence, explanation) = words::untold(self.results.job, &untold);
            let act = Some(Act::SeeWhichSide(untold));
            let verdict = TrialVerdict::TooFew;
            return TrialFit { verdict, causes: Vec::new(), leaves_more: false, act, sentence, explanation };
        }
        let tried = |outcomes: &[Outcome]| self.results.job.last_trials().any(|one| outcomes.contains(&one.outcome));
        let went_on = !tried(&[Outcome::Touched, Outcome::WouldNotGo]);
        // What would not go did not fit, however little of what is known speaks against it.
        let blocked = tried(&[Outcome::WouldNotGo]);
        let (sentence, explanation) = words::without_cause(agrees, went_on, blocked);
        let verdict = match (agrees, blocked) {
            (true, false) => TrialVerdict::Agrees,
            (true, true) => TrialVerdict::TooFew,
            (false, _) => TrialVerdict::Unexplained,
        };
        TrialFit { verdict, causes: Vec::new(), leaves_more: !agrees, act: None, sentence, explanation }
    }

    fn hole_id(&self, rim: usize) -> Id {
        self.results.hole_id(rim)
    }

    /// A step of the solve frame in the datum's.
    fn in_datum(&self, step: PlateVec) -> PlateVec {
        super::datum::datum(self.results.job, self.results.assembled, &self.without).turn(step)
    }

    fn cause(&self, found: &Found) -> Cause {
        let sizes = &found.explained.sizes;
        let size = |i: usize| sizes.get(i).copied().filter(|_| self.sized);
        match found.pattern.kind {
            Kind::Whole => Cause::Whole { small: size(0) },
            Kind::Print { along: [x, y] } => {
                Cause::Print { small_across: size(0).filter(|_| x), small_up: size(usize::from(x)).filter(|_| y) }
            }
            Kind::Tilt => {
                let off = sizes.iter().map(|size| size * size).sum::<f64>().sqrt().to_degrees();
                Cause::Tilt { off_deg: Some(off).filter(|_| self.sized) }
            }
            Kind::Measure { ref id, .. } => Cause::Measure { id: id.clone(), long_mm: size(0) },
            Kind::Hole(rim) => {
                let should = PlateVec::new(sizes[0], sizes[1]);
                let at = self.rims.iter().position(|other| *other == rim);
                let nobody_knows = matches!(at.map(|at| self.figures.seen[at]), Some(Seen::Beyond { .. }));
                let sits = Some(self.in_datum(-should)).filter(|_| self.sized && !nobody_knows);
                Cause::Hole { id: self.hole_id(rim), sits, at_least_mm: should.length() }
            }
        }
    }

    /// What tells the causes apart, or puts the only one right.
    fn act(&self, named: &[&Found], causes: &[Cause]) -> Act {
        let has = |wanted: fn(&Cause) -> bool| causes.iter().find(|cause| wanted(cause));
        if has(|cause| matches!(cause, Cause::Print { .. })).is_some() {
            return Act::MeasureBars;
        }
        // Sizes are known once it is known which side touches.
        if !self.sized {
            let open = self.rims.iter().zip(&self.figures.seen).filter(|(_, seen)| matches!(seen, Seen::Beyond { .. }));
            return Act::SeeWhichSide(open.map(|(rim, _)| self.hole_id(*rim)).collect());
        }
        if let Some(Cause::Measure { id, .. }) = has(|cause| matches!(cause, Cause::Measure { .. })) {
            return Act::MeasureAgain(id.clone());
        }
        let moves = |found: Option<&&Found>| self.moves(found.copied());
        let telling =
            self.without.telling_moves_apart(self.results.instrument, &moves(named.first()), &moves(named.get(1)));
        let next = telling.and_then(|length| self.results.next(length));
        match (&causes[0], next) {
            (Cause::Hole { id, .. }, _) if causes.len() == 1 => Act::LookAt(id.clone()),
            // A further length would be read off the same rule.
            (Cause::Whole { .. }, _) if causes.len() == 1 => Act::CheckInstrument,
            (_, Some(next)) => Act::Measure(next),
            (Cause::Hole { id, .. }, None) => Act::LookAt(id.clone()),
            (_, None) => Act::CheckInstrument,
        }
    }

    /// How an explanation moves every hole; `None` moves none.
    fn moves(&self, found: Option<&Found>) -> Vec<PlateVec> {
        let all = 0..self.from_middle.len();
        let Some(Found { pattern, explained, .. }) = found else { return all.map(|_| PlateVec::default()).collect() };
        let step = |rim: usize| {
            let columns = pattern.all.iter().zip(&explained.sizes);
            columns.fold(PlateVec::default(), |sum, (column, size)| sum + column[rim] * *size)
        };
        all.map(step).collect()
    }
}

/// The least play of the holes that went on, mm; 0 where one touched, since then the plate cannot be moved freely.
fn least_play(results: &Results<'_>, tested: &[Tested], without: &Adjusted<'_>) -> f64 {
    let play = |one: &Tested| match one.showed {
        Showed::Moves { by, .. } if by.length() > 0.0 => Some(0.0),
        Showed::Moves { .. } => {
            let hole = &results.job.holes[results.assembled.hole_of_rim[one.rim]];
            super::play_mm(results.job, hole, 2.0 * without.bore_radius(one.rim))
        }
        Showed::MoreThan { .. } => None,
    };
    tested.iter().filter_map(play).reduce(f64::min).map_or(0.0, |least| least.max(0.0))
}

/// The joint covariance of some holes.
fn chosen(sensitivity: &Sensitivity, rims: &[usize]) -> DMatrix<f64> {
    let at = |i: usize| 2 * rims[i / 2] + i % 2;
    DMatrix::from_fn(2 * rims.len(), 2 * rims.len(), |i, j| sensitivity.covariance[at(i) * sensitivity.size + at(j)])
}
