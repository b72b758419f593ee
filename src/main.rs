//! The program: arguments in, exit code out.

use std::process::ExitCode;

use mimalloc::MiMalloc;

/// Plans are made of many small vectors that do not last.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    setout::cli::run()
}
