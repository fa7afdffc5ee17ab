//! Writes a proof of what is cut.

use super::CommandError;
use super::proof_plate::{self, Asked};
use std::io::Write;
use std::path::Path;

/// Opens the job at `job` and writes its proof to `output`, in the format that its name says.
pub(super) fn run(job: &Path, output: &Path, asked: &Asked, out: &mut dyn Write) -> Result<(), CommandError> {
    proof_plate::run(job, output, asked, out)
}
