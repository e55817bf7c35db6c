//! The `twinplate` command. Everything it does is in [`sim_host::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    sim_host::cli::main()
}
