//! The `twinplate` command. Everything it does is in [`twinplate::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    twinplate::cli::main()
}
