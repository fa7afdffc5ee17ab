//! Running the program's commands in this process.

use std::ffi::OsString;

/// What a command did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Ran {
    /// Its exit code.
    pub(crate) code: u8,
    /// What it printed on standard output.
    pub(crate) out: String,
    /// What it printed on standard error.
    pub(crate) err: String,
}

/// Runs `platewright` with `args`.
pub(crate) fn platewright<A: Into<OsString>>(args: impl IntoIterator<Item = A>) -> Ran {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let args = std::iter::once(OsString::from("platewright")).chain(args.into_iter().map(Into::into));
    let code = platewright::run(args, &mut out, &mut err);
    let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
    Ran { code, out: text(out), err: text(err) }
}
