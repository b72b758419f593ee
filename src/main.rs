//! The program: arguments in, exit code out.
fn main() {}
