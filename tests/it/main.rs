#![allow(missing_docs, reason = "x")]
fn main() {}
