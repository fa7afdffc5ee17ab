//! One joint least-squares adjustment of camera, holes, points and measures.

/// How an adjustment ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Termination {
    /// The step became smaller than anything that could be seen.
    Converged,
    /// The limit of iterations was reached; the best point so far is reported.
    IterationLimit,
    /// No step made it better; the best point so far is reported.
    NoBetterStep,
}
